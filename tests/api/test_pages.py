"""Pages: whatever a maker types is shown as text, on every page that shows it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html.parser import HTMLParser

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brief.api.templates import Pages
from brief.places import web_folder
from brief.services.common.field_types import TURNING
from brief.services.sheets import SHEETS
from tests.api.once import fixture_once

MARKUP = "\"'><script>alert(1)</script><img src=x onerror=alert(1)>{{7*7}}</textarea></title>"


class _Page(HTMLParser):
    """What a browser makes of a page: its elements with their attributes, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.text: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attributes}))

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def _harmless(text: str) -> _Page:
    """Check that nothing typed has become part of the page itself."""
    page = _Page(text)
    for tag, attributes in page.elements:
        assert not [name for name in attributes if name.startswith("on")], (tag, attributes)
        assert tag != "style"
        assert "style" not in attributes, (tag, attributes)  # the policy would not let it work
        if tag == "script":
            assert attributes["src"].startswith("/static/js/")
        if tag in ("img", "image"):
            address = attributes.get("src", attributes.get("href", ""))
            assert re.match("/images/|/api/(briefs|pairings)/[0-9A-Z]{26}/", address), (
                tag,
                attributes,
            )
        if tag == "a" and "href" in attributes:
            assert attributes["href"].startswith(("/", "#", "http://", "https://")), attributes
    assert "49</textarea>" not in text  # what a template inside a template would say
    return page


@fixture_once
def marked(make, send, picture) -> dict[str, dict]:
    """A brief in which every text of every record is markup."""
    brief = make("briefs", title=MARKUP, theme=MARKUP, instrument=MARKUP, show=MARKUP)
    here = {"brief_id": brief["id"]}
    motif = make("motifs", **here, name=MARKUP, says=MARKUP)
    facts = {"title": MARKUP, "credit": MARKUP, "source": MARKUP}
    rights = f"https://rights.example/{MARKUP}"
    passage = make(
        "references", **here, **facts, rights=rights, passage=MARKUP, motif_ids=[motif["id"]]
    )
    reference = send(
        (f"{MARKUP}.png", picture()),
        **{**facts, "brief_id": brief["id"], "rights": rights, "motif_ids": motif["id"]},
    ).json()[0]
    palette = make("palettes", reference_id=reference["id"], name=MARKUP, colours=2)
    swatch = make(
        "swatches",
        **here,
        name=MARKUP,
        palette_id=palette["id"],
        palette_index=0,
        motif_id=motif["id"],
    )
    said = {"species": MARKUP, "provenance": MARKUP}
    walnut = make("materials", label=MARKUP, reading="Lab 30 9 15", **said)
    shell = make("materials", label=MARKUP, reading="Lab 88 0 3", stuff="shell", **said)
    bare = make("materials", label=MARKUP)
    pairing = make(
        "pairings", **here, ground_id=walnut["id"], inlay_id=shell["id"], place=MARKUP, line_mm=1
    )
    part = make(
        "parts",
        **here,
        role="top",
        name=MARKUP,
        finish=MARKUP,
        sizes=MARKUP,
        material_id=walnut["id"],
        swatch_id=swatch["id"],
        motif_id=motif["id"],
    )
    made = {
        "brief": brief,
        "motif": motif,
        "reference": reference,
        "palette": palette,
        "swatch": swatch,
        "material": walnut,
        "pairing": pairing,
        "part": part,
    }
    for kind, record in {**made, "reference": passage}.items():
        about = {"about_kind": kind, "about_id": record["id"]}
        make("notes", **about, text=MARKUP)
        comment = make("comments", **here, **about, text=MARKUP, author=MARKUP[:100])
        make("comments", **here, **about, text=MARKUP, reply_to=comment["id"], outcome=MARKUP)
    assert bare["label"] == MARKUP
    return made


def test_markup_is_shown_as_text_on_every_sheet(client, marked) -> None:
    for sheet in SHEETS:
        answer = client.get(f"/briefs/{marked['brief']['id']}/{sheet.key}")
        assert answer.status_code == 200, sheet.key
        assert MARKUP in " ".join(_harmless(answer.text).text), sheet.key


def test_markup_is_shown_as_text_on_the_page_of_a_piece(
    client, make, send, picture, marked
) -> None:
    piece = {"material_id": marked["material"]["id"]}
    files = [(f"{MARKUP}.png", picture()), (f"{MARKUP}.jpg", picture((9, 90, 90)))]
    before, after = send(*files, to="photographs", **piece).json()
    said = {"state": "finished", "finish": MARKUP, "grain_line": "10,50 90,50"}
    outline = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
    outline += '<polygon points="10,10 90,12 50,80"/></svg>'
    at = f"/api/photographs/{after['id']}"
    changed = client.patch(at, json={**said, "selections": [outline]}, headers={"If-Match": "*"})
    assert changed.json()["selections"] == [outline]
    shots = {"before_id": before["id"], "after_id": after["id"]}
    make("finish-tests", **piece, **shots, name=MARKUP)
    answer = client.get(f"/briefs/{marked['brief']['id']}/timber/{piece['material_id']}")
    assert answer.status_code == 200
    page = _harmless(answer.text)
    assert " ".join(page.text).count(MARKUP) >= 4  # piece, photograph, test, and to choose from
    values = [attributes.get("value") for _, attributes in page.elements]
    assert outline in values
    assert MARKUP in values


