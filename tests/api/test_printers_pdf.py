"""Every PDF that the program makes, as a printer's check and a reader aloud meet it.

Read by pypdf and Little CMS (Pillow). ISO 32000: 14.3.2 (metadata), 14.8 (structure), 14.11.5
(output intents). No standard for archives is claimed, and the check of that is here, too.
"""

from __future__ import annotations

import io
import re
from typing import Any

import pypdf
import pytest
from PIL import ImageCms
from pypdf.generic import ContentStream

from brief.services.drawing.plans import PAPERS, SHEETS
from brief.services.sharing import printed_pictures

pytestmark = pytest.mark.computed

SAWN = "drawings/cut-list/boards/PIECE.pdf"
PRINTED = ["booklet.pdf", "card.pdf", "card.pdf?paper=A4", "passport.pdf", "strands.pdf",
           "picture.pdf", "picture.pdf?view=back", "caption.pdf", "caption.pdf?paper=A4",
           "price-list.pdf", SAWN]  # fmt: skip
DRAWN = [f"drawings/{name}.pdf?paper={paper}" for name in SHEETS for paper in PAPERS]


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures as thumbnails, which take less time."""
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)
    monkeypatch.setattr(printed_pictures, "CUT_PX", 40)


@pytest.fixture
def full(client, brief, make):
    """A brief with something of everything, so that no page is left out."""
    here = {"brief_id": brief["id"]}
    make("motifs", **here, name="Reed bed", says="All leaning one way.")
    make("inlays", **here, name="Dot", shape="dot", frets=[5, 7])
    make("comments", **here, about_kind="brief", about_id=brief["id"], text="Quiet.")
    walnut = make("materials", label="Walnut", reading="Lab 30 9 15")
    for part in client.get("/api/parts", params=here).json()["items"][:4]:
        client.patch(f"/api/parts/{part['id']}", json={"material_id": walnut["id"]},
                     headers={"If-Match": "*"})  # fmt: skip
    walnut_size = {"length_mm": 900, "width_mm": 400, "thickness_mm": 40}
    client.patch(f"/api/materials/{walnut['id']}", json=walnut_size, headers={"If-Match": "*"})
    client.patch(f"/api/briefs/{brief['id']}", json={"stand_list": "Strap: 120"},
                 headers={"If-Match": "*"})  # fmt: skip
    return brief


def read(client, brief, name) -> pypdf.PdfReader:
    if name == SAWN:
        (board,) = client.get(f"/api/briefs/{brief['id']}/drawings/cut-list/boards").json()["items"]
        name = name.replace("PIECE", board["material_id"])
    answer = client.get(f"/api/briefs/{brief['id']}/{name}")
    assert answer.status_code == 200, answer.text
    return pypdf.PdfReader(io.BytesIO(answer.content))


def held(of: Any, key: str) -> Any:
    """What a dictionary has there, empty where it has nothing."""
    return of[key].get_object() if key in of else {}


def fonts(resources: Any) -> dict[str, bool]:
    """By name, whether it is embedded; those of what is drawn into a page, too."""
    found: dict[str, bool] = {}
    for font in held(resources, "/Font").values():
        one = font.get_object()
        (holder,) = held(one, "/DescendantFonts") or [one]
        file = held(holder.get_object(), "/FontDescriptor")
        found[one["/BaseFont"]] = any(f"/FontFile{n}" in file for n in ("", "2", "3"))
    for drawn in held(resources, "/XObject").values():
        found |= fonts(held(drawn.get_object(), "/Resources"))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", [*PRINTED, *DRAWN, "drawings/inlay.pdf"])
def test_a_pdf_has_its_fonts_its_language_its_title_and_what_its_colours_mean(client, full, name):
    pdf = read(client, full, name)
    carried = [font for page in pdf.pages for font in fonts(page["/Resources"]).items()]
    assert any("Noto" in font or "SourceSerif" in font for font, _ in carried)
    assert all(embedded for _, embedded in carried), carried
    root = pdf.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert pdf.metadata is not None
    assert pdf.metadata.title
    assert pdf.xmp_metadata is not None
    assert pdf.xmp_metadata.dc_title == {"x-default": pdf.metadata.title}
    assert pdf.xmp_metadata.dc_language == ["en"]
    said = root["/Metadata"].get_data().decode()
    assert "pdfaid" not in said
    assert "pdfuaid" not in said
    (intent,) = root["/OutputIntents"]
    profile = ImageCms.ImageCmsProfile(
        io.BytesIO(intent.get_object()["/DestOutputProfile"].get_object().get_data())
    )
    assert profile.profile.xcolor_space.strip() == "RGB"
    assert "sRGB" in ImageCms.getProfileDescription(profile)


@pytest.mark.slow
@pytest.mark.parametrize("name", [*PRINTED, "drawings/body.pdf", "drawings/head.pdf?paper=sheet"])
def test_all_that_is_drawn_is_an_element_or_an_artifact(client, full, name):
    """Each mark of a page is an element of that page, in its place, and each element has one."""
    pdf = read(client, full, name)
    root = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    tree = root["/StructTreeRoot"]
    ways = tree["/ParentTree"]["/Nums"]
    by_page = {int(ways[i]): ways[i + 1] for i in range(0, len(ways), 2)}
    elements = [one for one in walked(tree["/K"][0]) if isinstance(one.get("/K"), int)]
    marks = 0
    for number, page in enumerate(pdf.pages):
        depth, here = 0, []
        for operands, operator in ContentStream(page.get_contents(), pdf).operations:
            if operator == b"BDC":
                here.append(int(operands[1]["/MCID"]))
            depth += {b"BDC": 1, b"BMC": 1, b"EMC": -1}.get(operator, 0)
            assert depth in (0, 1)
            if operator in (b"Tj", b"TJ", b"Do", b"S", b"f", b"B", b"re") and operands:
                assert depth == 1, (number, operator, operands)
        assert here == list(range(len(here)))
        if here:
            those = by_page[int(page["/StructParents"])]
            assert [one.get_object()["/K"] for one in those] == here
            assert all(one.get_object()["/Pg"] == page for one in those)
        marks += len(here)
    assert marks == len(elements) > 0
    for one in elements:
        if one["/S"] == "/Figure":
            assert re.search(r"\w", one["/Alt"])


def walked(element: Any) -> list[Any]:
    """An element and all within it, in the order of reading."""
    one = element.get_object()
    inner = one.get("/K", [])
    return [one] if isinstance(inner, int) else [one, *(e for k in inner for e in walked(k))]


def kinds(element: Any) -> list[str]:
    return [one.get_object()["/S"][1:] for one in element["/K"]]


def said(pdf: pypdf.PdfReader, element: Any) -> str:
    """What the element has written on its page, by its mark's own text operators."""
    (leaf,) = [one for one in walked(element) if isinstance(one.get("/K"), int)]
    page = leaf["/Pg"].get_object()
    texts, at = {}, -1

    def visit(operator, operands, *_):
        nonlocal at
        if operator == b"BDC":
            at = int(operands[1]["/MCID"])
        if operator in (b"EMC", b"BMC"):
            at = -1

    def write(text, *_):
        texts[at] = texts.get(at, "") + text

    next(p for p in pdf.pages if p.get_object() == page).extract_text(
        visitor_operand_before=visit, visitor_text=write
    )
    return texts.get(leaf["/K"], "").strip()


