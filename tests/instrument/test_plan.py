"""Drawings to measure from: what is exported is as large as the instrument is."""

import io
import math
import re
from xml.etree import ElementTree as ET

import ezdxf
import pytest
from ezdxf.path import make_path
from shapely import LineString, Polygon

from brief.instrument import preset, presets
from brief.instrument.model.contacts import areas_mm2, board_length_mm, contacts
from brief.instrument.outline.outlines import FOOT_SHARE, free_block_mm
from brief.instrument.plans.draughting import fitting, millimetres
from brief.instrument.plans.files.dxf import as_dxf
from brief.instrument.plans.files.svg import as_small_svg, as_svg
from brief.instrument.plans.head_sheet import head_sheet
from brief.instrument.plans.plan import TitleBlock, Words
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet

SVG = "{http://www.w3.org/2000/svg}"
KINDS = [kind for kind, _ in presets()]
BLOCK = TitleBlock("Saltmarsh, first light", "B", "2026-11-25")
SHEETS = [fretboard_sheet, body_sheet, head_sheet, bridge_sheet]
HOSTILE = '"><script>alert(1)</script>&amp;\x00\n%%u^J\\U+05D0 שלום \u202e'


def svg_runs(text, layer):
    """The lines of a layer as shapely has them: closed ones as polygons."""
    root = ET.fromstring(text)
    found = []
    for path in root.findall(f"{SVG}g[@id='{layer.replace(' ', '-')}']/{SVG}path"):
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", path.get("d"))]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        found.append(Polygon(points) if path.get("d").endswith("Z") else LineString(points))
    return found


def dxf_runs(text, layer):
    space = ezdxf.read(io.StringIO(text)).modelspace()
    found = []
    for line in space.query(f'LWPOLYLINE[layer=="{layer}"]'):
        run = [(v.x, v.y) for v in make_path(line).flattening(0.001)]  # its arcs as chords again
        found.append(Polygon(run) if line.closed else LineString(run))
    return found


BOTH = pytest.mark.parametrize(
    ("write", "runs"), [(as_svg, svg_runs), (as_dxf, dxf_runs)], ids=["svg", "dxf"]
)


@BOTH
@pytest.mark.parametrize("kind", KINDS)
def test_the_body_has_its_area_its_length_and_its_size(kind, write, runs):
    one = preset(kind)
    (body,) = runs(write(body_sheet(one, BLOCK)), "cut through")
    assert body.area == pytest.approx(areas_mm2(one)["back"], rel=1e-3)
    around = next(c.length_mm for c in contacts(one) if c.role == "sides")
    assert body.exterior.length == pytest.approx(around, rel=1e-3)
    left, top, right, low = body.bounds
    assert (right - left, low - top) == pytest.approx((one.width_mm, one.body_mm), abs=1e-3)


@BOTH
@pytest.mark.parametrize("kind", KINDS)
def test_half_a_body_is_half_of_it(kind, write, runs):
    one = preset(kind)
    half = runs(write(body_sheet(one, BLOCK, half=True)), "cut through")[0]
    assert half.area == pytest.approx(areas_mm2(one)["back"] / 2, rel=1e-3)
    bridge = runs(write(body_sheet(one, BLOCK, half=True)), "reference")[-2]
    wide = bridge.bounds[2] - bridge.bounds[0]
    assert wide == pytest.approx(one.bridge.width_mm / 2, abs=1e-3)
    assert bridge.is_simple


@BOTH
@pytest.mark.parametrize("kind", KINDS)
def test_the_board_has_its_area_and_every_slot_its_length_and_place(kind, write, runs):
    one = preset(kind)
    text = write(fretboard_sheet(one, BLOCK))
    board = runs(text, "cut through")[0]
    long = board_length_mm(one)
    # Of a trapezium.
    area = long * (one.nut_mm + one.fretboard.width_mm(long)) / 2
    assert board.area == pytest.approx(area, rel=1e-3)
    slots = runs(text, "slots")
    assert len(slots) == one.frets
    nut = board.bounds[1] if write is as_svg else board.bounds[3]
    for slot, row in zip(slots, one.fretboard.fret_table(), strict=True):
        assert slot.length == pytest.approx(row.width_mm, abs=1e-3)
        assert abs(slot.centroid.y - nut) == pytest.approx(row.nut_mm, abs=1e-3)


