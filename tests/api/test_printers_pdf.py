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
from brief.services.outputs import booklets, strand_sheets

PRINTED = ["booklet.pdf", "card.pdf", "card.pdf?paper=A4", "passport.pdf", "strands.pdf",
           "picture.pdf", "picture.pdf?view=back", "caption.pdf", "caption.pdf?paper=A4",
           "price-list.pdf"]  # fmt: skip
DRAWN = [f"drawings/{name}.pdf?paper={paper}" for name in SHEETS for paper in PAPERS]


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures as thumbnails, which take less time."""
    monkeypatch.setattr(booklets, "FRONT_PX", 60)
    monkeypatch.setattr(strand_sheets, "CUT_PX", 40)


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
    client.patch(f"/api/briefs/{brief['id']}", json={"stand_list": "Strap: 120"},
                 headers={"If-Match": "*"})  # fmt: skip
    return brief


def read(client, brief, name) -> pypdf.PdfReader:
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


@pytest.mark.parametrize("name", [*PRINTED, "drawings/body.pdf", "drawings/head.pdf?paper=sheet"])
def test_all_that_is_drawn_is_an_element_or_an_artifact(client, full, name):
    """Each mark of a page is an element of that page, in its place, and each element has one."""
    pdf = read(client, full, name)
    root = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    tree = root["/StructTreeRoot"]
    ways = tree["/ParentTree"]["/Nums"]
    by_page = {int(ways[i]): ways[i + 1] for i in range(0, len(ways), 2)}
    (whole,) = tree["/K"]
    elements = whole.get_object()["/K"]
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
        if one.get_object()["/S"] == "/Figure":
            assert re.search(r"\w", one.get_object()["/Alt"])


def test_the_same_drawing_makes_the_same_bytes(client, full):
    at = f"/api/briefs/{full['id']}/drawings/bridge.pdf"
    assert client.get(at).content == client.get(at).content
