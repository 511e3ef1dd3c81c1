"""Frets that fan, on the board, in the picture and on the sheets; lengths as makers choose them:
common practice, no source."""

import json
import math
import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from brief.errors import InputError
from brief.instrument import Fill, draw_front, preset, presets, view_box
from brief.instrument.curve import number
from brief.instrument.drawing.back import draw_back
from brief.instrument.frets.fret_lines import (
    board_corners,
    fan_of,
    fanned_table,
    fret_drawn,
    fret_ends,
    lean,
)
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.inlay.places import check_lies, laid_out, slots_across
from brief.instrument.inlay.spots import Place
from brief.instrument.model.contacts import blanks_mm
from brief.instrument.model.shape import shaped
from brief.instrument.outline.outlines import (
    NUT_MM,
    bridge_outline,
    front_on_centre_y,
    head_outline,
    saddle_y,
)
from brief.instrument.plans.draughting import millimetres
from brief.instrument.plans.head_sheet import head_sheet
from brief.instrument.plans.plan import Line, TitleBlock, Words, box_of
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet
from brief.instrument.presets import data_of, preset_from

KINDS = [kind for kind, _ in presets()]
PARLOUR = preset("parlour-steel-string")
FANNED = shaped(PARLOUR, {"scale_mm": 648.0, "fan_mm": 20.0, "square_fret": 7})
BLOCK = TitleBlock("Saltmarsh", "change 1", "2027")
SHEETS = (fretboard_sheet, body_sheet, head_sheet, bridge_sheet)


def outer(one, fret):
    """The outer strings over a fret, on their way from nut to saddle: bass first.

    Found as where the string's own line meets the fret's, with nothing of the fan's own sums.
    """
    ends = []
    for i in (0, -1):
        start = string_places(one, one.nut_spread_mm)[i]
        end = string_places(one, one.bridge.spread_mm)[i]
        scale = one.fretboard.scale_mm
        string = LineString(
            [(start, lean(one, 0) * start), (end, scale + lean(one, math.inf) * end)]
        )
        (x, y), (x_2, y_2) = fret_ends(one, fret)
        ends.append((string, string.intersection(LineString([(x, y), (x_2, y_2)]))))
    return ends


@pytest.mark.parametrize("fret", [1, 5, 7, 12, 18])
def test_each_outer_string_is_divided_by_its_own_scale(fret):
    """Equal temperament along each string: a fret leaves 2^(-n/12) of it to the saddle."""
    for string, at in outer(FANNED, fret):
        (_, nut), (_, saddle) = string.coords
        assert saddle - at.y == pytest.approx((saddle - nut) * 2 ** (-fret / 12), abs=1e-6)
    bass, treble = (string.coords[1][1] - string.coords[0][1] for string, _ in outer(FANNED, 1))
    assert (bass, treble) == pytest.approx((648.0, 628.0))


def test_one_fret_is_square_and_the_rest_lean_either_way():
    assert lean(FANNED, 7) == 0
    assert fret_ends(FANNED, 7)[0][1] == fret_ends(FANNED, 7)[1][1]
    assert lean(FANNED, 0) > 0 > lean(FANNED, 12) > lean(FANNED, math.inf)


def test_frets_end_on_the_edges_of_the_board():
    corners = board_corners(FANNED)
    edges = LineString([corners[0], corners[3]]), LineString([corners[1], corners[2]])
    board = FANNED.fretboard
    found = list(fanned_table(FANNED))
    assert found
    for fret, row in enumerate(found, start=1):
        bass, treble = fret_ends(FANNED, fret)
        for (x, y), edge in zip((bass, treble), edges, strict=True):
            assert abs(x) == pytest.approx(board.width_mm(y) / 2, abs=1e-9)
            assert edge.distance(LineString([(x, y), (x, y + 1e-9)])) < 1e-6
        assert row.bass_mm == pytest.approx(math.dist(corners[0], bass))
        assert row.treble_mm == pytest.approx(math.dist(corners[1], treble))
        assert row.slot_mm == pytest.approx(math.dist(bass, treble))
        assert row.slot_mm >= board.width_mm(board.fret_mm(fret)) - 0.05


