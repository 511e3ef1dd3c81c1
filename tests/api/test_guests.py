"""What somebody gets by a link, and what nobody gets by any."""

from __future__ import annotations

import base64
import functools
import re
from datetime import date, timedelta
from html import unescape
from http.cookies import SimpleCookie
from io import BytesIO

import pytest
from PIL import Image

from brief.api.limits import RATES, Rate, RateLimits
from brief.services.sharing.shares import SHOWN
from brief.store.records import Share
from tests.api.once import fixture_once
from tests.asking import TestClient

MARK = "Zugvogel-7731"  # in every private place; must come out nowhere
MAGENTA = (255, 0, 255)  # the private picture; no other has a pixel like it
EVERYTHING = list(SHOWN)


def _with_exif(colour: tuple[int, int, int]) -> bytes:
    """A photograph that says in its EXIF where and by whom it was taken."""
    exif = Image.Exif()
    exif[0x010E] = exif[0x013B] = MARK  # ImageDescription and Artist: CIPA DC-008 (Exif 2.3)
    exif.get_ifd(0x8825)[0x001D] = MARK  # GPSDateStamp, any text of the GPS part
    target = BytesIO()
    Image.new("RGB", (60, 40), colour).save(target, "JPEG", exif=exif)
    assert MARK.encode() in target.getvalue()
    return target.getvalue()


@fixture_once
def planted(client, make, send, brief, picture):
    """A brief with something private in every private place; the ids of what may be seen."""
    here = {"brief_id": brief["id"]}
    client.patch(
        f"/api/briefs/{brief['id']}",
        json={"theme": "One quarter of an hour, at low water."},
        headers={"If-Match": "*"},
    )
    motif = make("motifs", **here, name="curlew", says="the call that carries")
    shown = send(("reeds.jpg", _with_exif((142, 138, 106)))).json()[0]
    secret = send((f"{MARK}.png", picture(MAGENTA))).json()[0]
    hidden = {"private": True, "credit": MARK, "source": MARK, "title": MARK}
    client.patch(f"/api/references/{secret['id']}", json=hidden, headers={"If-Match": "*"})
    make("references", **here, title=f"Letter {MARK}", passage=MARK, private=True)
    kept = make("palettes", reference_id=secret["id"], colours=2)
    make("palettes", reference_id=shown["id"], colours=2)
    of_motif = {"motif_id": motif["id"]}
    make("swatches", **here, name=MARK, palette_id=kept["id"], palette_index=0, **of_motif)
    client.patch(
        f"/api/references/{shown['id']}",
        json={"motif_ids": [motif["id"]]},
        headers={"If-Match": "*"},
    )
    for about in (secret, shown):
        on = {"about_kind": "reference", "about_id": about["id"]}
        make("notes", **on, text=f"for myself {MARK}")
    make("notes", about_kind="motif", about_id=motif["id"], text="open to all", private=False)
    on_secret = {"about_kind": "reference", "about_id": secret["id"]}
    make("comments", **here, **on_secret, author=MARK, text=MARK)
    walnut = send(("walnut.jpg", _with_exif((92, 64, 44))), to="materials").json()[0]
    own = {"label": "walnut", "price": 98765.25, "currency": "EUR", "provenance": MARK}
    client.patch(f"/api/materials/{walnut['id']}", json=own, headers={"If-Match": "*"})
    paid = {"hour_rate": 98765.25, "overhead": "98765", "asking_price": "98765.50"}
    client.patch(f"/api/briefs/{brief['id']}", json=paid, headers={"If-Match": "*"})
    make("bought-parts", **here, name=f"Tuners {MARK}", price="98765")
    make("pieces-used", **here, material_id=walnut["id"], cost="98765")
    shell = make("materials", label="shell", reading="Lab 88 0 3", provenance=MARK)
    part = client.get("/api/parts", params=here).json()["items"][0]
    of_walnut = {"material_id": walnut["id"]}
    client.patch(f"/api/parts/{part['id']}", json=of_walnut, headers={"If-Match": "*"})
    pairing = make("pairings", **here, ground_id=walnut["id"], inlay_id=shell["id"], line_mm=0.8)
    gone = make("comments", **here, about_kind="motif", about_id=motif["id"], text=MARK)
    client.delete(f"/api/comments/{gone['id']}", headers={"If-Match": "*"})
    make(
        "comments",
        **here,
        about_kind="motif",
        about_id=motif["id"],
        author="Ines",
        text="two notes",
    )
    swatch = make("swatches", **here, name="reed, dry", colour="#8a7a5a", **of_motif)
    # On the rack it is the nearest to that colour; nothing is made of it.
    make("materials", label=f"spare {MARK}", reading="Lab 52 3 20", provenance=MARK)
    question = make(
        "questions",
        **here,
        text="Which is the mud?",
        choices=[walnut["id"], swatch["id"], shown["id"], pairing["id"]],
    )
    make("questions", **here, text=f"{MARK}?", choices=[secret["id"], swatch["id"]])
    make("answers", question_id=question["id"], choice=1, author="Tom", why="the colour of straw")
    return {
        "question": question,
        "brief": brief,
        "motif": motif,
        "reference": shown,
        "secret": secret,
        "part": part,
        "pairing": pairing,
        "material": walnut,
    }


