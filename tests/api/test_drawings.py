"""The sheets to measure from, over the API and from the terminal, read back by other programs."""

import io
from xml.etree import ElementTree

import pytest

from brief.services.drawing.plans import SHEETS

pytestmark = pytest.mark.computed

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


def test_a_dxf_for_a_tool_has_its_way_and_says_so(sheet):
    """A soundhole, cut 2 mm wide, is 2 mm less across; the words are for whoever runs it."""
    import ezdxf

    def holes(**asked):
        drawn = ezdxf.read(io.StringIO(sheet("body.dxf", **asked).text))
        return drawn, [one.dxf.radius for one in drawn.modelspace().query('CIRCLE[layer=="hole"]')]

    (_, (plain,)), (drawn, (cut,)) = holes(), holes(tool_mm="2 mm", cuts="through")
    assert cut == pytest.approx(plain - 1)
    said = " ".join(one.plain_text() for one in drawn.modelspace().query("TEXT"))
    assert "For a cut 2 mm wide" in said
    answer = sheet("bridge.dxf", tool_mm="1/32 in")
    assert 'filename="bridge-tool.dxf"' in answer.headers["content-disposition"]
    assert "For a cut 0.79 mm wide" in sheet("bridge.svg", tool_mm="1/32 in").text


@pytest.mark.parametrize(
    ("name", "asked", "field", "said"),
    [
        ("body.dxf", {"tool_mm": "6"}, "/tool_mm", "does not fit where there are only 1.2 mm"),
        ("body.svg", {"tool_mm": "13"}, "/tool_mm", "0 to 12"),
        ("body.svg", {"tool_mm": "wide"}, "/tool_mm", "wide"),
        ("body.svg", {"gap_mm": "5"}, "/gap_mm", "0 to 1"),
        ("body.svg", {"cuts": "half"}, "/cuts", ""),
        ("body.pdf", {"tool_mm": "1"}, "/tool_mm", "A PDF is printed"),
    ],
)
def test_a_tool_that_does_not_fit_is_refused(sheet, name, asked, field, said):
    answer = sheet(name, **asked)
    assert answer.status_code == 422
    text = answer.text
    assert said in text
    assert field.strip("/") in text


def test_the_page_shows_the_tools_way_and_what_it_cannot_cut(client, brief):
    at = f"/briefs/{brief['id']}/drawing"
    page = client.get(at, params={"tool_mm": "3 mm", "gap_mm": "", "cuts": "all"}).text
    assert "Body: a cut 3 mm wide does not fit where there are only 1.2 mm" in page
    assert "/drawings/head.dxf?tool_mm=3+mm" in page
    assert "/drawings/body.dxf" not in page
    page = client.get(at, params={"tool_mm": "3 mm", "cuts": "through"}).text
    assert "/drawings/body.dxf?tool_mm=3+mm&amp;cuts=through" in page
    page = client.get(at, params={"tool_mm": "thick", "cuts": "through"}).text
    assert 'id="machine-tool_mm-fault"' in page
    assert 'value="thick"' in page
    assert "tool_mm=thick" not in page


def test_the_cut_list_is_rounded_up_and_says_what_each_piece_yields(client, brief, make):
    at = f"/api/briefs/{brief['id']}/drawings/cut-list"
    before = {one["name"]: one for one in client.get(at).json()["cuts"]}
    assert before["Top"]["piece"] == ""
    sides = before["Sides"]
    assert sides["blank_mm"][0] == float(int(sides["blank_mm"][0]))  # whole millimetres
    assert all(a >= b for a, b in zip(sides["blank_mm"], sides["finished_mm"], strict=True))
    board = make("materials", label="Short spruce", length_mm=400, width_mm=220, thickness_mm=4)
    (top,) = [
        one
        for one in client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
        if one["role"] == "top"
    ]
    client.patch(f"/api/parts/{top['id']}", json={"material_id": board["id"]},
                 headers={"If-Match": "*"})  # fmt: skip
    after = client.get(at).json()
    (cut,) = [one for one in after["cuts"] if one["name"] == "Top"]
    assert (cut["piece"], cut["too_small"]) == ("Short spruce", True)
    assert after["yields"] == ["Short spruce: 2 × top. It is too small for the top."]
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "It yields too little for the top" in page  # said once, beside its picture
    assert "Heel blocks, scarfed head" in page