TABLES = [SAWN, "booklet.pdf", "price-list.pdf", "drawings/fretboard.pdf", "drawings/bridge.pdf"]


@pytest.mark.parametrize("name", TABLES)
def test_a_table_has_rows_of_as_many_cells_with_heads(client, full, name):
    """ISO 32000-1, 14.8.4.3.4: a Table holds TR, a TR holds TH and TD; a TH may say its Scope."""
    pdf = read(client, full, name)
    whole = pdf.trailer["/Root"]["/StructTreeRoot"]["/K"][0]
    tables = [one for one in walked(whole) if one["/S"] == "/Table"]
    assert tables
    for table in tables:
        rows = [one.get_object() for one in table["/K"]]
        assert {row["/S"] for row in rows} == {"/TR"}
        assert {len(row["/K"]) for row in rows} == {len(rows[0]["/K"])}
        for row in rows:
            assert kinds(row)[0] == "TH"
            assert set(kinds(row)[1:]) <= {"TH", "TD"}
            for cell in row["/K"]:
                head = cell.get_object()
                assert (head["/S"] == "/TH") == ("/A" in head)
                if "/A" in head:
                    assert head["/A"]["/O"] == "/Table"
                    assert head["/A"]["/Scope"] in ("/Row", "/Column")
    inner = [one for one in walked(whole) if one["/S"] in ("/TR", "/TH", "/TD")]
    below = [one for table in tables for one in walked(table)]
    assert all(any(one is other for other in below) or one in below for one in inner)


@pytest.mark.slow
def test_the_fret_table_is_read_by_its_heads_with_a_row_for_each_fret(client, full):
    pdf = read(client, full, "drawings/fretboard.pdf?paper=sheet")
    whole = pdf.trailer["/Root"]["/StructTreeRoot"]["/K"][0]
    (frets,) = [
        one
        for one in walked(whole)
        if one["/S"] == "/Table" and said(pdf, one["/K"][0].get_object()["/K"][0]) == "fret"
    ]
    first, *rows = (one.get_object() for one in frets["/K"])
    assert set(kinds(first)) == {"TH"}
    assert said(pdf, first["/K"][1]) == "from nut"
    assert [said(pdf, row["/K"][0]) for row in rows] == [str(i + 1) for i in range(len(rows))]
    # The twelfth fret is half the scale from the nut (equal temperament).
    numbers = client.get(f"/api/briefs/{full['id']}/numbers").json()
    scale = next(one["value"] for one in numbers["numbers"] if one["name"] == "scale_mm")
    assert float(said(pdf, rows[11]["/K"][1])) == pytest.approx(scale / 2, abs=0.005)


@pytest.mark.parametrize("name", ["booklet.pdf", "passport.pdf"])
def test_parts_and_materials_are_a_list_and_their_pictures_say_what_they_show(client, full, name):
    """ISO 32000-1, 14.8.4.3.3: an L holds LI, an LI holds LBody."""
    pdf = read(client, full, name)
    whole = pdf.trailer["/Root"]["/StructTreeRoot"]["/K"][0]
    lists = [one for one in walked(whole) if one["/S"] == "/L"]
    assert len(lists) == 1
    assert set(kinds(lists[0])) == {"LI"}
    for item in lists[0]["/K"]:
        assert kinds(item.get_object()) == ["LBody"]
        assert "P" in kinds(item.get_object()["/K"][0].get_object()) or "H2" in kinds(
            item.get_object()["/K"][0].get_object()
        )
    if name == "passport.pdf":  # a colour by reading alone is no picture
        return
    shown = [one["/Alt"] for one in walked(whole) if one["/S"] == "/Figure"]
    assert any("Walnut" in alt for alt in shown), shown


def test_the_same_drawing_makes_the_same_bytes(client, full):
    at = f"/api/briefs/{full['id']}/drawings/bridge.pdf"
    assert client.get(at).content == client.get(at).content