@pytest.fixture
def link(make, brief):
    """The address of a new link: `link(sheets=[...])`."""

    def made(**fields) -> str:
        share = make("shares", **{"brief_id": brief["id"], "name": "the bird counter", **fields})
        return share["address"]

    return made


def _addresses(page: str) -> list[str]:
    """Everything the page loads or leads to."""
    return [unescape(one) for one in re.findall(r'(?:href|src|data-turned)="([^"#][^"]*)"', page)]


def _says_private(data: bytes) -> bool:
    return MARK.encode() in data or b"98765" in data


@functools.lru_cache(maxsize=256)  # thousands of refusals are word for word the same
def _is_private(data: bytes) -> bool:
    """Whether the marker stands in it, or, in a picture, any of the private picture's colour."""
    if _says_private(data):
        return True
    try:
        colours = Image.open(BytesIO(data)).convert("RGB").getcolors(1 << 24)
    except OSError:
        return False
    return any(r > 200 and g < 60 and b > 200 for _, (r, g, b) in colours)


# What a guest sees


def test_strands_show_others_what_the_sheets_show(client, planted, link) -> None:
    page = client.get(link(sheets=EVERYTHING)).text
    (strand,) = re.findall(r'<li class="strand .*?</li>', page, re.DOTALL)
    assert f'href="#reference-{planted["reference"]["id"]}"' in strand
    assert f'id="reference-{planted["reference"]["id"]}"' in page
    assert "reed, dry" in strand
    assert not _is_private(strand.encode())
    (strand,) = re.findall(
        r'<li class="strand .*?</li>', client.get(link(sheets=["theme"])).text, re.DOTALL
    )
    assert "the call that carries" in strand
    assert "<img" not in strand
    assert "reed, dry" not in strand


def test_the_contents_lead_to_what_is_there(client, planted, link) -> None:
    for sheets in (EVERYTHING, ["theme"], ["references", "spec"]):
        page = client.get(link(sheets=sheets)).text
        (contents,) = re.findall(r'<nav class="guest-contents".*?</nav>', page, re.DOTALL)
        leads = re.findall(r'href="#([\w-]+)"', contents)
        assert len(leads) >= len(sheets)
        assert all(page.count(f'id="{one}"') == 1 for one in leads)


def test_a_guest_reads_what_is_shown_and_nothing_private(client, planted, link) -> None:
    at = link(sheets=EVERYTHING)
    page = client.get(at)
    assert page.status_code == 200
    for shown in ("Saltmarsh", "at low water", "curlew", "open to all", "walnut", "two notes"):
        assert shown in page.text
    pictures = [one for one in _addresses(page.text) if one.startswith(f"{at}/seen/")]
    assert len(pictures) > 8
    for address in pictures:
        answer = client.get(address)
        assert answer.status_code == 200, address
        kind = answer.headers["content-type"]
        assert kind in ("image/jpeg", "image/svg+xml", "model/gltf-binary")
        assert not _is_private(answer.content), address
    assert not _is_private(page.content)
    leads_out = [
        one for one in _addresses(page.text) if not one.startswith((at, "/static/", "http", "data"))
    ]
    assert leads_out == []


def test_the_secret_goes_to_no_other_site_and_into_no_index(client, planted, link) -> None:
    """Referrer Policy (W3C); RFC 9111, 5.2.2.5 (no-store)."""
    headers = client.get(link()).headers
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["x-robots-tag"] == "noindex"
    assert headers["cache-control"] == "no-store"
    assert "script-src" not in headers["content-security-policy"]  # so scripts are from here alone
    assert "default-src 'self'" in headers["content-security-policy"]


@pytest.mark.parametrize("left_out", EVERYTHING)
def test_a_sheet_that_is_not_shown_is_not_there(client, planted, link, left_out: str) -> None:
    whole = client.get(link(sheets=EVERYTHING)).text
    part = client.get(link(sheets=[one for one in EVERYTHING if one != left_out])).text
    only = {
        "theme": "the call that carries",
        "references": "Pictures and passages",
        "spec": "Materials",
        "pairings": "Inlays in their timber",
        "questions": "Which is the mud?",
        "drawing": "Drawn to scale",
        "comments": "two notes",
    }[left_out]
    assert only in whole
    assert only not in part


def test_the_pictures_of_a_sheet_that_is_not_shown_are_not_served(client, planted, link) -> None:
    everything, theme = link(sheets=EVERYTHING), link(sheets=["theme"])
    page = client.get(everything).text
    found = [one for one in _addresses(page) if "/seen/" in one]
    assert found
    for address in found:
        assert client.get(address).status_code == 200
        assert client.get(address.replace(everything, theme)).status_code == 404, address


