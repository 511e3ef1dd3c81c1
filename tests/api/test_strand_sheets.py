"""The strands as one sheet, read back with pypdfium2 and Pillow.

Sizes of paper: ISO 216.
"""

from __future__ import annotations

import io

import pypdfium2 as pdfium
import pytest
from PIL import Image

from brief.services.sharing import printed_pictures

pytestmark = pytest.mark.computed

MM_PER_POINT = 25.4 / 72
IN_COPYRIGHT = "http://rightsstatements.org/vocab/InC/1.0/"
ZERO = "https://creativecommons.org/publicdomain/zero/1.0/"


@pytest.fixture(autouse=True)
def small(monkeypatch):
    """What is cut out of the instrument as a thumbnail, which takes less time."""
    monkeypatch.setattr(printed_pictures, "CUT_PX", 40)


@pytest.fixture
def theme(client, brief, make, send, picture):
    """A strand with a picture, a private passage, a colour out of each and a part."""
    here = {"brief_id": brief["id"]}
    motif = make("motifs", **here, name="Reed bed", says="All leaning one way.")
    shot = send(("reed.jpg", picture((190, 170, 110)))).json()[0]
    facts = {"title": "Plume", "credit": "A. Walker", "rights": ZERO, "motif_ids": [motif["id"]]}
    client.patch(f"/api/references/{shot['id']}", json=facts, headers={"If-Match": "*"})
    make(
        "references",
        **here,
        title="Letter",
        passage="Do not make it pretty.",
        private=True,
        motif_ids=[motif["id"]],
    )
    palette = make("palettes", reference_id=shot["id"], colours=2)
    straw = make(
        "swatches", **here, name="Straw", palette_id=palette["id"], palette_index=0,
        motif_id=motif["id"],
    )  # fmt: skip
    make("swatches", **here, name="Slate", colour="Lab 45 0 -8", motif_id=motif["id"])
    walnut = make(
        "materials", label="Walnut set no. 3", public_name="Black walnut", reading="Lab 30 9 15"
    )
    make("materials", label="Slate board no. 9", reading="Lab 45 0 -8")
    part = {"material_id": walnut["id"], "swatch_id": straw["id"]}
    bridge = next(
        one
        for one in client.get(f"/api/parts?brief_id={brief['id']}&limit=200").json()["items"]
        if one["role"] == "bridge"
    )
    client.patch(f"/api/parts/{bridge['id']}", json=part, headers={"If-Match": "*"})
    return {"motif": motif, "shot": shot, "straw": straw}


@pytest.fixture
def strands(client, brief):
    """GET the sheet of the brief."""

    def fetched(form="pdf", **asked):
        return client.get(f"/api/briefs/{brief['id']}/strands.{form}", params=asked)

    return fetched