@given(
    st.sampled_from(KINDS),
    st.floats(1, 60),
    st.integers(0, 14),
)
@settings(max_examples=60, deadline=None)
def test_no_fan_lets_frets_cross_or_the_head_break(kind, fan, square):
    try:
        one = shaped(preset(kind), {"fan_mm": fan, "square_fret": square})
    except InputError:
        assume(False)
    lines = [LineString(fret_ends(one, fret)) for fret in range(one.frets + 1)]
    for before, after in pairwise(lines):
        assert not before.intersects(after)
    assert Polygon(board_corners(one)).is_valid
    assert Polygon(head_outline(one)).is_valid
    assert Polygon(bridge_outline(one)).is_valid


@pytest.mark.parametrize("kind", KINDS)
def test_straight_frets_stay_as_they_are(kind):
    """Another square fret says nothing of frets that do not fan."""
    one, same = preset(kind), shaped(preset(kind), {"square_fret": 3})
    assert fan_of(one) is None
    fills = {"fretboard": Fill("#402010", None, "rosewood")}
    drawn = [draw_front(each, fills, title="Front", prefix="f") for each in (one, same)]
    assert drawn[0] == drawn[1]
    for sheet in SHEETS:
        assert sheet(one, BLOCK) == sheet(same, BLOCK)
    for fret in range(one.frets + 1):
        (x, y), (x_2, y_2) = fret_ends(one, fret)
        assert (x, y) == (-x_2, y_2)
        assert y == one.fretboard.fret_mm(fret)


def test_the_picture_follows():
    straight, fanned = (
        draw_front(one, {"fretboard": Fill("#402010", None, "wood")}, title="Front", prefix="f")
        for one in (shaped(PARLOUR, {"scale_mm": 648.0}), FANNED)
    )
    wires = re.search('class="frets".*?</g>', fanned, re.DOTALL)[0]
    assert wires.count("L") > 10
    assert "L" not in re.search('class="frets".*?</g>', straight, re.DOTALL)[0].replace("</", "")
    # The saddle leans by as much as the scales part.
    half = FANNED.bridge.spread_mm / 2
    plain = shaped(PARLOUR, {"scale_mm": 638.0})
    gained = saddle_y(FANNED, -half) - saddle_y(plain, -half)
    lost = saddle_y(FANNED, half) - saddle_y(plain, half)
    assert gained - lost == pytest.approx(20 * 2 ** (-7 / 12), abs=0.01)


def test_the_fretboard_sheet_is_cut_from_both_edges():
    plan = fretboard_sheet(FANNED, BLOCK)
    slots = [shape for shape in plan.shapes if isinstance(shape, Line) and shape.layer == "slots"]
    assert len(slots) == FANNED.frets
    longest = max(math.dist(*slot.points) for slot in slots)
    assert longest == pytest.approx(max(row.slot_mm for row in fanned_table(FANNED)))
    said = [shape.text for shape in plan.shapes if isinstance(shape, Words)]
    assert "bass edge" in said
    twelfth = fanned_table(FANNED)[11]
    assert f"{twelfth.bass_mm:.2f}" in said
    assert f"{twelfth.treble_mm:.2f}" in said


def test_the_other_sheets_lean_with_it():
    whole, half = body_sheet(FANNED, BLOCK), body_sheet(FANNED, BLOCK, half=True)
    leaning = lean(FANNED, math.inf)
    for plan in (whole, half):
        least = FANNED.bridge.width_mm * (0.45 if plan is half else 0.95)
        slopes = [
            (y_2 - y) / (x_2 - x)
            for shape in plan.shapes
            if isinstance(shape, Line) and shape.layer == "reference"
            for (x, y), (x_2, y_2) in pairwise(shape.points)
            if abs(x_2 - x) > least
        ]
        assert slopes
        assert slopes == pytest.approx([leaning] * len(slopes))


@pytest.mark.parametrize("kind", KINDS)
def test_a_bridge_is_turned_with_its_saddle_and_keeps_its_figure(kind):
    """By shapely's least rectangle round it, and its area."""
    straight, fanned = (shaped(preset(kind), {"fan_mm": fan}) for fan in (0.0, 15.0))
    before, after = (Polygon(bridge_outline(one)) for one in (straight, fanned))
    assert after.is_valid
    assert after.area == pytest.approx(before.area)
    ring = after.minimum_rotated_rectangle.exterior.coords
    sides = [(math.dist(a, b), (b[0] - a[0], b[1] - a[1])) for a, b in pairwise(ring)]
    (long, (across, down)), (deep, _) = max(sides), min(sides)
    bridge = fanned.bridge
    assert (long, deep) == pytest.approx((bridge.width_mm, bridge.depth_mm))
    assert down / across == pytest.approx(lean(fanned, math.inf))
    assert after.contains(Point(0.0, saddle_y(fanned)))
    middle = after.intersection(LineString([(0.0, -900.0), (0.0, 900.0)]))
    assert front_on_centre_y(fanned) == pytest.approx(middle.bounds[1])
    assert f"rotate({math.degrees(math.atan(lean(fanned, math.inf))):.3f} 0 " in draw_front(
        fanned, {}, title="Front", prefix="f"
    )


