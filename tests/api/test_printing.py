"""The booklet and the card, read back from their PDF with pypdfium2.

What a credit needs: Creative Commons, Best practices for attribution (title, author, source,
licence). Sizes of paper: ISO 216; ANSI/ASME Y14.1 for Letter.
"""

from __future__ import annotations

import io

import numpy as np
import pypdfium2 as pdfium
import pytest
from PIL import Image

from brief.services.outputs.cards import first_lines
from brief.services.sharing import printed_pictures
from tests.figures import says

pytestmark = pytest.mark.computed

MM_PER_POINT = 25.4 / 72
BY = "https://creativecommons.org/licenses/by/4.0/"
ZERO = "https://creativecommons.org/publicdomain/zero/1.0/"
IN_COPYRIGHT = "http://rightsstatements.org/vocab/InC/1.0/"
RED, GREEN = (200, 40, 40), (40, 160, 60)


@pytest.fixture(autouse=True)
def small_front(monkeypatch):
    """The instrument as a thumbnail: drawing it large takes most of the time."""
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)


@pytest.fixture
def picture_of(client, send, picture):
    """Add one picture of one colour with what is said of it."""

    def added(colour=RED, **facts):
        reference = send((f"{facts.get('title', 'reed')}.jpg", picture(colour))).json()[0]
        at = f"/api/references/{reference['id']}"
        return client.patch(at, json=facts, headers={"If-Match": "*"}).json()

    return added


@pytest.fixture
def printed(client, brief):
    """GET a PDF of the brief."""

    def fetched(name="booklet.pdf", **asked):
        return client.get(f"/api/briefs/{brief['id']}/{name}", params=asked)

    return fetched


def pages(answer):
    """The words of each page, on one line."""
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    with pdfium.PdfDocument(answer.content) as document:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def colours_on(answer):
    """For each page the mean colours of the pictures on it."""
    with pdfium.PdfDocument(answer.content) as document:
        return [
            [
                np.asarray(image.get_bitmap().to_pil().convert("RGB")).mean(axis=(0, 1))
                for image in page.get_objects(filter=[pdfium.raw.FPDF_PAGEOBJ_IMAGE])
            ]
            for page in document
        ]


def shows(page, colour):
    return any(np.abs(mean - colour).max() < 12 for mean in page)


def test_every_picture_has_its_credit_on_its_own_page(picture_of, printed):
    said = {"credit": "A. Walker", "source": "the sea wall, 3 May", "rights": BY}
    picture_of(RED, title="Reed bed", **said)
    picture_of(GREEN, title="Weed", credit="B. Rower", source="", rights=ZERO)
    answer = printed()
    words, colours = pages(answer), colours_on(answer)
    credits = {
        RED: f"Reed bed · A. Walker · the sea wall, 3 May · CC BY 4.0 ({BY})",
        GREEN: f"Weed · B. Rower · CC0 1.0 ({ZERO})",
    }
    for colour, credit in credits.items():
        on = [place for place, page in enumerate(colours) if shows(page, colour)]
        assert len(on) == 1
        assert credit in words[on[0]]


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_a_booklet_has_the_size_of_its_paper(printed, paper, size):
    with pdfium.PdfDocument(printed(paper=paper).content) as document:
        for page in document:
            assert [side * MM_PER_POINT for side in page.get_size()] == pytest.approx(size, abs=0.1)
        assert document.get_metadata_value("Title") == "Saltmarsh"


def test_what_is_not_clear_stops_it_and_can_be_left_out(picture_of, printed, refused, make, brief):
    closed = picture_of(RED, title="Reed bed", rights=IN_COPYRIGHT)
    words = {"passage": "Twenty to six. No wind.", "title": "Field note"}
    note = make("references", brief_id=brief["id"], **words)
    picture_of(GREEN, title="Weed", rights=ZERO)
    body = refused(printed(), 409, "rights_unclear", "1 picture and 1 passage are not clear")
    assert {fault["pointer"] for fault in body["errors"]} == {
        f"/references/{closed['id']}",
        f"/references/{note['id']}",
    }
    answer = printed(leave_out="unclear")
    said = " ".join(pages(answer))
    assert "Weed" in said
    assert "Reed bed" not in said
    assert "Twenty to six" not in said
    assert not any(shows(page, RED) for page in colours_on(answer))


def test_leave_clears_what_is_in_copyright_and_stays_unprinted(picture_of, printed):
    leave = "by letter, 3 May 2027"
    picture_of(RED, title="Reed bed", credit="A. Walker", rights=IN_COPYRIGHT, permission=leave)
    said = " ".join(pages(printed()))
    assert f"Reed bed · A. Walker · in copyright, shown with leave ({IN_COPYRIGHT})" in said
    assert leave not in said