def test_no_way_leads_to_the_files_or_to_what_is_private(client, planted, link) -> None:
    at = f"{link(sheets=EVERYTHING)}/seen"
    shown, secret = planted["reference"]["picture"], planted["secret"]["picture"]
    walnut = client.get(f"/api/materials/{planted['material']['id']}").json()["texture"]
    tried = [
        shown["original"],
        *(secret[size] for size in ("thumb", "page", "original")),
        f"/images/{secret['sha256']}/texture?mean=50.0,0.0,0.0",
        f"/images/{shown['sha256']}/texture",
        f"{shown['page']}?region=xywh=percent:0,0,50,50",
        walnut.replace("/texture", "/page"),
        walnut + "&region=xywh=percent:0,0,100,100",
        f"/images/{planted['material']['picture']['sha256']}/original",
        f"/api/briefs/{planted['brief']['id']}",
        f"/api/briefs/{planted['brief']['id']}/drawings/fretboard.pdf",
        f"/api/references/{planted['secret']['id']}",
        f"/api/pairings/{planted['pairing']['id']}/picture?state=aged",
        "/static/css/paper.css",
        "/../../brief.sqlite3",
    ]
    for address in tried:
        answer = client.get(at + address)
        assert answer.status_code == 404, address
        assert not _is_private(answer.content)


def test_what_is_marked_private_later_is_gone_at_once(client, planted, link) -> None:
    at, reference = link(sheets=EVERYTHING), planted["reference"]
    address = f"{at}/seen{reference['picture']['page']}"
    assert client.get(address).status_code == 200
    mark = {"private": True}
    client.patch(f"/api/references/{reference['id']}", json=mark, headers={"If-Match": "*"})
    assert client.get(address).status_code == 404
    assert "reeds" not in client.get(at).text


def test_all_text_is_escaped(client, make, brief, link) -> None:
    nasty = '<img src=x onerror="alert(1)"></script>'
    here = {"brief_id": brief["id"]}
    change = {"title": nasty, "theme": nasty}
    client.patch(f"/api/briefs/{brief['id']}", json=change, headers={"If-Match": "*"})
    make("motifs", **here, name=nasty, says=nasty)
    make("references", **here, title=nasty, passage=nasty, credit=nasty)
    make("comments", **here, about_kind="brief", about_id=brief["id"], author=nasty, text=nasty)
    mailed = client.get(f"/api/briefs/{brief['id']}/for-comment.html")
    for page in (client.get(link(sheets=EVERYTHING, name=nasty)), mailed):
        assert "<img src=x" not in page.text
        assert nasty not in page.text


# Links that open nothing


def test_expired_withdrawn_and_guessed_links_answer_alike(
    client, store, make, brief, refused
) -> None:
    shares = [make("shares", brief_id=brief["id"], name="somebody") for _ in range(3)]
    withdrawn, expired, binned = shares
    at = f"/api/shares/{withdrawn['id']}"
    assert client.get(withdrawn["address"]).status_code == 200
    client.patch(at, json={"withdrawn": True}, headers={"If-Match": "*"})
    with store.desk(writing=True) as desk:
        desk.session.get_one(Share, expired["id"]).expires_on = date.today() - timedelta(days=2)
    client.delete(f"/api/shares/{binned['id']}", headers={"If-Match": "*"})
    tokens = [one["address"].removeprefix("/s/") for one in shares] + ["guessed", "x" * 43, "é"]
    html = {"Accept": "text/html"}
    answers = [client.get(f"/s/{token}", headers=html) for token in tokens]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.text for answer in answers}) == 1
    assert "<h1>Nothing opens here</h1>" in answers[0].text
    assert "/briefs" not in answers[0].text
    assert 'href="/"' not in answers[0].text
    said = {"about_kind": "brief", "about_id": brief["id"], "author": "Ines", "text": "hello"}
    for token in tokens:
        body = refused(client.post(f"/s/{token}/comments", json=said), 404, "not_found")
        assert body["detail"] == (
            "This link does not open anything any more, or never did. "
            "Ask whoever sent it for a new one."
        )
    assert client.get("/api/comments").json()["items"] == []


def test_a_brief_in_the_offcuts_bin_is_open_to_nobody(client, brief, link) -> None:
    at = link()
    client.delete(f"/api/briefs/{brief['id']}", headers={"If-Match": "*"})
    assert client.get(at).status_code == 404


@pytest.mark.sqlite
def test_the_secret_is_long_told_once_and_not_kept(client, make, brief, home) -> None:
    """At least 128 bits: OWASP Session Management Cheat Sheet asks 64 of a session, from memory."""
    share = make("shares", brief_id=brief["id"], name="somebody")
    token = share["address"].removeprefix("/s/")
    assert len(base64.urlsafe_b64decode(token + "==")) * 8 >= 128
    assert client.get(f"/api/shares/{share['id']}").json()["address"] is None
    listed = client.get("/api/shares").json()["items"]
    assert [one["address"] for one in listed] == [None]
    changed = client.patch(
        f"/api/shares/{share['id']}", json={"name": "x"}, headers={"If-Match": "*"}
    )
    assert changed.json()["address"] is None
    kept = b"".join(path.read_bytes() for path in home.glob("brief.sqlite3*"))
    assert token.encode() not in kept
    assert share["id"].encode() in kept  # so that it would have been found