@pytest.mark.parametrize("hold", ["pins", "tie", "tailpiece"])
def test_the_bridge_sheet_is_square_to_the_bridge_and_its_strings_cross_it_aslant(hold):
    one = replace(FANNED, bridge=replace(FANNED.bridge, hold=hold))
    plan = bridge_sheet(one, BLOCK)
    (cut,) = (shape for shape in plan.shapes if shape.layer == "cut through")
    left, top, right, low = box_of(cut)
    assert (right - left, low - top) == pytest.approx((one.bridge.width_mm, one.bridge.depth_mm))
    strings = [shape for shape in plan.shapes if shape.layer == "strings"]
    assert len(strings) == one.strings
    for string in strings:
        (x, y), (x_2, y_2) = string.points
        assert (x - x_2) / (y - y_2) == pytest.approx(lean(one, math.inf))
    said = [shape.text for shape in plan.shapes if isinstance(shape, Words)]
    assert not any(text.startswith("-") for text in said)
    front = front_on_centre_y(one) - one.nut_y
    assert f"Front edge {millimetres(front)} from the nut" in " ".join(said)
    turned = Polygon(bridge_outline(one)).minimum_rotated_rectangle.exterior.coords
    off = max(abs(b[1] - a[1]) for a, b in pairwise(turned) if abs(b[0] - a[0]) > 60)
    assert f"treble end is {millimetres(off)} nearer" in " ".join(said)


def test_the_blank_of_a_board_has_room_for_what_leans_and_that_of_a_bridge_need_not():
    plain = blanks_mm(shaped(PARLOUR, {"scale_mm": 638.0}))
    assert blanks_mm(FANNED)["fretboard"][0] > plain["fretboard"][0] + 3
    assert blanks_mm(FANNED)["bridge"] == plain["bridge"]


def test_a_kind_of_ones_own_keeps_its_fan():
    again = preset_from("own", json.loads(json.dumps(data_of(FANNED))))
    assert fanned_table(again) == fanned_table(FANNED)


@pytest.mark.parametrize(
    ("sizes", "field", "said"),
    [
        ({"fan_mm": 100.0, "square_fret": 24}, "fan_mm", "lean too far"),
        ({"fan_mm": -5.0}, "fan_mm", "between 0 and 100"),
        ({"fan_mm": 20.0, "square_fret": 7.5}, "square_fret", "whole number"),
    ],
)
def test_a_fan_that_cannot_be_built_is_refused(sizes, field, said):
    with pytest.raises(InputError, match=said) as caught:
        shaped(PARLOUR, sizes)
    assert caught.value.faults[0].pointer == f"/{field}"


def test_inlays_lie_between_frets_that_fan():
    """A dot before a fret is as far from it as from the one before, and turned as they are."""
    place = Place("fretboard", frets=(3, 12))
    bar = Polygon([(-12, -2), (12, -2), (12, 2), (-12, 2)])
    copies = laid_out(FANNED, bar, place)
    check_lies(FANNED, copies, place)
    assert slots_across(FANNED, copies) == []
    for fret, copy in zip((3, 12), copies, strict=True):
        before, after = (LineString(fret_drawn(FANNED, n)) for n in (fret - 1, fret))
        assert copy.distance(before) == pytest.approx(copy.distance(after), abs=0.6)
    long = Polygon([(-12, -30), (12, -30), (12, 30), (-12, 30)])
    assert 12 in slots_across(FANNED, laid_out(FANNED, long, Place("fretboard", frets=(12,))))


def test_from_behind_the_nut_leans_the_other_way():
    ends = [number(y - NUT_MM) for _, y in fret_drawn(FANNED, 0)]
    box = view_box(FANNED, "whole")
    svg = draw_back(FANNED, {}, title="Back", prefix="b", box=box, px_per_mm=None)
    left, right = (number(x) for x, _ in fret_drawn(FANNED, 0))
    assert f"M-{right} {ends[1]}L{left.removeprefix('-')} {ends[0]}" in svg