@BOTH
@pytest.mark.parametrize("kind", KINDS)
def test_head_and_bridge_have_their_areas(kind, write, runs):
    one = preset(kind)
    (head, *_) = runs(write(head_sheet(one, BLOCK)), "cut through")
    assert head.area == pytest.approx(areas_mm2(one)["headplate"], rel=1e-3)
    (bridge, *_) = runs(write(bridge_sheet(one, BLOCK)), "cut through")
    assert bridge.is_valid
    wide, deep = one.bridge.width_mm, one.bridge.depth_mm
    left, top, right, low = bridge.bounds
    assert (right - left, low - top) == pytest.approx((wide, deep), abs=1e-3)
    if one.bridge.hold == "tailpiece":
        # A block, and to either side as much again as it narrows by, half of it foot, and round.
        block, foot = free_block_mm(one), FOOT_SHARE * deep
        straight = wide / 2 - foot / 2 - block
        side = straight / 2 * ((deep + foot) / 2 + foot) + math.pi * foot**2 / 8
        assert bridge.area == pytest.approx(2 * (block * deep + side), rel=1e-3)
    elif one.bridge.shape != "belly":
        assert bridge.area == pytest.approx(wide * deep, rel=1e-3)


@pytest.mark.parametrize("kind", KINDS)
def test_hole_and_rosette_are_circles_of_their_size_in_both(kind):
    one = preset(kind)
    plan = body_sheet(one, BLOCK)
    wanted = sorted([one.hole.diameter_mm / 2, *(r for ring in one.hole.rosette_mm for r in ring)])
    circles = ET.fromstring(as_svg(plan)).findall(f".//{SVG}circle")
    assert sorted(float(c.get("r")) for c in circles) == pytest.approx(wanted, abs=1e-3)
    space = ezdxf.read(io.StringIO(as_dxf(plan))).modelspace()
    assert sorted(c.dxf.radius for c in space.query("CIRCLE")) == pytest.approx(wanted)


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("kind", KINDS)
def test_one_unit_is_one_millimetre(kind, sheet):
    plan = sheet(preset(kind), BLOCK)
    root = ET.fromstring(as_svg(plan))
    assert root.get("viewBox") == f"0 0 {root.get('width')[:-2]} {root.get('height')[:-2]}"
    assert root.get("width").endswith("mm")
    assert float(root.get("width")[:-2]) == pytest.approx(plan.width_mm, abs=1e-3)
    assert not [e for e in root.iter() if "style" in e.attrib]
    drawing = ezdxf.read(io.StringIO(as_dxf(plan)))
    assert drawing.units == ezdxf.units.MM
    assert drawing.header["$INSUNITS"] == 4  # millimetres, in the DXF reference
    assert drawing.header["$MEASUREMENT"] == 1
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    layers = {entity.dxf.layer for entity in drawing.modelspace()}
    assert layers <= {layer.dxf.name for layer in drawing.layers}
    assert {"cut through", "centre line", "dimensions", "words", "title block"} <= layers


@pytest.mark.parametrize("sheet", SHEETS)
def test_all_that_is_drawn_lies_on_the_sheet(sheet):
    plan = sheet(preset("auditorium-steel-string"), BLOCK)
    root = ET.fromstring(as_svg(plan))
    for layer in ("cut through", "dimensions", "title block"):
        found = list(svg_runs(ET.tostring(root, encoding="unicode"), layer))
        assert found
        for run in found:
            left, top, right, low = run.bounds
            assert left > 0
            assert top > 0
            assert right < plan.width_mm
            assert low < plan.height_mm


