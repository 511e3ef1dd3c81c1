"""What every noun can do through HTTP: list, make, read, change, remove, take back."""

from __future__ import annotations

import threading
from collections import Counter

import pytest

from brief.services import nouns

NOUNS = [noun.many for noun in nouns.NOUNS]
# A change that any record of the noun can take, and the field that shows it.
CHANGES = {
    "briefs": {"title": "Low water"},
    "kinds": {"name": "Boatbuilder’s parlour"},
    "tracings": {"name": "Boatbuilder’s mould"},
    "motifs": {"says": "dry, in March"},
    "notes": {"text": "asked"},
    "references": {"credit": "the maker"},
    "palettes": {"name": "reeds"},
    "swatches": {"name": "verdigris"},
    "materials": {"species": "Juglans nigra"},
    "photographs": {"state": "finished"},
    "finish-tests": {"name": "French polish"},
    "stocks": {"source": "the guild’s loft"},
    "viewings": {"distance_m": 3.0},
    "climates": {"month": 5},
    "inlays": {"frets": [5, 7]},
    "stages": {"slow_h": 8.0},
    "absences": {"name": "Easter at the sea"},
    "stops": {"address": "stand 12"},
    "legs": {"by": "night train"},
    "stays": {"booking": "STAND-12"},
    "contacts": {"reach": "at the harbour"},
    "things-to-pack": {"packed": True},
    "attachments": {"name": "Ticket there"},
    "bought-parts": {"number": 2},
    "pieces-used": {"share": 55.5},
    "pairings": {"place": "12th fret"},
    "parts": {"finish": "French polish"},
    "studio-pictures": {"private": False},
    "comments": {"state": "settled"},
    "shares": {"name": "the boatbuilder"},
    "calendar-links": {"name": "the bench tablet"},
    "revisions": {"note": "as shown to the boatbuilder"},
    "questions": {"state": "closed"},
    "answers": {"why": "it is quieter"},
}


def test_there_is_a_change_to_try_for_every_noun() -> None:
    assert set(CHANGES) == set(NOUNS)


@pytest.mark.parametrize("noun", NOUNS)
def test_from_making_to_taking_back(client, one_of, noun: str) -> None:
    made = one_of(noun)
    at = f"/api/{noun}/{made['id']}"

    read = client.get(at)
    assert read.status_code == 200
    assert read.json() == made
    assert read.headers["etag"] == made["etag"] == '"1"'
    assert made["id"] in [item["id"] for item in client.get(f"/api/{noun}").json()["items"]]

    changed = client.patch(at, json=CHANGES[noun], headers={"If-Match": made["etag"]})
    assert changed.status_code == 200
    assert changed.json() | CHANGES[noun] == changed.json()
    assert changed.headers["etag"] == changed.json()["etag"] == '"2"'
    assert changed.json()["changed_utc"] > made["changed_utc"]
    assert changed.json()["created_utc"] == made["created_utc"]
    assert client.get(at).json() == changed.json()

    along = client.get(f"{at}/along").json()["along"]
    removed = client.delete(at, headers={"If-Match": '"2"'})
    assert removed.status_code == 200
    assert removed.json()["along"] == along
    assert removed.json()["removed"]
    assert client.get(at).status_code == 404
    listed = client.get(f"/api/{noun}").json()["items"]
    assert made["id"] not in [item["id"] for item in listed]
    in_bin = client.get("/api/offcuts").json()
    assert [(one["id"], one["label"]) for one in in_bin] == [
        (made["id"], removed.json()["removed"])
    ]

    back = client.post(removed.json()["take_back"])
    assert back.status_code == 200
    assert back.headers["etag"] == back.json()["etag"]
    ignored = {"etag", "changed_utc"}
    assert {k: v for k, v in back.json().items() if k not in ignored} == {
        k: v for k, v in changed.json().items() if k not in ignored
    }
    assert client.get("/api/offcuts").json() == []


def test_what_was_made_says_where_it_is(client, brief) -> None:
    response = client.post("/api/motifs", json={"brief_id": brief["id"], "name": "reed"})
    assert response.status_code == 201
    assert response.headers["location"] == f"/api/motifs/{response.json()['id']}"
    assert client.get(response.headers["location"]).json() == response.json()