def test_what_is_withdrawn_stays_so(client, make, brief, refused) -> None:
    share = make("shares", brief_id=brief["id"], name="somebody")
    at, match = f"/api/shares/{share['id']}", {"If-Match": "*"}
    client.patch(at, json={"withdrawn": True}, headers=match)
    answer = client.patch(at, json={"withdrawn": False}, headers=match)
    refused(answer, 422, "bad_input", "stays so; make a new link", pointer="/withdrawn")
    assert client.get(at).json()["state"] == "withdrawn"


@pytest.mark.parametrize("days", [-1, 400])
def test_a_link_lasts_a_day_at_least_and_a_year_at_most(
    client, brief, refused, on_disk, days: int
) -> None:
    before = on_disk()
    on = (date.today() + timedelta(days=days)).isoformat()
    answer = client.post(
        "/api/shares", json={"brief_id": brief["id"], "name": "x", "expires_on": on}
    )
    refused(answer, 422, "bad_input", "from today until", pointer="/expires_on")
    assert on_disk() == before


# What a guest says


def test_a_guest_says_something_about_each_thing_that_is_shown(client, planted, link) -> None:
    at = f"{link(sheets=EVERYTHING)}/comments"
    for kind in ("brief", "motif", "reference", "part", "pairing"):
        said = {"about_kind": kind, "about_id": planted[kind]["id"], "author": "Ines"}
        answer = client.post(at, json=said | {"text": f"on the {kind}"})
        assert answer.status_code == 201, answer.text
        assert answer.json()["said"].endswith(f": on the {kind}")
    spot = {"region": "xywh=percent:10,20,8,8", "text": "here", "author": "Ines"}
    said = {"about_kind": "reference", "about_id": planted["reference"]["id"]} | spot
    assert client.post(at, json=said).status_code == 201
    comments = client.get("/api/comments", params={"brief_id": planted["brief"]["id"]})
    kept = [one for one in comments.json()["items"] if one["author"] == "Ines"][1:]
    assert [one["about_kind"] for one in kept][:5] == [
        "brief",
        "motif",
        "reference",
        "part",
        "pairing",
    ]
    assert kept[5]["region"] == spot["region"]
    assert {one["state"] for one in kept} == {"open"}


def test_what_cannot_be_said_is_told_why_and_nothing_is_kept(
    client, planted, link, refused, on_disk
) -> None:
    to_read, theme = link(sheets=EVERYTHING, may_comment=False), link(sheets=["theme"])
    at = link(sheets=EVERYTHING)
    whole = {"about_kind": "brief", "about_id": planted["brief"]["id"]}
    said = whole | {"author": "Ines", "text": "hello"}
    secret = {"about_kind": "reference", "about_id": planted["secret"]["id"]}
    before = on_disk()
    for address, change, status, detail, pointer in (
        (to_read, {}, 422, "for reading alone", None),
        (at, {"author": " "}, 422, "Say your first name", "/author"),
        (at, {"text": "\n"}, 422, "Fill this in", "/text"),
        (at, {"text": "x" * 20_001}, 422, "At most 20,000 characters", "/text"),
        (at, {"state": "settled"}, 422, "no such field", "/state"),
        (at, {"region": "here"}, 422, "", "/region"),
        (at, secret, 422, "That part is gone", "/about_id"),
        (at, whole | {"about_kind": "part"}, 422, "That part is gone", "/about_id"),
        (
            theme,
            {"about_kind": "part", "about_id": planted["part"]["id"]},
            422,
            "That part is gone",
            "/about_id",
        ),
    ):
        answer = client.post(f"{address}/comments", json=said | change)
        body = refused(answer, status, "bad_input", detail, pointer=pointer)
        assert MARK not in str(body)
    big = client.post(f"{at}/comments", json=said | {"text": "x" * 1_000_000})
    refused(big, 413, "too_large", "at most 64 kB")
    assert on_disk() == before


@pytest.mark.parametrize("name", ["the maker", " The  Maker"])
def test_nobody_outside_speaks_in_the_makers_name(
    client, planted, link, refused, name: str
) -> None:
    at = link(sheets=EVERYTHING)
    about = {"about_kind": "motif", "about_id": planted["motif"]["id"]}
    said = client.post(f"{at}/comments", json=about | {"author": name, "text": "No."})
    chosen = {"question_id": planted["question"]["id"], "choice": 0, "author": name}
    for answer in (said, client.post(f"{at}/answers", json=chosen)):
        refused(answer, 422, "bad_input", "belongs to the maker", pointer="/author")


def test_some_words_of_a_text_can_be_quoted(client, planted, link) -> None:
    at = f"{link(sheets=EVERYTHING)}/comments"
    said = {"about_kind": "brief", "about_id": planted["brief"]["id"], "author": "Ines"}
    quote = {"quote": "low water", "quote_prefix": "at ", "text": "Half tide, surely."}
    assert client.post(at, json=said | quote).status_code == 201
    kept = client.get("/api/comments", params={"brief_id": planted["brief"]["id"]}).json()["items"]
    assert (kept[-1]["quote"], kept[-1]["came_by"]) == ("low water", "link")


# This or that


