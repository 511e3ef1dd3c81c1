"""Cutaways: without a kink but at the point of a pointed one, simple, as deep as was asked.

"Venetian" for a rounded and "Florentine" for a pointed cutaway: common practice, no source.
"""

import math
import os

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.interpolate import BPoly
from shapely import LineString, Point, Polygon

from brief.errors import InputError
from brief.instrument import Fill, draw_front, preset, presets
from brief.instrument.model.contacts import areas_mm2, contacts, sides_mm2
from brief.instrument.model.cut_list import cut_list
from brief.instrument.model.shape import shaped
from brief.instrument.outline.bouts import LEAST_BEND_MM, bouts
from brief.instrument.outline.cutaway import _Side
from brief.instrument.outline.outlines import body_outline, body_segments, side_lengths_mm
from brief.instrument.plans.plan import TitleBlock
from brief.instrument.plans.sheets import body_sheet

KINDS = [kind for kind, _ in presets()]
MANY = int(os.environ.get("BRIEF_TEST_OUTLINES", "60"))
PARLOUR = preset("parlour-steel-string")
ROUNDED = {"cutaway_depth_mm": 65.0, "cutaway_length_mm": 95.0, "cutaway_round_mm": 18.0}
POINTED = ROUNDED | {"cutaway_round_mm": 0.0}


def turns(one):
    """How far the curve turns at each joint of its pieces, in degrees, and where."""
    segments = body_segments(one)
    found = []
    for before, after in zip(segments, (*segments[1:], segments[0]), strict=True):
        arriving = math.atan2(before[3][1] - before[2][1], before[3][0] - before[2][0])
        leaving = math.atan2(after[1][1] - after[0][1], after[1][0] - after[0][0])
        turn = abs((leaving - arriving + math.pi) % (2 * math.pi) - math.pi)
        found.append((math.degrees(turn), before[3]))
    return found