@pytest.mark.parametrize("noun", NOUNS)
@pytest.mark.parametrize("way", ["read", "along", "change", "remove", "take back"])
def test_an_unknown_id_is_not_found(client, on_disk, refused, noun: str, way: str) -> None:
    at, match = f"/api/{noun}/01JD8Q5Z7M3K2V9X4T6R8W0Y1A", {"If-Match": "*"}
    before = on_disk()
    response = {
        "read": lambda: client.get(at),
        "along": lambda: client.get(f"{at}/along"),
        "change": lambda: client.patch(at, json=CHANGES[noun], headers=match),
        "remove": lambda: client.delete(at, headers=match),
        "take back": lambda: client.post(f"{at}/take-back"),
    }[way]()
    refused(response, 404, "not_found", r"There is no [a-z ]+ “01JD8Q5Z7M3K2V9X4T6R8W0Y1A”")
    assert on_disk() == before


# Versions: RFC 9110 sections 8.8.3 and 13.1.1; 428 is RFC 6585 section 3.


@pytest.mark.parametrize("noun", NOUNS)
def test_a_change_without_a_version_is_refused(client, one_of, on_disk, refused, noun: str) -> None:
    at, before = f"/api/{noun}/{one_of(noun)['id']}", on_disk()
    for response in (client.patch(at, json=CHANGES[noun]), client.delete(at)):
        refused(response, 428, "if_match_missing", r"send its ETag as If-Match\. Nothing was")
    assert on_disk() == before


@pytest.mark.parametrize("noun", NOUNS)
def test_a_stale_version_is_refused(client, one_of, on_disk, refused, noun: str) -> None:
    made = one_of(noun)
    at, stale = f"/api/{noun}/{made['id']}", {"If-Match": made["etag"]}
    assert client.patch(at, json=CHANGES[noun], headers=stale).status_code == 200
    before = on_disk()
    for response in (
        client.patch(at, json=CHANGES[noun], headers=stale),
        client.delete(at, headers=stale),
    ):
        refused(response, 412, "changed_meanwhile", "was changed since this page was opened")
    assert on_disk() == before


@pytest.mark.parametrize(
    "tags",
    ['"1"', "*", " * ", '"7", "1"', '"7","1"', 'W/"2" , "1",', '"a,b", "1"', [b'"7"', b'"1"']],
)
def test_any_of_several_tags_will_do(client, brief, tags: str | list[bytes]) -> None:
    headers = [("If-Match", tag) for tag in ([tags] if isinstance(tags, str) else tags)]
    answer = client.patch(f"/api/briefs/{brief['id']}", json={"title": "Low"}, headers=headers)
    assert answer.status_code == 200
    assert answer.headers["etag"] == '"2"'


@pytest.mark.parametrize("tags", ['W/"1"', '"7", W/"1"', '""', '"11", "01"', '"1, 2"'])
def test_a_tag_must_match_strongly(client, brief, on_disk, refused, tags: str) -> None:
    """A weak tag never does."""
    at, before = f"/api/briefs/{brief['id']}", on_disk()
    for answer in (
        client.patch(at, json={"title": "Low"}, headers={"If-Match": tags}),
        client.delete(at, headers={"If-Match": tags}),
    ):
        refused(answer, 412, "changed_meanwhile")
    assert on_disk() == before


@pytest.mark.parametrize("tags", ["1", '"1', '*, "1"', '"1" or "2"', ",", "w/1"])
def test_what_is_no_tag_is_said_to_be_none(client, brief, on_disk, refused, tags: str) -> None:
    at, before = f"/api/briefs/{brief['id']}", on_disk()
    for answer in (
        client.patch(at, json={"title": "Low"}, headers={"If-Match": tags}),
        client.delete(at, headers={"If-Match": tags}),
    ):
        detail = r"If-Match is \* or an ETag in its quotes"
        refused(answer, 422, "bad_input", detail, pointer="/if-match")
    assert on_disk() == before


@pytest.mark.parametrize("noun", NOUNS)
def test_a_change_of_nothing_changes_nothing(client, one_of, on_disk, noun: str) -> None:
    made = one_of(noun)
    before = on_disk()
    answer = client.patch(f"/api/{noun}/{made['id']}", json={}, headers={"If-Match": made["etag"]})
    assert answer.status_code == 200
    assert answer.json() == made
    assert answer.headers["etag"] == made["etag"]
    assert on_disk() == before