def test_a_guest_chooses_and_sees_what_others_chose_only_once_it_is_closed(
    client, planted, link, refused
) -> None:
    at, question = link(), planted["question"]
    assert "the colour of straw" not in client.get(at).text
    mine = {"question_id": question["id"], "choice": 0, "author": "Ines", "why": "grey enough"}
    answer = client.post(f"{at}/answers", json=mine)
    assert answer.status_code == 201
    assert answer.json()["said"] == "You chose the first, walnut."
    again = client.post(f"{at}/answers", json=mine | {"choice": 1})
    assert "the newest counts" in again.json()["said"]
    closing = {"state": "closed"}
    client.patch(f"/api/questions/{question['id']}", json=closing, headers={"If-Match": "*"})
    page = client.get(at).text
    assert "2 of 2 chose the second." in page
    assert "the colour of straw" in page
    assert "%" not in page[page.index("Which is the mud?") : page.index("2 of 2 chose")]
    refused(client.post(f"{at}/answers", json=mine), 422, "bad_input", "is closed")


def test_whole_briefs_and_revisions_are_seen_side_by_side(
    client, make, send, picture, brief, link
) -> None:
    """With the wood that each of them is of, and no other brief or revision has."""
    briefs = [brief, *(make("briefs", title=title) for title in ("Dune", "Reef"))]
    parts = []
    for one, colour in zip(briefs, ((92, 64, 44), (150, 111, 74), (210, 190, 150)), strict=True):
        piece = send((f"{one['title']}.png", picture(colour)), to="materials").json()[0]
        parts += client.get("/api/parts", params={"brief_id": one["id"]}).json()["items"][:1]
        _put(client, parts[-1], piece["id"])
    frozen = make("revisions", brief_id=brief["id"])
    _put(client, parts[0], None)
    choices = [briefs[2]["id"], frozen["id"], briefs[1]["id"]]
    make("questions", brief_id=brief["id"], text="As it was?", choices=choices)
    page = client.get(link(sheets=["questions"])).text
    textures = {one for one in _addresses(page) if "texture" in one}
    assert len(textures) == 3
    assert {client.get(one).status_code for one in textures} == {200}


def _put(client, part: dict, material_id: str | None) -> None:
    chosen, etag = {"material_id": material_id}, {"If-Match": "*"}
    assert client.patch(f"/api/parts/{part['id']}", json=chosen, headers=etag).is_success


def test_what_is_not_asked_of_a_guest_cannot_be_answered(
    client, make, planted, link, refused
) -> None:
    mine = {"question_id": planted["question"]["id"], "choice": 0, "author": "Ines"}
    not_shown = client.post(f"{link(sheets=['theme'])}/answers", json=mine)
    refused(not_shown, 422, "bad_input", "not asked here any more", pointer="/question_id")
    at = f"{link()}/answers"
    nameless = client.post(at, json=mine | {"author": ""})
    refused(nameless, 422, "bad_input", "Say your first name", pointer="/author")
    for choice in (4, -1, "left"):
        answer = client.post(at, json=mine | {"choice": choice})
        refused(answer, 422, "bad_input", pointer="/choice")


def test_what_was_removed_is_asked_of_nobody_and_the_rest_still_goes_out(
    client, planted, link
) -> None:
    at, reference = link(sheets=EVERYTHING), planted["reference"]
    sheet = f"/briefs/{planted['brief']['id']}/comments"
    kept = "Others do not see this question"
    assert client.get(sheet).text.count(kept) == 1  # the one about the private picture
    client.delete(f"/api/references/{reference['id']}", headers={"If-Match": "*"})
    page = client.get(at)
    assert "Which is the mud?" not in page.text
    assert "reeds" not in page.text
    pictures = [one for one in _addresses(page.text) if one.startswith(f"{at}/seen/")]
    assert {client.get(address).status_code for address in pictures} == {200}
    mailed = client.get(f"/api/briefs/{planted['brief']['id']}/for-comment.html")
    assert mailed.status_code == 200
    assert "Which is the mud?" not in mailed.text
    assert client.get(sheet).text.count(kept) == 2
    assert "“reeds” lies in the offcuts bin" in client.get(sheet).text


# Frozen


def test_a_link_to_a_revision_shows_the_brief_as_it_was(client, make, planted, link) -> None:
    frozen = make("revisions", brief_id=planted["brief"]["id"])
    at = link(sheets=EVERYTHING, revision_id=frozen["id"])
    now = link(sheets=EVERYTHING)
    change, match = {"theme": "Another theme by now."}, {"If-Match": "*"}
    client.patch(f"/api/briefs/{planted['brief']['id']}", json=change, headers=match)
    client.patch(f"/api/parts/{planted['part']['id']}", json={"material_id": None}, headers=match)
    page = client.get(at)
    assert "Rev A, as it was" in page.text
    assert "at low water" in page.text
    assert "Another theme" not in page.text
    assert "Another theme" in client.get(now).text
    pictures = [one for one in _addresses(page.text) if one.startswith(f"{at}/seen/")]
    assert len(pictures) > 8
    assert {client.get(address).status_code for address in pictures} == {200}
    assert not _is_private(page.content)