def read(answer):
    """The size of each page in millimetres, and the words of all."""
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    with pdfium.PdfDocument(answer.content) as document:
        sizes = [tuple(side * MM_PER_POINT for side in page.get_size()) for page in document]
        words = [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    return sizes, " ".join(words)


@pytest.mark.parametrize(("paper", "size"), [("A3", (420, 297)), ("A4", (297, 210))])
def test_it_is_one_page_that_lies_on_its_longer_side(theme, strands, paper, size):
    sizes, words = read(strands(paper=paper))
    assert len(sizes) == 1
    assert sizes[0] == pytest.approx(size, abs=0.2)
    for told in ("Reed bed", "All leaning one way.", "Straw", "Black walnut", "Bridge"):
        assert told in words


def test_every_letter_is_in_an_embedded_font(theme, strands):
    """Fonts of a PDF that prints the same anywhere have a FontFile (ISO 32000-1, 9.9)."""
    data = strands().content
    assert data.count(b"/Type /FontDescriptor") >= 2
    assert data.count(b"/FontFile2") == data.count(b"/Type /FontDescriptor")


def test_others_get_credits_and_nothing_private(theme, strands):
    _, words = read(strands())
    assert "Plume · A. Walker · CC0 1.0" in words
    for kept in ("Do not make it pretty", "Walnut set no. 3", "Slate board", "nearest to"):
        assert kept not in words
    assert "Slate is on no part yet" in words


def test_what_is_left_out_is_said_and_is_no_gap(theme, client, strands):
    facts = {"rights": "", "credit": "A. Walker"}
    at = f"/api/references/{theme['shot']['id']}"
    client.patch(at, json=facts, headers={"If-Match": "*"})
    _, words = read(strands(leave_out="unclear"))
    assert "No picture or passage yet" not in words
    assert "Left out, as their rights are not clear: 1 picture" in words


def test_the_makers_own_has_all_and_says_so(theme, strands):
    _, words = read(strands(for_whom="me"))
    for told in ("Do not make it pretty.", "Walnut set no. 3", "Slate board no. 9", "nearest to"):
        assert told in words
    assert "For the maker alone" in words


def test_what_is_not_clear_stops_it_for_others_and_can_be_left_out(client, theme, strands, refused):
    change = {"rights": IN_COPYRIGHT}
    client.patch(f"/api/references/{theme['shot']['id']}", json=change, headers={"If-Match": "*"})
    refused(strands(), 409, "rights_unclear", "Plume")
    _, words = read(strands(leave_out="unclear"))
    assert "Plume" not in words
    assert "Reed bed" in words
    assert read(strands(for_whom="me"))[0]


def test_as_a_picture_it_is_as_wide_as_it_says_and_shows_its_colours(theme, strands):
    answer = strands("png")
    assert answer.headers["content-type"] == "image/png"
    shown = Image.open(io.BytesIO(answer.content)).convert("RGB")
    assert shown.width == 2480
    straw = tuple(int(theme["straw"]["colour"]["hex"][at : at + 2], 16) for at in (1, 3, 5))
    counts = {colour: count for count, colour in shown.getcolors(10**8)}
    assert counts.get(straw, 0) > 1000


def test_many_strands_take_more_pages_and_one_long_picture(brief, make, strands):
    for number in range(14):
        make("motifs", brief_id=brief["id"], name=f"Motif {number:02}")
    sizes, words = read(strands())
    assert len(sizes) == 2
    assert all(f"Motif {number:02}" in words for number in range(14))
    shown = Image.open(io.BytesIO(strands("png").content))
    assert shown.height > shown.width


def test_a_theme_of_nothing_and_words_without_end_hold(client, brief, make, strands):
    assert len(read(strands())[0]) == 1
    long = "Saltmarshandreed" * 12
    change = {"title": long, "theme": long * 20, "show": long}
    client.patch(f"/api/briefs/{brief['id']}", json=change, headers={"If-Match": "*"})
    motif = make("motifs", brief_id=brief["id"], name=long, says=long * 5)
    make("swatches", brief_id=brief["id"], name=long, colour="#8a7a5a", motif_id=motif["id"])
    make(
        "references", brief_id=brief["id"], title=long, passage=long * 9,
        motif_ids=[motif["id"]], rights="mine",
    )  # fmt: skip
    assert len(read(strands(paper="A4"))[0]) == 1
    assert strands("png").status_code == 200


def test_a_paper_that_there_is_not_is_refused(strands, refused):
    refused(strands(paper="A0"), 422, "bad_input")
    assert strands("gif").status_code == 422


def test_a_link_gives_what_it_shows(client, brief, make, theme):
    def given(*sheets, form="pdf"):
        share = make("shares", brief_id=brief["id"], name="Ines", sheets=list(sheets))
        return client.get(f"{share['address']}/strands.{form}")

    _, words = read(given("theme", "references", "spec"))
    assert "Black walnut" in words
    assert "Plume · A. Walker" in words
    assert "Do not make it pretty" not in words
    _, words = read(given("theme"))
    assert "Reed bed" in words
    assert not [one for one in ("Black walnut", "Plume", "Straw", "Bridge") if one in words]
    assert given("spec").status_code == 404
    assert given("theme", form="png").headers["cache-control"] == "no-store"


def test_a_link_gives_only_so_many_in_a_while(client, brief, make, theme):
    share = make("shares", brief_id=brief["id"], name="Ines", sheets=["theme"])
    answers = [client.get(f"{share['address']}/strands.pdf").status_code for _ in range(14)]
    assert answers[:12] == [200] * 12
    assert answers[-1] == 429