def test_a_piece_has_a_page_only_within_a_brief_and_while_it_is_on_the_rack(client, marked) -> None:
    brief, piece = marked["brief"]["id"], marked["material"]["id"]
    for at in (f"/briefs/nowhere/timber/{piece}", f"/briefs/{brief}/timber/nowhere"):
        answer = client.get(at, headers={"Accept": "text/html"})
        assert answer.status_code == 404
        assert "nowhere" in " ".join(_Page(answer.text).text)
    assert client.get(f"/briefs/{brief}/timber/{piece}").status_code == 200
    client.delete(f"/api/materials/{piece}", headers={"If-Match": "*"})
    assert client.get(f"/briefs/{brief}/timber/{piece}").status_code == 404


def test_markup_is_shown_as_text_on_the_shelf_and_in_the_bin(client, marked) -> None:
    assert MARKUP in " ".join(_harmless(client.get("/").text).text)
    for noun, kind in (("materials", "material"), ("motifs", "motif"), ("briefs", "brief")):
        at = f"/api/{noun}/{marked[kind]['id']}"
        assert client.delete(at, headers={"If-Match": "*"}).status_code == 200
    bin_page = " ".join(_harmless(client.get("/offcuts").text).text)
    assert bin_page.count(MARKUP) >= 3


def test_the_api_gives_markup_back_as_it_was_typed(client, marked) -> None:
    answer = client.get(f"/api/parts/{marked['part']['id']}/thread")
    assert answer.headers["content-type"] == "application/json"
    assert answer.json()["swatch"]["name"] == MARKUP


@pytest.mark.parametrize(
    "rights",
    [
        "javascript://%0Aalert(1)",
        "data://text/html,x",
        "all mine",
        "//licence.example",
        "http://",
        " ",
    ],
)
def test_rights_lead_to_the_web_or_nowhere(client, brief, on_disk, refused, rights: str) -> None:
    passage = {"brief_id": brief["id"], "title": "Verse", "passage": "The tide", "rights": rights}
    before = on_disk()
    response = client.post("/api/references", json=passage)
    if rights.strip():
        refused(response, 422, "bad_input", "web address of a licence", pointer="/rights")
        assert on_disk() == before
    else:
        assert response.json()["rights"] == ""


def test_a_page_that_is_not_there_says_so_as_a_page(client, brief) -> None:
    for at in (f"/{MARKUP}", "/briefs/nowhere/theme", f"/briefs/{brief['id']}/attic"):
        answer = client.get(at, headers={"Accept": "text/html"})
        assert answer.status_code == 404
        assert answer.headers["content-type"].startswith("text/html")
        _harmless(answer.text)
    plain = client.get("/briefs/nowhere/theme")
    assert plain.headers["content-type"] == "application/problem+json"


def test_a_brief_opens_at_its_first_sheet(client, brief) -> None:
    answer = client.get(f"/briefs/{brief['id']}", follow_redirects=False)
    assert answer.status_code == 307
    assert answer.headers["location"] == f"/briefs/{brief['id']}/theme"


def test_pages_are_never_kept_by_the_browser(client, brief) -> None:
    """What was changed must show: RFC 9111, 5.2.2.5."""
    assert client.get("/").headers["cache-control"] == "no-store"


# Any text at all: what Unicode calls characters, but neither surrogates nor control characters.
texts = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=80)
# A line has something to be seen in it, and does not turn the direction of reading.
lines = st.tuples(texts, texts).map("reed".join).map(lambda text: TURNING.sub("", text))


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(name=lines, says=lines)
def test_any_text_comes_back_as_it_was_typed(client, make, brief, name: str, says: str) -> None:
    made = make("motifs", brief_id=brief["id"], name=name, says=says)
    read = client.get(f"/api/motifs/{made['id']}").json()
    assert (read["name"], read["says"]) == (name.strip(), says.strip())
    client.delete(f"/api/motifs/{made['id']}", headers={"If-Match": "*"})


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(name=lines)
def test_any_text_is_shown_as_text(client, brief, name: str) -> None:
    at = f"/api/briefs/{brief['id']}"
    answer = client.patch(at, json={"title": name, "theme": name}, headers={"If-Match": "*"})
    assert answer.status_code == 200
    page = _harmless(client.get(f"/briefs/{brief['id']}/theme").text)
    shown = " ".join(" ".join(page.text).split())
    assert " ".join(name.split()) in shown


def test_two_things_of_one_name_fill_no_page() -> None:
    """One would hide the other, without a word."""

    @dataclass(frozen=True)
    class Said:
        heading: str

    pages = Pages(web_folder() / "templates", locked=False)
    with pytest.raises(TypeError, match=r"offcuts\.html is given two things called heading"):
        pages.text("offcuts.html", Said("a"), Said("b"))
    with pytest.raises(TypeError, match="two things called heading"):
        pages.text("offcuts.html", Said("a"), heading="b")