def test_the_maker_chooses_which_state_a_link_shows_and_sees_which(client, make, brief, link):
    sheet = f"/briefs/{brief['id']}/sharing"
    assert 'name="revision_id"' not in client.get(sheet).text  # nothing to choose from yet
    frozen = make("revisions", brief_id=brief["id"])
    link(), link(revision_id=frozen["id"])
    page = client.get(sheet).text
    assert f'<option value="{frozen["id"]}">Rev A, ' in page
    said = re.findall(r"to read and comment ·( Rev A ·)? shows", page)
    assert said == [" Rev A ·", ""]  # newest first


def test_what_is_private_by_now_is_private_in_an_older_revision_too(
    client, make, planted, link
) -> None:
    frozen = make("revisions", brief_id=planted["brief"]["id"])
    at, reference = link(sheets=EVERYTHING, revision_id=frozen["id"]), planted["reference"]
    address = f"{at}/seen{reference['picture']['page']}"
    assert client.get(address).status_code == 200
    mark = {"private": True}
    client.patch(f"/api/references/{reference['id']}", json=mark, headers={"If-Match": "*"})
    assert client.get(address).status_code == 404
    assert "reeds" not in client.get(at).text


def test_what_was_removed_by_now_is_gone_from_an_older_revision_too_until_it_is_taken_back(
    client, make, planted, link
) -> None:
    """References and notes; parts, pairings and motifs are the design and stay as it was."""
    brief, reference, motif = planted["brief"], planted["reference"], planted["motif"]
    frozen = make("revisions", brief_id=brief["id"])
    at, match = link(sheets=EVERYTHING, revision_id=frozen["id"]), {"If-Match": "*"}
    address = f"{at}/seen{reference['picture']['page']}"
    note = client.get("/api/notes", params={"about_id": motif["id"]}).json()["items"][0]
    gone = [f"/api/references/{reference['id']}", f"/api/notes/{note['id']}"]

    def shown() -> list[bool]:
        page = client.get(at).text
        return ["reeds" in page, "open to all" in page, client.get(address).is_success]

    assert shown() == [True, True, True]
    gone.append(f"/api/motifs/{motif['id']}")
    back = [client.delete(one, headers=match).json()["take_back"] for one in gone]
    assert shown() == [False, False, False]
    assert "curlew" in client.get(at).text
    on_it = {"about_kind": "reference", "about_id": reference["id"], "author": "Ines", "text": "?"}
    assert client.post(f"{at}/comments", json=on_it).status_code == 422
    assert "offcuts bin" in client.get(f"/briefs/{brief['id']}/sharing").text
    for one in reversed(back):
        assert client.post(one).is_success
    assert shown() == [True, True, True]


def test_a_guest_of_a_revision_speaks_of_the_brief(client, make, planted, link) -> None:
    frozen = make("revisions", brief_id=planted["brief"]["id"])
    at = link(sheets=EVERYTHING, revision_id=frozen["id"])
    change, match = {"theme": "Another theme by now."}, {"If-Match": "*"}
    client.patch(f"/api/briefs/{planted['brief']['id']}", json=change, headers=match)
    said = {"about_kind": "brief", "about_id": planted["brief"]["id"], "author": "Ines"}
    quote = {"quote": "low water", "text": "Half tide, surely."}
    assert client.post(f"{at}/comments", json=said | quote).status_code == 201
    kept = client.get("/api/comments", params={"brief_id": planted["brief"]["id"]}).json()["items"]
    assert (kept[-1]["quote"], kept[-1]["text"]) == ("low water", "Half tide, surely.")
    assert kept[-1]["since"] == "The words that it is about do not stand there any more."


def test_a_guest_of_a_revision_learns_nothing_of_the_brief_as_it_is_now(
    client, make, planted, link, refused
) -> None:
    """Neither what a thing is called by now, nor, by guessing, which words stand in it."""
    frozen = make("revisions", brief_id=planted["brief"]["id"])
    at, match = link(sheets=EVERYTHING, revision_id=frozen["id"]), {"If-Match": "*"}
    motif = planted["motif"]
    change = {"name": "whimbrel", "says": "seven notes in a row"}
    client.patch(f"/api/motifs/{motif['id']}", json=change, headers=match)
    about = {"about_kind": "motif", "about_id": motif["id"]}
    make("comments", brief_id=planted["brief"]["id"], **about, quote="seven notes", text="Count!")
    said = about | {"author": "Ines", "text": "Louder."}
    answer = client.post(f"{at}/comments", json=said)
    assert answer.json()["said"] == "Ines on curlew: Louder."
    stands, stood, never = (
        client.post(f"{at}/comments", json=said | {"quote": words})
        for words in ("seven notes", "the call", "eight notes")
    )
    assert stood.json()["said"] == "Ines on curlew: Louder."
    for guessed in (stands, never):
        refused(guessed, 422, "bad_input", "do not stand there", pointer="/quote")
    page = client.get(at).text
    assert "Count!" in page  # what others say is shown, but not the words of today
    for today in ("whimbrel", "seven notes", "any more"):
        assert today not in page
    assert "seven notes" in client.get(link(sheets=EVERYTHING)).text