@given(
    st.sampled_from(KINDS),
    st.floats(15, 120),
    st.floats(40, 220),
    st.one_of(st.just(0.0), st.floats(LEAST_BEND_MM, 45)),
)
@settings(max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_no_cutaway_has_a_kink_but_its_point_or_crosses_itself(kind, depth, length, horn):
    sizes = {"cutaway_depth_mm": depth, "cutaway_length_mm": length, "cutaway_round_mm": horn}
    plain = preset(kind)
    try:
        one = shaped(plain, sizes)
    except InputError:
        assume(False)
    run = body_outline(one)
    assert LineString(run).is_simple
    body, whole = Polygon(run), Polygon(body_outline(plain))
    assert body.is_valid
    assert whole.buffer(0.05).contains(body)  # a cutaway takes away and adds nothing
    corners = [(turn, at) for turn, at in turns(one) if turn > 0.01]
    assert len(corners) == (0 if horn else 1), corners
    # One piece is gone, from the treble side, and it reaches as far down as was asked.
    gone = whole.difference(body.buffer(0.05))
    assert gone.geom_type == "Polygon"
    assert gone.bounds[0] > 0
    assert gone.bounds[3] >= length - 0.1
    for a, b, c in zip(run, run[1:], run[2:], strict=False):
        if horn:
            area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2
            sides = math.dist(a, b) * math.dist(b, c) * math.dist(c, a)
            assert area < 1e-7 or sides / 4 / area > 0.8 * LEAST_BEND_MM


@pytest.mark.parametrize("sizes", [ROUNDED, POINTED], ids=["rounded", "pointed"])
def test_it_is_as_deep_and_as_long_as_was_asked(sizes):
    one = shaped(PARLOUR, sizes)
    body = Polygon(body_outline(one))
    upper = bouts(PARLOUR.outline)[0].width_mm / 2
    wall = upper - 65
    # Along a line across the body at half its length the wall stands that far in.
    assert body.contains(Point(wall - 0.1, 50))
    assert not body.contains(Point(wall + 0.1, 50))
    # The scoop is lowest where its curve runs across the body.
    run = body_outline(one)
    turns = [
        y
        for (_, before), (x, y), (_, after) in zip(run, run[1:], run[2:], strict=False)
        if before < y >= after and wall < x < upper
    ]
    assert turns[0] == pytest.approx(95, abs=0.05)


def test_a_place_on_the_side_is_on_its_curve():
    """By SciPy's polynomials in Bernstein's basis."""
    segments = [
        ((0.0, 0.0), (40.0, -10.0), (90.0, 30.0), (100.0, 80.0)),
        ((100.0, 80.0), (110.0, 130.0), (70.0, 180.0), (60.0, 220.0)),
    ]
    side = _Side(segments)
    for place in (0.0, 0.2, 0.5, 0.9, 1.25, 1.7, 2.0):
        at = min(int(place), 1)
        curve = BPoly(np.array(segments[at])[:, None, :], [0, 1])
        point, along = side._there(place)
        assert point == pytest.approx(curve(place - at), abs=1e-9)
        assert along == pytest.approx(curve.derivative()(place - at), abs=1e-9)


def test_all_that_is_measured_follows():
    one = shaped(PARLOUR, ROUNDED)
    body = Polygon(body_outline(one))
    plain = areas_mm2(PARLOUR)
    assert areas_mm2(one)["back"] == pytest.approx(body.area, rel=1e-9)
    assert areas_mm2(one)["back"] < plain["back"] - 3000
    around = next(c.length_mm for c in contacts(one) if c.role == "binding")
    assert around == pytest.approx(body.exterior.length, rel=1e-9)
    level = shaped(one, {"side_neck_mm": 100.0, "side_tail_mm": 100.0})
    assert sides_mm2(level) == pytest.approx(100 * body.exterior.length, rel=1e-6)
    assert sum(length for _, length in side_lengths_mm(one)) == pytest.approx(around, rel=1e-9)


def test_the_sides_of_a_pointed_one_are_cut_as_three():
    names = [
        (cut.name, cut.pieces) for cut in cut_list(shaped(PARLOUR, POINTED)) if cut.role == "sides"
    ]
    assert names == [
        ("Sides, bass", 1),
        ("Sides, treble, in the cutaway", 1),
        ("Sides, treble, from the point", 1),
    ]
    rounded = [cut for cut in cut_list(shaped(PARLOUR, ROUNDED)) if cut.role == "sides"]
    assert [cut.pieces for cut in rounded] == [1, 1]
    assert rounded[0].length_mm == next(
        cut.length_mm for cut in cut_list(PARLOUR) if cut.role == "sides"
    )
    # Nothing of a part is lost by listing its pieces one by one.
    for role in ("sides", "binding", "purfling"):
        parts = [cut.finished_mm3 for cut in cut_list(shaped(PARLOUR, POINTED)) if cut.role == role]
        solid = [cut.finished_mm3 for cut in cut_list(PARLOUR) if cut.role == role]
        assert sum(parts) == pytest.approx(sum(solid), rel=0.03)


def test_picture_and_plan_show_it():
    one = shaped(PARLOUR, POINTED)
    top = {"top": Fill("#c98f60", None, "cedar")}
    assert draw_front(one, top, title="Front", prefix="f") != draw_front(
        PARLOUR, top, title="Front", prefix="f"
    )
    block = TitleBlock("Saltmarsh", "change 1", "2027")
    whole, half = body_sheet(one, block), body_sheet(one, block, half=True)
    for plan in (whole, half):
        said = [shape.text for shape in plan.shapes if hasattr(shape, "text")]
        assert any("Cutaway 65" in text for text in said)


def test_without_one_nothing_is_changed_by_its_other_numbers():
    one = shaped(PARLOUR, {"cutaway_length_mm": 120.0, "cutaway_round_mm": 0.0})
    assert body_outline(one) == body_outline(PARLOUR)
    assert side_lengths_mm(one) == side_lengths_mm(PARLOUR)


@pytest.mark.parametrize(
    ("sizes", "field", "said"),
    [
        ({"cutaway_depth_mm": 140.0}, "cutaway_depth_mm", "would run into the neck: .* at most"),
        ({"cutaway_depth_mm": 400.0}, "cutaway_depth_mm", "between 0 and 200"),
        ({"cutaway_depth_mm": 8.0}, "cutaway_depth_mm", "no room for a scoop .* Make it deeper"),
        (ROUNDED | {"cutaway_length_mm": 31.0}, "cutaway_length_mm", "Make it longer"),
        (ROUNDED | {"cutaway_length_mm": 240.0}, "cutaway_length_mm", "beyond the waist|scoop"),
        (ROUNDED | {"cutaway_round_mm": 5.0}, "cutaway_round_mm", "12 mm or more"),
        (ROUNDED | {"cutaway_length_mm": 150.0, "hole_at_mm": 145.0}, "hole_at_mm", "soundhole"),
    ],
)
def test_what_cannot_be_built_is_refused_at_its_number(sizes, field, said):
    with pytest.raises(InputError, match=said) as caught:
        shaped(PARLOUR, sizes)
    assert caught.value.faults[0].pointer == f"/{field}"
