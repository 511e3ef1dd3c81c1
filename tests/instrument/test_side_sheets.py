"""Side, back and overview, and the finished numbers on the sheets, against what they follow from.

Sums worked by hand from the presets' own sizes; equal gaps by their own definition.
"""

import math
from itertools import pairwise

import pytest
from shapely import LineString, Polygon

from brief.instrument import preset, presets
from brief.instrument.drawing.parts.neck import SLOT_INNER_MM, SLOT_OUTER_MM
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.model.shape import shaped
from brief.instrument.outline.bouts import bouts
from brief.instrument.outline.outlines import body_outline, length_of, side_lengths_mm
from brief.instrument.plans.draughting import millimetres
from brief.instrument.plans.head_sheet import POST_MM, head_sheet
from brief.instrument.plans.overview import overview_sheet
from brief.instrument.plans.plan import TOOLED, Circle, Line, TitleBlock, Words
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet
from brief.instrument.plans.side_sheets import SPARE_MM, back_sheet, side_sheet

BLOCK = TitleBlock("Saltmarsh", "B", "2026-11-25")
KINDS = [kind for kind, _ in presets()]
CUTAWAY = {"cutaway_depth_mm": 60.0, "cutaway_length_mm": 96.0}


def closed(plan, layer):
    return [
        Polygon(one.points)
        for one in plan.shapes
        if isinstance(one, Line) and one.closed and one.layer == layer
    ]


def words(plan):
    return [one.text for one in plan.shapes if isinstance(one, Words)]