def test_what_is_said_of_a_thing_that_only_the_revision_has_is_kept_on_the_brief(
    client, make, planted, link
) -> None:
    frozen = make("revisions", brief_id=planted["brief"]["id"])
    at = link(sheets=EVERYTHING, revision_id=frozen["id"])
    motif, match = planted["motif"], {"If-Match": "*"}
    client.delete(f"/api/motifs/{motif['id']}", headers=match)
    assert "curlew" in client.get(at).text
    said = {"about_kind": "motif", "about_id": motif["id"], "author": "Ines", "text": "Louder."}
    answer = client.post(f"{at}/comments", json=said | {"quote": "carries"})
    assert answer.json()["said"] == "Ines on curlew: Louder."
    kept = client.get("/api/comments", params={"brief_id": planted["brief"]["id"]}).json()["items"]
    last = kept[-1]
    assert (last["about_kind"], last["quote"], last["text"]) == ("brief", "", "Louder.")
    assert last["since"] == (
        "Said about the motif “curlew”, which has been removed since. "
        "It is about these words: “carries”."
    )
    secret = said | {"about_kind": "reference", "about_id": planted["secret"]["id"]}
    assert client.post(f"{at}/comments", json=secret).status_code == 422


# Too often


def test_who_tries_many_wrong_links_has_to_wait_and_the_right_one_opens_all_the_same(
    client, planted, link, refused
) -> None:
    at = link()
    for _ in range(20):
        assert client.get("/s/guessed").status_code == 404
    answer = client.get("/s/guessed", headers={"Accept": "application/json"})
    body = refused(answer, 429, "too_many", "Too many tries from your address")
    assert body["status"] == 429
    assert int(answer.headers["retry-after"]) > 0
    assert client.get(at).status_code == 200


def test_one_who_says_too_much_at_once_has_to_wait_and_others_have_not(
    client, planted, link, refused
) -> None:
    mine, other = link(), link()
    said = {"about_kind": "brief", "about_id": planted["brief"]["id"], "author": "Ines"}
    answers = [client.post(f"{mine}/comments", json=said | {"text": "!"}) for _ in range(41)]
    assert {answer.status_code for answer in answers[:40]} == {201}
    refused(answers[40], 429, "too_many", "Try again in")
    assert client.post(f"{other}/comments", json=said | {"text": "!"}).status_code == 201


@pytest.fixture
def browser(client, app):
    """A browser of its own, with no cookies yet, at an address: `browser("192.0.2.9")`."""

    def opened(address: str) -> TestClient:
        return TestClient(app, client=(address, 50000))

    return opened


@pytest.mark.slow
@pytest.mark.parametrize(
    ("address", "guests"), [("203.0.113.9", 200), ("192.168.1.20", 45), ("2001:db8:1:2::1", 45)]
)
def test_two_hundred_guests_behind_one_address_speak_while_one_floods(
    app, planted, link, browser, refused, address: str, guests: int
) -> None:
    app.state.limits = RateLimits(clock=lambda: 0.0)  # all at one moment
    at = link(sheets=["theme"])
    said = {"about_kind": "brief", "about_id": planted["brief"]["id"], "text": "!"}
    flooding = browser(address)
    flooding.get(at)
    flood = {"author": "Storm"} | said
    answers = [flooding.post(f"{at}/comments", json=flood) for _ in range(60)]
    assert [answer.status_code for answer in answers] == [201] * 40 + [429] * 20
    refused(answers[-1], 429, "too_many", "Too many comments from this browser. Try again in")
    for number in range(guests):
        guest = browser(address)
        assert guest.get(at).status_code == 200
        answer = guest.post(f"{at}/comments", json=said | {"author": f"guest {number}"})
        assert answer.status_code == 201, number
        if number % 20 == 0:
            assert flooding.post(f"{at}/comments", json=flood).status_code == 429


@pytest.mark.slow
def test_a_script_is_held_by_its_address_and_by_the_link_whatever_cookies_it_makes_up(
    app, planted, link, browser, refused
) -> None:
    """The sums of all browsers, made small here."""
    sums = {"link at address": Rate(30, 600), "address": Rate(50, 600), "link": Rate(70, 600)}
    app.state.limits = RateLimits(RATES | sums, clock=lambda: 0.0)
    links = [link() for _ in range(3)]
    said = {"about_kind": "brief", "about_id": planted["brief"]["id"], "author": "x", "text": "!"}

    def taken(address: str, at: str) -> int:
        """How many of a hundred comments are taken, each with another cookie."""
        script = browser(address)
        answers = [
            script.post(
                f"{at}/comments", json=said, headers={"Cookie": f"brief_guest={number:022}"}
            ).status_code
            for number in range(100)
        ]
        assert set(answers) == {201, 429}
        return answers.count(201)

    assert [taken("192.0.2.1", at) for at in links[:2]] == [30, 20]
    refused(browser("192.0.2.1").post(f"{links[2]}/comments", json=said), 429, "too_many")
    # Elsewhere the link still takes what others say, up to its own sum.
    assert [taken(f"192.0.2.{number}", links[0]) for number in (2, 3)] == [30, 10]


