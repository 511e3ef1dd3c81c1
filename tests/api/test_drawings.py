"""The sheets to measure from, over the API and from the terminal, read back by other programs."""

import io
from xml.etree import ElementTree

import pytest

from brief.services.drawing.plans import SHEETS

MM_PER_POINT = 25.4 / 72


@pytest.fixture
def sheet(client, brief):
    def fetched(name, **asked):
        return client.get(f"/api/briefs/{brief['id']}/drawings/{name}", params=asked)

    return fetched


@pytest.mark.parametrize("name", SHEETS)
def test_an_svg_is_as_large_as_it_says(sheet, name):
    answer = sheet(f"{name}.svg")
    assert answer.headers["content-type"] == "image/svg+xml"
    root = ElementTree.fromstring(answer.text)
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert root.get("viewBox").split()[2:] == [
        root.get(side).removesuffix("mm") for side in ("width", "height")
    ]
    assert 60 < width < 900
    assert 60 < height < 900


@pytest.mark.parametrize("name", SHEETS)
def test_a_dxf_is_in_millimetres_and_sound(sheet, name):
    """Opened again by ezdxf; $INSUNITS 4 is millimetres (DXF reference)."""
    import ezdxf

    drawn = ezdxf.read(io.StringIO(sheet(f"{name}.dxf").text))
    assert drawn.units == 4
    assert not drawn.audit().errors
    assert len(drawn.modelspace()) > 10


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_a_pdf_is_tiled_on_its_paper(sheet, paper, size):
    import pypdfium2

    answer = sheet("body.pdf", paper=paper)
    assert answer.headers["content-disposition"] == f'attachment; filename="body-{paper}.pdf"'
    pages = pypdfium2.PdfDocument(answer.content)
    assert len(pages) > 1
    for page in pages:
        across, down = sorted(side * MM_PER_POINT for side in page.get_size())
        assert (across, down) == pytest.approx(size, abs=0.2)


def test_it_follows_the_numbers(client, brief, sheet):
    before = sheet("fretboard.svg").text
    client.patch(
        f"/api/briefs/{brief['id']}/numbers", json={"scale_mm": 640}, headers={"If-Match": "*"}
    )
    assert sheet("fretboard.svg").text != before


def test_what_is_no_sheet_is_refused(sheet, client):
    assert sheet("lid.svg").status_code == 422
    assert sheet("body.png").status_code == 422
    assert sheet("body.pdf", paper="A9").status_code == 422
    nowhere = "/api/briefs/01JD8Q5Z7M3K2V9X4T6R8W0Y1A/drawings/body.svg"
    assert client.get(nowhere).status_code == 404


def test_markup_in_a_title_stays_text(client, brief, sheet):
    client.patch(
        f"/api/briefs/{brief['id']}",
        json={"title": "<script>alert(1)</script> & \u05e9\u05dc\u05d5\u05dd"},
        headers={"If-Match": "*"},
    )
    assert "<script>" not in sheet("head.svg").text
    assert sheet("head.pdf").status_code == 200
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "The PDF font has no" in page