def test_nothing_private_and_no_price_is_printed(client, picture_of, printed, make, brief):
    here = {"brief_id": brief["id"]}
    hidden = picture_of(RED, title="The player's letter", rights=ZERO, private=True)
    palette = make("palettes", reference_id=hidden["id"], name="Palette of the letter")
    facts = {"price": 765.25, "provenance": "from the widow's shed", "reading": "Lab 30 9 15"}
    walnut = make("materials", label="walnut", **facts)
    make("parts", **here, role="lining", material_id=walnut["id"])
    for about in ({"about_kind": "brief", "about_id": brief["id"]},):
        make("notes", **about, text="Ask about the loan")
        make("comments", **here, **about, author="a boatbuilder", text="It will float")
    swatch = make("swatches", **here, colour="#2f6f62")
    # As by a link: nothing that was said of what is private, of a colour or of a piece.
    kept = {"reference": hidden, "palette": palette, "swatch": swatch, "material": walnut}
    for kind, one in kept.items():
        make("comments", **here, about_kind=kind, about_id=one["id"], text="Keep this quiet")
    for asked in ({"comments": True}, {}):
        answer = printed(**asked)
        said = " ".join(pages(answer))
        assert "walnut" in said
        assert ("It will float" in said) is bool(asked)
        for secret in ("letter", "widow", "loan", "quiet"):
            assert secret not in said
        assert not says(said, "765")
        assert not any(shows(page, RED) for page in colours_on(answer))


def test_where_and_when_a_picture_was_shot_stays_behind(client, send, printed):
    """EXIF 2.32: APP1 begins with "Exif", GPS has tag 0x8825, the day tag 0x9003."""
    exif = Image.Exif()
    exif[0x010F] = "Kamerawerk"
    exif.get_ifd(0x8769)[0x9003] = "2026:05:03 05:40:00"
    exif.get_ifd(0x8825).update({1: "N", 2: (54.0, 31.0, 12.0)})
    file = io.BytesIO()
    Image.new("RGB", (300, 200), RED).save(file, "JPEG", exif=exif, icc_profile=b"no profile")
    assert b"Exif" in file.getvalue()
    reference = send(("reed.jpg", file.getvalue())).json()[0]
    own = {"permission": "my own photograph"}
    client.patch(f"/api/references/{reference['id']}", json=own, headers={"If-Match": "*"})
    data = printed().content
    assert b"\xff\xd8\xff" in data  # pictures lie in the file as they are
    for trace in (b"Exif", b"Kamerawerk", b"2026:05:03", b"http://ns.adobe.com/xap"):
        assert trace not in data


def test_words_of_other_scripts_are_printed_and_markup_stays_words(client, make, brief, printed):
    title = "Łąka <b>&amp; ὕδωρ, Тихая вода"
    at = f"/api/briefs/{brief['id']}"
    client.patch(at, json={"title": title, "theme": "שלום x"}, headers={"If-Match": "*"})
    make("motifs", brief_id=brief["id"], name="</para><img src='x'/>", says="a < b & c")
    answer = printed()
    said = pages(answer)
    assert title in said[0]
    assert "???? x" in said[1]
    assert "</para><img src='x'/> a < b & c" in said[1]
    page = client.get(f"/briefs/{brief['id']}/paper").text
    assert "The PDF font has no שלום" in page


@pytest.mark.parametrize("letter", ["W", "w "])
def test_the_longest_of_everything_is_printed(client, make, picture_of, brief, printed, letter):
    """With the credit still under the picture."""

    def long(count):
        return (letter * count)[:count].strip()

    at, much = f"/api/briefs/{brief['id']}", {"title": long(200), "theme": long(9000)}
    client.patch(at, json=much | {"show": long(200)}, headers={"If-Match": "*"})
    said = {"title": long(200), "credit": long(200), "source": long(500)}
    reed = picture_of(RED, **said, rights=BY)
    make("motifs", brief_id=brief["id"], name=long(200), says=long(9000))
    walnut = make("materials", label=long(200), species=long(200), reading="Lab 30 9 15")
    sizes = {"finish": long(200), "sizes": long(500), "material_id": walnut["id"]}
    make("parts", brief_id=brief["id"], role="lining", name=long(200), **sizes)
    answer = printed(paper="Letter")
    words, colours = pages(answer), colours_on(answer)
    (on,) = [place for place, page in enumerate(colours) if shows(page, RED)]
    assert "CC BY 4.0" in words[on]
    for paper in ("A5", "A6"):
        asked = {"maker": long(200), "lines": long(200), "picture": reed["id"]}
        (said,) = pages(printed("card.pdf", paper=paper, **asked))
        assert "CC BY 4.0" in said