@pytest.mark.parametrize("kind", KINDS)
def test_a_side_rolled_out_is_as_long_as_the_rim_and_as_deep_as_the_ends(kind):
    """Half the way round the body, and the spare at either end."""
    one = preset(kind)
    (blank,) = closed(side_sheet(one, BLOCK), "cut through")
    left, top, right, low = blank.bounds
    assert right - left == pytest.approx(length_of(body_outline(one)) / 2 + 2 * SPARE_MM, rel=1e-4)
    assert low - top == pytest.approx(max(one.side_neck_mm, one.side_tail_mm), abs=1e-6)
    at_joint = blank.intersection(LineString([(left + 1, top - 1), (left + 1, low + 1)])).length
    at_tail = blank.intersection(LineString([(right - 1, top - 1), (right - 1, low + 1)])).length
    assert (at_joint, at_tail) == pytest.approx((one.side_neck_mm, one.side_tail_mm), abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_a_mark_across_a_side_is_as_long_as_the_side_is_deep_there(kind):
    """Of similar triangles: from neck to tail the depth changes evenly along the body."""
    one = preset(kind)
    taper = (one.side_tail_mm - one.side_neck_mm) / one.body_mm
    wanted = [one.side_neck_mm + taper * at
              for at in (0, one.body_mm, *(bout.at_mm for bout in bouts(one.outline)))]  # fmt: skip
    marks = [shape for shape in side_sheet(one, BLOCK).shapes
             if isinstance(shape, Line) and shape.layer == "engrave"]  # fmt: skip
    assert [math.dist(*mark.points) for mark in marks] == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("horn", [0.0, 18.0])
def test_with_a_cutaway_every_side_has_a_blank_of_its_own(horn):
    one = shaped(preset("auditorium-steel-string"), {**CUTAWAY, "cutaway_round_mm": horn})
    blanks = closed(side_sheet(one, BLOCK), "cut through")
    lengths = [blank.bounds[2] - blank.bounds[0] - 2 * SPARE_MM for blank in blanks]
    assert lengths == pytest.approx([long for _, long in side_lengths_mm(one)], abs=0.02)


@pytest.mark.parametrize("kind", KINDS)
def test_the_ledges_are_as_far_from_the_edge_as_binding_and_purfling_are_wide(kind):
    one = preset(kind)
    plan = body_sheet(one, BLOCK)
    (body,) = closed(plan, "cut through")
    lines = sorted(closed(plan, "channel"), key=lambda ring: -ring.area)
    for ring, off in zip(lines, (one.binding_mm, one.binding_mm + one.purfling_mm), strict=True):
        for point in ring.exterior.coords[::40]:
            away = body.exterior.distance(Polygon([point, point, point]).centroid)
            assert away == pytest.approx(off, abs=0.03)
    back = back_sheet(one, BLOCK)
    assert closed(back, "cut through")[0].area == pytest.approx(body.area, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_the_bridge_sheet_says_finished_numbers(kind):
    """Scale and compensation, added up by hand; pins evenly apart."""
    one = preset(kind)
    said = words(bridge_sheet(one, BLOCK))
    for sum_mm in (one.scale_mm + one.bridge.bass_mm, one.scale_mm + one.bridge.treble_mm):
        assert f"{sum_mm:.2f}" in said
    if one.bridge.hold == "pins":
        holes = [
            shape.middle
            for shape in bridge_sheet(one, BLOCK).shapes
            if isinstance(shape, Circle) and shape.layer == "hole"
        ]
        apart = {round(b[0] - a[0], 6) for a, b in pairwise(sorted(holes))}
        assert apart == {round(one.bridge.spread_mm / (one.strings - 1), 6)}
        pitch = millimetres(one.bridge.spread_mm / (one.strings - 1))
        assert f" {pitch} apart." in " ".join(said)


def test_the_slots_of_a_nut_by_centres_and_by_gaps():
    """Centres: a fifth of the spread apart. Gaps: what is left between the strings is the same."""
    one = preset("classical")
    said = words(fretboard_sheet(one, BLOCK))
    first = (one.nut_mm - one.nut_spread_mm) / 2
    for i in range(6):
        assert f"{first + i * one.nut_spread_mm / 5:.2f}" in said
    start = said.index("equal gaps")
    rows = [said[start + 1 + 4 * i : start + 5 + 4 * i] for i in range(6)]
    places, gauges = [float(row[3]) for row in rows], [float(row[1]) for row in rows]
    gaps = [
        b - a - (thick + other) / 2
        for (a, thick), (b, other) in pairwise(zip(places, gauges, strict=True))
    ]
    assert max(gaps) - min(gaps) < 0.021  # a hundredth, rounded twice
    assert len(string_places(one, one.nut_spread_mm)) == 6


@pytest.mark.parametrize("kind", KINDS)
def test_the_board_says_where_the_body_begins_and_has_its_side_dots(kind):
    one = preset(kind)
    plan = fretboard_sheet(one, BLOCK)
    (joint,) = [text for text in words(plan) if "body joint" in text]
    assert joint.startswith(str(one.frets_to_body))
    dots = [shape for shape in plan.shapes if isinstance(shape, Circle)]
    wanted = [n for n in (3, 5, 7, 9, 12, 12, 15, 17, 19, 21, 24, 24) if n <= one.frets]
    assert len(dots) == len(wanted)


def test_the_head_says_how_far_its_holes_are_from_the_edge():
    one = preset("auditorium-steel-string")
    said = " ".join(words(head_sheet(one, BLOCK)))
    assert "Post holes 10 across" in said
    assert "Slots 14 wide, from 8 to 22" in " ".join(words(head_sheet(preset("classical"), BLOCK)))


@pytest.mark.parametrize("kind", KINDS)
def test_an_overview_is_smaller_by_what_it_says_and_has_nothing_to_cut(kind):
    one = preset(kind)
    plan = overview_sheet(one, BLOCK)
    assert f"1 : {plan.scale}, mm" in words(plan)
    assert not [shape for shape in plan.shapes if shape.layer in TOOLED]
    long = one.body_mm / plan.scale
    bodies = [
        ring
        for ring in closed(plan, "reference")
        if math.isclose(ring.bounds[3] - ring.bounds[1], long, rel_tol=1e-3)
    ]
    assert len(bodies) == 3  # front, side, back
    widest = max(ring.bounds[2] - ring.bounds[0] for ring in bodies)
    assert widest == pytest.approx(one.width_mm / plan.scale, rel=1e-3)
    slot = SLOT_OUTER_MM - SLOT_INNER_MM
    # Through a slotted head strings go down two slots; through another each has a post.
    posts = [shape for shape in plan.shapes if isinstance(shape, Circle)
             and math.isclose(shape.radius_mm * plan.scale, POST_MM / 2)]  # fmt: skip
    wide = [ring.bounds[2] - ring.bounds[0] for ring in closed(plan, "reference")]
    slots = [one for one in wide if math.isclose(one * plan.scale, slot, rel_tol=1e-6)]
    assert (len(posts), len(slots)) == ((0, 2) if one.head.slotted else (one.strings, 0))