@pytest.mark.parametrize(
    "cookie", ["", "brief_guest=", "brief_guest=short", "brief_guest=" + "é" * 22]
)
def test_without_a_cookie_of_ours_all_at_one_address_are_one(
    planted, link, browser, refused, cookie: str
) -> None:
    at = f"{link()}/comments"
    said = {"about_kind": "brief", "about_id": planted["brief"]["id"], "author": "x", "text": "!"}
    headers = {"Cookie": cookie.encode("latin-1")}
    answers = [browser("192.0.2.1").post(at, json=said, headers=headers) for _ in range(41)]
    assert [answer.status_code for answer in answers] == [201] * 40 + [429]
    refused(answers[-1], 429, "too_many", "from this browser")
    assert browser("192.0.2.2").post(at, json=said, headers=headers).status_code == 201


@pytest.mark.parametrize("scheme", ["http", "https"])
def test_the_cookie_that_tells_guests_apart_names_nobody_and_stays_here(
    planted, link, app, scheme: str
) -> None:
    """RFC 6265bis, 4.1.2; without Max-Age it ends with the browser."""
    at = link()
    given = [TestClient(app, base_url=f"{scheme}://testserver").get(at) for _ in range(2)]
    first, second = (SimpleCookie(one.headers["set-cookie"])["brief_guest"] for one in given)
    assert first.value != second.value
    assert re.fullmatch(r"[\w-]{22}", first.value)
    assert (first["path"], first["domain"], first["max-age"], first["expires"]) == (
        "/s/",
        "",
        "",
        "",
    )
    assert (first["httponly"], first["samesite"].lower()) == (True, "lax")
    assert bool(first["secure"]) == (scheme == "https")
    again = TestClient(app, base_url=f"{scheme}://testserver", cookies={"brief_guest": first.value})
    assert "set-cookie" not in again.get(at).headers


# The file by mail


def test_the_file_by_mail_needs_nothing_beside_it(client, planted) -> None:
    answer = client.get(f"/api/briefs/{planted['brief']['id']}/for-comment.html")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"].startswith(
        "attachment; filename*=UTF-8''Saltmarsh"
    )
    loads = [
        one
        for one in _addresses(answer.text)
        if not one.startswith(("data:", "https://creativecommons", "http://rights"))
    ]
    assert loads == []
    assert "default-src 'none'" in answer.text


def test_nothing_private_is_in_the_file_by_mail(client, planted) -> None:
    sheets = [("sheets", one) for one in EVERYTHING]
    at = f"/api/briefs/{planted['brief']['id']}/for-comment.html"
    page = client.get(at, params=sheets)
    assert page.status_code == 200
    pictures = re.findall(r'"data:image/[a-z+]+;base64,([^"]+)"', page.text)
    assert len(pictures) > 8
    assert not _is_private(page.content)
    assert not any(_is_private(base64.b64decode(one)) for one in pictures)
    # All of the script runs, and no other: CSP Level 3, hash sources.
    script = re.search(r"<script>(.*)</script>", page.text, re.DOTALL)
    assert script
    assert "data-guest" in script[1]


@pytest.mark.slow
def test_forty_pictures_are_under_ten_megabytes(client, store, send, brief, monkeypatch) -> None:
    """Pictures as heavy as pictures get: noise, which no JPEG makes small."""
    noise = Image.effect_noise((1400, 1050), 90).convert("RGB")
    target = BytesIO()
    noise.save(target, "JPEG", quality=90)
    for number in range(40):
        # Another comment makes another file of the same picture, which is quick to make.
        data = target.getvalue() + bytes([number])
        assert send((f"{number}.jpg", data)).status_code == 201
    page = client.get(f"/api/briefs/{brief['id']}/for-comment.html")
    assert page.status_code == 200
    assert page.text.count("data:image/jpeg") == 40
    assert len(page.content) < 10_000_000


def test_all_comments_as_a_file_leave_out_what_others_never_see_if_asked(
    client, make, planted, refused
) -> None:
    """On the maker's sheet that is ticked; the whole file is for the maker's own programs."""
    brief, here = planted["brief"], {"brief_id": planted["brief"]["id"]}
    at = f"/api/briefs/{brief['id']}/comment-file"
    on_material = {"about_kind": "material", "about_id": planted["material"]["id"]}
    make("comments", **here, **on_material, text=f"cheap {MARK}")
    on_shown = {"about_kind": "reference", "about_id": planted["reference"]["id"]}
    make("comments", **here, **on_shown, author="Tom", text="the right reed")
    for question in client.get("/api/questions", params=here).json()["items"]:
        make("answers", question_id=question["id"], choice=0, author="Ines", why="I see")
        closing = {"state": "closed"}
        client.patch(f"/api/questions/{question['id']}", json=closing, headers={"If-Match": "*"})
    whole, part = client.get(at), client.get(at, params={"leave_out": "private"})
    assert MARK in whole.text
    assert not _is_private(part.content)
    for said in ("two notes", "the right reed", "Which is the mud?", "the colour of straw"):
        assert said in part.text
    kept = {one["id"] for one in part.json()["items"]}
    assert kept < {one["id"] for one in whole.json()["items"]}
    assert len(whole.json()["items"]) - len(kept) == 3  # two comments and an answer
    sheet = client.get(f"/briefs/{brief['id']}/comments").text
    assert re.search(r'name="leave_out" value="private"[^>]* checked>', sheet)
    refused(client.get(at, params={"leave_out": "all"}), 422, "bad_input", pointer="/leave_out")