def test_of_two_changes_at_once_one_wins_and_the_other_is_told(client, brief) -> None:
    at = f"/api/briefs/{brief['id']}"
    together = threading.Barrier(2)
    answers = {}

    def change(title: str) -> None:
        together.wait()
        answers[title] = client.patch(
            at, json={"title": title}, headers={"If-Match": brief["etag"]}
        ).status_code

    threads = [threading.Thread(target=change, args=(title,)) for title in ("one", "other")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert Counter(answers.values()) == Counter([200, 412])
    (winner,) = (title for title, status in answers.items() if status == 200)
    assert client.get(at).json()["title"] == winner
    assert client.get(at).json()["etag"] == '"2"'


def test_a_change_leaves_alone_what_it_does_not_name(client, make) -> None:
    made = make("materials", label="walnut", species="Juglans nigra", price=80)
    changed = client.patch(
        f"/api/materials/{made['id']}", json={"price": None}, headers={"If-Match": made["etag"]}
    ).json()
    assert (changed["label"], changed["species"], changed["price"]) == (
        "walnut",
        "Juglans nigra",
        None,
    )


@pytest.mark.parametrize(
    ("noun", "field"),
    [
        ("motifs", "brief_id"),
        ("notes", "about_id"),
        ("palettes", "region"),
        ("palettes", "colours"),
        ("swatches", "palette_id"),
        ("comments", "reply_to"),
        ("photographs", "material_id"),
        ("finish-tests", "material_id"),
    ],
)
def test_what_is_settled_cannot_be_changed(
    client, one_of, on_disk, refused, noun: str, field: str
) -> None:
    made, before = one_of(noun), on_disk()
    response = client.patch(
        f"/api/{noun}/{made['id']}", json={field: "x"}, headers={"If-Match": made["etag"]}
    )
    refused(response, 422, "bad_input", "There is no such field", pointer=f"/{field}")
    assert on_disk() == before


# Cursors


def test_a_long_list_comes_whole_in_pages_and_without_repeats(client, make, brief) -> None:
    names = [f"motif {number}" for number in range(23)]
    for name in names:
        make("motifs", brief_id=brief["id"], name=name)
    found, sizes, at = [], [], f"/api/motifs?brief_id={brief['id']}&limit=10"
    while at:
        answer = client.get(at)
        page = answer.json()
        found += [item["name"] for item in page["items"]]
        sizes.append(len(page["items"]))
        # RFC 8288: the next page as a link, if there is one.
        assert ("next" in answer.links) == (page["next"] is not None)
        if page["next"]:
            assert page["next"] == page["items"][-1]["id"]
        at = answer.links["next"]["url"] if page["next"] else None
    assert found == names
    assert sizes == [10, 10, 3]


def test_records_made_while_paging_are_neither_missed_nor_repeated(client, make, brief) -> None:
    names = [f"motif {number}" for number in range(4)]
    made = [make("motifs", brief_id=brief["id"], name=name) for name in names]
    first = client.get("/api/motifs?limit=2").json()
    make("motifs", brief_id=brief["id"], name="late")
    client.delete(f"/api/motifs/{made[1]['id']}", headers={"If-Match": "*"})  # the cursor itself
    rest = client.get("/api/motifs", params={"limit": 10, "after": first["next"]}).json()
    assert [item["name"] for item in rest["items"]] == ["motif 2", "motif 3", "late"]
    assert rest["next"] is None


def test_a_full_last_page_is_known_to_be_the_last(client, make, brief) -> None:
    for name in ("one", "two"):
        make("motifs", brief_id=brief["id"], name=name)
    assert client.get("/api/motifs?limit=2").json()["next"] is None


@pytest.mark.parametrize(
    ("query", "pointer", "detail"),
    [
        ("limit=0", "/limit", "at least 1"),
        ("limit=201", "/limit", "at most 200"),
        ("limit=many", "/limit", "whole number; got “many”"),
        ("limit=NaN", "/limit", "whole number"),
        ("page=2", "/page", "no such field"),
        ("after=yesterday", "/after", "“after” must be the “next” value of the previous page"),
        ("after=", "/after", "must be the “next” value"),
        ("after=01jd8q5z7m3k2v9x4t6r8w0y1a", "/after", "must be the “next” value"),
        (
            "after=81JD8Q5Z7M3K2V9X4T6R8W0Y1A",
            "/after",
            "must be the “next” value",
        ),  # beyond 128 bits
    ],
)
def test_a_list_is_asked_for_within_bounds(
    client, refused, query: str, pointer: str, detail: str
) -> None:
    refused(client.get(f"/api/motifs?{query}"), 422, "bad_input", detail, pointer=pointer)


def test_lists_are_narrowed_by_their_fields(client, make, one_of) -> None:
    other = make("briefs", title="High moor")
    heather = make("motifs", brief_id=other["id"], name="heather")
    make("materials", label="shell", stuff="shell", reading="Lab 88 0 3")
    brief, palette = one_of("briefs"), one_of("palettes")
    for noun in ("notes", "comments", "materials"):
        one_of(noun)
    for at, wanted in {
        f"motifs?brief_id={other['id']}": ["heather"],
        f"palettes?reference_id={palette['reference_id']}": ["reed bed"],
        "palettes?reference_id=elsewhere": [],
        "materials?stuff=shell": ["shell"],
        f"notes?about_id={heather['id']}": [],
        f"notes?about_id={brief['id']}": ["ask about the case"],
        "comments?state=settled": [],
        "comments?state=open": ["too dark"],
    }.items():
        items = client.get(f"/api/{at}").json()["items"]
        assert [item.get("name", item.get("label", item.get("text"))) for item in items] == wanted


def test_a_list_of_an_unknown_brief_is_not_found(client, refused) -> None:
    refused(client.get("/api/motifs?brief_id=nowhere"), 404, "not_found", "no brief “nowhere”")


def test_before_a_piece_goes_the_parts_made_of_it_are_named(client, make, brief) -> None:
    walnut = make("materials", label="walnut", reading="Lab 30 9 15")
    make("parts", brief_id=brief["id"], role="top", name="Top", material_id=walnut["id"])
    at = f"/api/materials/{walnut['id']}"
    assert client.get(f"{at}/along").json() == {"along": [], "also": ["Top of Saltmarsh"]}
    removed = client.delete(at, headers={"If-Match": "*"}).json()
    assert (removed["along"], removed["also"]) == ([], ["Top of Saltmarsh"])


# What only one noun can do


def test_a_part_is_followed_back_to_its_motif(client, make, send, brief, picture, refused) -> None:
    motif = make("motifs", brief_id=brief["id"], name="reed")
    reference = send(("reeds.png", picture()), motif_ids=motif["id"]).json()[0]
    palette = make("palettes", reference_id=reference["id"], colours=2)
    swatch = make(
        "swatches", brief_id=brief["id"], palette_id=palette["id"], palette_index=0, name="dry"
    )
    part = make("parts", brief_id=brief["id"], role="binding", swatch_id=swatch["id"])
    thread = client.get(f"/api/parts/{part['id']}/thread").json()
    assert [thread[step]["id"] for step in ("part", "swatch", "palette", "reference")] == [
        part["id"],
        swatch["id"],
        palette["id"],
        reference["id"],
    ]
    assert [one["name"] for one in thread["motifs"]] == ["reed"]
    refused(client.get("/api/parts/nowhere/thread"), 404, "not_found", "no part “nowhere”")


def test_pictures_are_served_small_and_as_they_were_given(client, send, picture, refused) -> None:
    data = picture(size=(900, 600))
    shown = send(("reeds.png", data)).json()[0]["picture"]
    original = client.get(shown["original"])
    assert original.content == data
    assert original.headers["content-type"] == "image/png"
    assert "immutable" in original.headers["cache-control"]
    thumb = client.get(shown["thumb"])
    assert thumb.headers["content-type"] == "image/jpeg"
    assert len(thumb.content) > 100
    cut = client.get(f"/images/{shown['sha256']}/texture?region=xywh=percent:0,0,50,50")
    assert cut.status_code == 200
    for region, detail in (("top left", "four numbers"), ("xywh=percent:60,0,50,9", "lie")):
        answer = client.get(f"/images/{shown['sha256']}/thumb", params={"region": region})
        refused(answer, 422, "bad_input", detail, pointer="/region")
    nothing = "0" * 64
    refused(client.get(f"/images/{nothing}/thumb"), 404, "not_found", "no such picture")
    refused(client.get(f"/images/{nothing}/original"), 404, "not_found", "no such picture")
    refused(client.get(f"/images/{nothing}/huge"), 422, "bad_input", "one of", pointer="/size")
    refused(client.get("/images/..%2fbrief/thumb"), 404, "not_found", "There is nothing at")


@pytest.mark.parametrize(
    ("sent", "title"),
    [
        ("reeds%0Aat low water.jpg", "reeds at low water"),
        ("the %22Heron%22.jpg", 'the "Heron"'),
        ("50%25 dry, %41.jpg", "50%25 dry, %41"),
    ],
)
def test_a_title_is_the_name_of_the_file_without_what_forms_make_of_it(
    client, brief, picture, sent: str, title: str
) -> None:
    """A browser sends line ends and quotes as %0A, %0D and %22, and no other sign so: WHATWG HTML,
    4.10.21.8, multipart form data (from memory)."""
    body = (
        b"--edge\r\nContent-Disposition: form-data; name=brief_id\r\n\r\n"
        + brief["id"].encode()
        + f'\r\n--edge\r\nContent-Disposition: form-data; name=files; filename="{sent}"'.encode()
        + b"\r\nContent-Type: image/png\r\n\r\n"
        + picture()
        + b"\r\n--edge--\r\n"
    )
    kind = {"Content-Type": "multipart/form-data; boundary=edge"}
    answer = client.post("/api/references/pictures", content=body, headers=kind)
    assert answer.json()[0]["title"] == title
