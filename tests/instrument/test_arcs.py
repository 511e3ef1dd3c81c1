"""Chords as arcs: read back by ezdxf, whose own arithmetic of bulges judges ours."""

import io
import math
from functools import partial
from itertools import pairwise

import ezdxf
import pytest
from ezdxf.path import make_path
from shapely import Polygon

from brief.instrument import as_dxf, preset, presets
from brief.instrument.plans.files.arcs import bulged
from brief.instrument.plans.head_sheet import head_sheet
from brief.instrument.plans.inlay_sheets import rosette_sheet
from brief.instrument.plans.overview import overview_sheet
from brief.instrument.plans.plan import TOOLED, Circle, Line, TitleBlock
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet
from brief.instrument.plans.side_sheets import back_sheet, side_sheet

BLOCK = TitleBlock("Saltmarsh", "B", "2026-11-25")
SHEETS = {
    "fretboard": fretboard_sheet,
    "body": body_sheet,
    "half body": partial(body_sheet, half=True),
    "head": head_sheet,
    "bridge": bridge_sheet,
    "rosette": rosette_sheet,
    "side": side_sheet,
    "back": back_sheet,
    "overview": overview_sheet,
}
EVERY = [(kind, name) for kind, _ in presets() for name in SHEETS]


def arc(radius, start, end, steps=40):
    turns = (start + (end - start) * i / steps for i in range(steps + 1))
    return [(radius * math.cos(t), radius * math.sin(t)) for t in turns]


def test_half_a_circle_is_two_quarters():
    """The bulge is the tangent of a quarter of 90°: the DXF reference, group code 42."""
    first, second, last = bulged(arc(20.0, 0.0, math.pi))
    assert (first[:2], last[2]) == ((20.0, 0.0), 0)
    assert second[:2] == pytest.approx((0.0, 20.0))
    for one, way in ((first, 1), (second, 1), (bulged(arc(20.0, math.pi, 0.0))[0], -1)):
        assert one[2] == pytest.approx(way * math.tan(math.pi / 8), abs=1e-9)


def test_corners_and_straight_edges_stay():
    square = [(0, 0), (10, 0), (20, 0), (20, 20), (0, 20)]
    run = bulged(square, closed=True)
    assert {one[:2] for one in run} == {(0, 0), (20, 0), (20, 20), (0, 20)}
    assert not any(one[2] for one in run)
    # A polygon of eight is eight edges and no circle.
    assert not any(one[2] for one in bulged(arc(20.0, 0.0, 2 * math.pi, 8)[:-1], closed=True))


def test_a_slot_with_round_ends_is_four_quarters_and_two_lines():
    right = [(x + 30, y) for x, y in arc(7, -math.pi / 2, math.pi / 2)]
    left = arc(7, math.pi / 2, 3 * math.pi / 2)
    run = bulged([*right, *left], closed=True)
    quarter = math.tan(math.pi / 8)
    assert sorted(one[2] for one in run) == pytest.approx([0, 0, *[quarter] * 4], abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "name"), EVERY)
def test_a_dxf_has_no_error_no_line_twice_and_nothing_open_that_should_be_closed(kind, name):
    """ezdxf's auditor; and every outline that a tool follows is as it was drawn, to 0.03 mm."""
    plan = SHEETS[name](preset(kind), BLOCK)
    drawing = ezdxf.read(io.StringIO(as_dxf(plan)))
    audit = drawing.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    space = drawing.modelspace()
    (left, low, _), (right, top, _) = drawing.header["$EXTMIN"], drawing.header["$EXTMAX"]
    edges = []
    for line in space.query("LWPOLYLINE"):
        run = [(round(v.x, 4), round(v.y, 4)) for v in make_path(line).flattening(0.001)]
        assert all(left - 1 <= x <= right + 1 and low - 1 <= y <= top + 1 for x, y in run)
        if line.dxf.layer in TOOLED:
            edges += [(line.dxf.layer, frozenset(edge)) for edge in pairwise(run)]
            assert line.closed or line.dxf.layer in ("slots", "engrave")
    circles = [(c.dxf.layer, *c.dxf.center, c.dxf.radius) for c in space.query("CIRCLE")]
    assert len(circles) == len(set(circles))
    assert len(edges) == len({edge for _, edge in edges})
    drawn = [one for one in plan.shapes if isinstance(one, Line) and one.closed]
    for one, line in zip(drawn, space.query("LWPOLYLINE").filter(lambda e: e.closed), strict=True):
        true = Polygon([(x, plan.height_mm - y) for x, y in one.points])
        found = Polygon([(v.x, v.y) for v in make_path(line).flattening(0.0005)])
        assert true.exterior.hausdorff_distance(found.exterior) < 0.035
        assert found.area == pytest.approx(true.area, rel=1e-3)


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_a_body_is_a_quarter_of_its_chords_and_has_the_operations(kind):
    plan = body_sheet(preset(kind), BLOCK)
    body = next(one for one in plan.shapes if isinstance(one, Line) and one.layer == "cut through")
    run = bulged(body.points, closed=True)
    assert len(run) < len(body.points) / 4
    assert sum(1 for one in run if one[2]) > len(run) / 2
    assert {"cut through", "hole", "channel", "reference"} <= {one.layer for one in plan.shapes}
    assert any(isinstance(one, Circle) and one.layer == "hole" for one in plan.shapes)