def test_a_card_says_what_it_is_made_of(client, make, brief, printed):
    at = f"/api/briefs/{brief['id']}"
    theme = "The tide has stopped. The water stands. And a third."
    client.patch(at, json={"theme": theme}, headers={"If-Match": "*"})
    walnut = make("materials", label="Feathered walnut", reading="Lab 30 9 15")
    for role in ("Lining", "End graft"):
        make("parts", brief_id=brief["id"], role=role, material_id=walnut["id"])
    asked = {"maker": "From a shed by the creek", "picture": "none"}
    (said,) = pages(printed("card.pdf", **asked))
    assert said.startswith("Saltmarsh")
    assert "From a shed by the creek" in said
    assert "The tide has stopped. The water stands." in said
    assert "third" not in said
    assert "Lining and end graft: Feathered walnut" in said
    assert "still open" not in said
    (own,) = pages(printed("card.pdf", lines="My own line", **asked))
    assert "My own line" in own
    assert "tide" not in own
    assert "tide" not in pages(printed("card.pdf", lines="", **asked))[0]


@pytest.mark.parametrize(
    ("paper", "size", "copies"),
    [
        ("A5", (210, 148), 1),
        ("A6", (148, 105), 1),
        ("A4", (210, 297), 2),
        ("Letter", (215.9, 279.4), 2),
    ],
)
def test_a_card_has_the_size_of_its_paper(printed, paper, size, copies):
    answer = printed("card.pdf", paper=paper)
    (said,) = pages(answer)
    assert said.count("Saltmarsh") == copies
    with pdfium.PdfDocument(answer.content) as document:
        assert [side * MM_PER_POINT for side in document[0].get_size()] == pytest.approx(
            size, abs=0.1
        )


def test_a_picture_on_a_card_is_credited_or_stopped(picture_of, printed, refused):
    clear = picture_of(RED, title="Reed bed", credit="A. Walker", rights=BY)
    closed = picture_of(GREEN, title="Weed", rights="")
    private = picture_of(GREEN, title="Letter", rights=ZERO, private=True)
    answer = printed("card.pdf", picture=clear["id"])
    assert f"Reed bed · A. Walker · CC BY 4.0 ({BY})" in pages(answer)[0]
    assert shows(colours_on(answer)[0], RED)
    refused(printed("card.pdf", picture=closed["id"]), 409, "rights_unclear", "“Weed”")
    left = printed("card.pdf", picture=closed["id"], leave_out="unclear")
    assert colours_on(left) == [[]]
    for other in (private["id"], "nowhere"):
        answer = printed("card.pdf", picture=other)
        refused(answer, 422, "bad_input", "not private", pointer="/picture")


def test_what_cannot_be_printed_is_refused(printed, refused, client):
    for name, asked, field in (
        ("booklet.pdf", {"paper": "A9"}, "paper"),
        ("booklet.pdf", {"leave_out": "all"}, "leave_out"),
        ("booklet.pdf", {"prices": "true"}, "prices"),
        ("card.pdf", {"maker": "m" * 201}, "maker"),
    ):
        refused(printed(name, **asked), 422, "bad_input", pointer=f"/{field}")
    for name in ("booklet.pdf", "card.pdf"):
        refused(client.get(f"/api/briefs/nowhere/{name}"), 404, "not_found")


def test_the_sheet_lists_what_stops_it_with_a_way_there(client, brief, picture_of):
    at = f"/briefs/{brief['id']}/paper"
    assert "required" not in client.get(at).text
    closed = picture_of(RED, title="Reed <bed>", rights=IN_COPYRIGHT)
    page = client.get(at).text
    form = f"/briefs/{brief['id']}/references/{closed['id']}#reference-form-{closed['id']}-rights"
    assert f'href="{form}">Reed &lt;bed&gt;' in page
    assert "Leave out the 1 picture without clear rights" in page
    assert 'value="unclear" required' in page
    assert f'value="{closed["id"]}"' not in page
    assert "not legal advice" in page


@pytest.mark.parametrize(
    ("theme", "lines"),
    [
        ("", ""),
        ("One line only", "One line only"),
        ("A. B!\n\nC.", "A. B!"),
        ("tide " * 60, "tide " * 39 + "tide…"),
    ],
)
def test_the_lines_of_a_theme(theme, lines):
    assert first_lines(theme) == lines