def test_the_title_block_stands_at_the_lower_right():
    plan = body_sheet(preset("classical"), BLOCK)
    cells = svg_runs(as_svg(plan), "title block")
    assert max(cell.bounds[2] for cell in cells) == pytest.approx(plan.width_mm - 6)
    assert max(cell.bounds[3] for cell in cells) == pytest.approx(plan.height_mm - 6)
    words = [t.text for t in ET.fromstring(as_svg(plan)).iter(f"{SVG}text")]
    for said in ("Saltmarsh, first light", "Body", "B", "2026-11-25", "1 : 1, mm"):
        assert said in words


@pytest.mark.parametrize("revision", ["none + 1234", "AB + 128"])
def test_the_title_block_has_room_for_any_count_of_changes_and_any_date(revision):
    block = TitleBlock("Saltmarsh", revision, "27 September 2026")
    words = [shape.text for shape in head_sheet(preset("classical"), block).shapes
             if isinstance(shape, Words)]  # fmt: skip
    for said in (revision, "27 September 2026"):
        assert said in words


def test_any_title_stays_text():
    plan = head_sheet(preset("classical"), TitleBlock(HOSTILE, HOSTILE, HOSTILE))
    text = as_svg(plan)
    assert "<script" not in text
    root = ET.fromstring(text)
    assert not [e for e in root.iter() if e.tag.endswith("script")]
    assert any("שלום" in (t.text or "") for t in root.iter(f"{SVG}text"))
    drawing = ezdxf.read(io.StringIO(as_dxf(plan)))
    assert not drawing.audit().errors
    shown = [entity.plain_text() for entity in drawing.modelspace().query("TEXT")]
    assert any("<script>alert(1)</script>&amp; % %u^J/U+05D0 שלום" in words for words in shown)


def test_the_table_gives_every_fret_to_a_hundredth():
    """Equal temperament on 650 mm, worked by hand: the 1st 36.48, the 12th 325.00."""
    plan = fretboard_sheet(preset("classical"), BLOCK)
    words = [t.text for t in ET.fromstring(as_svg(plan)).iter(f"{SVG}text")]
    for said in ("36.48", "70.92", "325.00", "from nut", "62.00"):
        assert said in words


def test_a_dimension_says_what_it_spans():
    plan = fretboard_sheet(preset("classical"), BLOCK)
    dimensions = ET.fromstring(as_svg(plan)).findall(f"{SVG}g[@id='dimensions']/*")
    said = {d.text for d in dimensions if d.tag == f"{SVG}text"}
    assert {"52", "325"} <= said
    lengths = [run.length for run in svg_runs(as_svg(plan), "dimensions")]
    for length in (52.0, 325.0):
        assert any(math.isclose(length, one, abs_tol=1e-3) for one in lengths)


def test_lengths_and_long_titles_are_written_short():
    assert [millimetres(v) for v in (12.0, 12.5, 12.346, -0.001, 100.0)] == [
        "12", "12.5", "12.35", "0", "100",
    ]  # fmt: skip
    assert fitting("a" * 300, 60.0, 4.0) == "a" * 23 + "…"
    assert fitting("short\n name", 60.0, 4.0) == "short name"


def test_a_small_plan_is_what_is_drawn_and_nothing_else():
    """Lines of one width at any size, no word, and no room but what the lines take."""
    made = preset("parlour-steel-string")
    plan = body_sheet(made, BLOCK)
    root = ET.fromstring(as_small_svg(plan))
    assert not root.findall(f".//{SVG}text")
    assert root.get("width") is None
    lines = [one for one in root.iter() if one.tag in (f"{SVG}path", f"{SVG}circle")]
    assert {one.get("vector-effect") for one in lines} == {"non-scaling-stroke"}
    _, _, width, height = (float(side) for side in root.get("viewBox").split())
    assert made.width_mm < width < made.width_mm * 1.4
    assert made.body_mm < height < made.body_mm * 1.2
