"""Where inlays lie: between frets, on the centre line, round the hole; by closed formulas."""

import math
from dataclasses import replace

import pytest

from brief.errors import InputError
from brief.instrument import preset
from brief.instrument.inlay.design import dot, read_design, shape_of
from brief.instrument.inlay.places import (
    check_lies,
    ground_of,
    in_words,
    laid_out,
    slots_across,
)
from brief.instrument.inlay.spots import Place, along_of
from brief.instrument.inlay.spots import spots as spots_of

PARLOUR = preset("parlour-steel-string")
CLASSICAL = preset("classical")
# Longer to the right and to the top, so that turns and mirrors tell.
FLAG = shape_of(read_design("M0 0H10V2H2V6H0Z").path, 10)


def spots(place, shape=None, one=PARLOUR):
    return [
        copy.centroid.coords[0] for copy in laid_out(one, shape or shape_of(dot().path, 6), place)
    ]


def test_dots_lie_midway_between_their_frets():
    """Equal temperament, worked out here anew: L (1 - 2^(-n/12))."""
    found = spots(Place("fretboard", frets=(3, 5, 12)))
    for (x, y), fret in zip(found, (3, 5, 12), strict=True):
        middle = 628 * (1 - (2 ** (-(fret - 1) / 12) + 2 ** (-fret / 12)) / 2)
        assert (x, y) == pytest.approx((0, PARLOUR.nut_y + middle), abs=1e-6)


def test_a_fret_named_twice_has_two_side_by_side():
    (left, y1), (right, y2) = spots(Place("fretboard", frets=(12, 12)))
    assert left == pytest.approx(-right)
    assert y1 == pytest.approx(y2)
    assert right == pytest.approx(PARLOUR.twelfth_mm / 4, rel=0.01)


def test_distances_run_from_where_the_part_is_measured_from():
    at_nut = spots(Place("fretboard", along_mm=100, across_mm=7))
    assert at_nut == [pytest.approx((7, PARLOUR.nut_y + 100))]
    assert spots(Place("top", along_mm=300)) == [pytest.approx((0, 300), abs=1e-6)]
    higher, lower = spots(Place("headplate", along_mm=90)), spots(Place("headplate", along_mm=30))
    assert higher[0][1] == pytest.approx(lower[0][1] - 60)


def test_a_design_is_turned_clockwise_and_mirrored_first():
    upright = FLAG.centroid
    assert (upright.x < 0, upright.y < 0) == (True, True)  # weight to the upper left
    for turn, mirrored, right, below in (
        (90, False, True, False),
        (180, False, True, True),
        (0, True, True, False),
        (90, True, True, True),
    ):
        ((x, y),) = spots(Place("top", along_mm=300, turn_deg=turn, mirrored=mirrored), FLAG)
        assert (x > 0, y > 300) == (right, below), (turn, mirrored)


def test_round_the_rosette_copies_are_even_and_their_tops_point_outwards():
    shape = shape_of(read_design("M0 0H5V1H3V6H2V1H0Z").path, 2)  # a T: heavy at the top
    found = spots(Place("rosette", copies=12), shape)
    rings = [r for ring in PARLOUR.hole.rosette_mm for r in ring]
    middle = (min(rings) + max(rings)) / 2
    from_hole = [(x, y - PARLOUR.hole.centre_mm) for x, y in found]
    assert all(math.hypot(x, y) > middle for x, y in from_hole)
    turns = sorted(round(math.degrees(math.atan2(y, x)), 6) % 360 for x, y in from_hole)
    assert turns == [30 * i for i in range(12)]
    assert max(y for _, y in from_hole) == pytest.approx(math.hypot(*from_hole[0]))


@pytest.mark.parametrize("lies_on", ["fretboard", "headplate", "rosette", "bridge", "top"])
@pytest.mark.parametrize("one", [PARLOUR, CLASSICAL])
def test_a_small_dot_lies_on_every_part(one, lies_on):
    place = Place(lies_on, across_mm=0 if lies_on != "bridge" else one.bridge.width_mm * 0.45)
    copies = laid_out(one, shape_of(dot().path, 4), place)
    check_lies(one, copies, place)
    assert in_words(one, place).startswith(lies_on)


@pytest.mark.parametrize(
    ("width", "place", "field", "said"),
    [
        (70, Place("fretboard"), "width_mm", "larger than the fretboard"),
        (400, Place("top"), "width_mm", "larger than the top"),
        (14, Place("rosette"), "width_mm", "rosette"),
        (20, Place("fretboard", across_mm=20), "across_mm", "taper"),
        (20, Place("fretboard", along_mm=-30), "across_mm", "wholly"),
        (30, Place("headplate", along_mm=96), "along_mm", "slots"),
        (20, Place("top", along_mm=150), "along_mm", "hole"),
        (6, Place("bridge"), "along_mm", "saddle"),
        (8, Place("rosette", copies=60), "width_mm", "each other"),
        (9, Place("fretboard", frets=(12, 12, 12, 12, 12, 12, 12, 12)), "width_mm", "wholly"),
    ],
)
def test_what_does_not_lie_on_its_part_is_refused_at_its_field(width, place, field, said):
    copies = laid_out(PARLOUR, shape_of(dot().path, width), place)
    with pytest.raises(InputError, match=said) as refused:
        check_lies(PARLOUR, copies, place)
    assert [fault.pointer for fault in refused.value.faults] == [f"/{field}"]


def test_a_fret_that_the_board_has_not_is_refused():
    with pytest.raises(InputError, match="frets 1 to 18"):
        laid_out(PARLOUR, FLAG, Place("fretboard", frets=(19,)))


def test_slots_that_cut_through_are_named():
    wide = laid_out(PARLOUR, shape_of(dot().path, 30), Place("fretboard", frets=(12,)))
    assert slots_across(PARLOUR, wide) == [11, 12]
    assert slots_across(PARLOUR, laid_out(PARLOUR, FLAG, Place("fretboard", frets=(3,)))) == []


def test_the_ground_of_a_slotted_head_leaves_its_slots_out():
    head = ground_of(CLASSICAL, "headplate")
    assert len(head.interiors) == 2
    solid = ground_of(preset("auditorium-steel-string"), "headplate")
    assert len(solid.interiors) == 6
    assert solid.interiors[0].length == pytest.approx(10 * math.pi, rel=0.01)


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (Place("fretboard", frets=(12,)), "fretboard, before fret 12"),
        (Place("fretboard", frets=(3, 5, 12, 12)), "fretboard, before frets 3, 5 and 12 (two)"),
        (Place("rosette", copies=12), "rosette, 12 round the hole"),
        (Place("bridge"), "bridge, at the middle of the bridge"),
        (
            Place("fretboard", along_mm=88.5, across_mm=-4, turn_deg=90, mirrored=True),
            "fretboard, 88.5 mm from the nut, 4 mm to the bass side, mirrored, turned 90°",
        ),
    ],
)
def test_a_place_is_said_as_a_maker_would(place, said):
    assert in_words(PARLOUR, place) == said


@pytest.mark.parametrize(
    "place",
    [
        Place("fretboard", along_mm=80.0, across_mm=3.0),
        Place("fretboard", frets=(3, 12, 12)),
        Place("headplate"),
        Place("bridge", along_mm=-2.0),
        Place("rosette", copies=7),
        Place("top", across_mm=-20.0),
    ],
)
@pytest.mark.parametrize("fan", [0.0, 24.0])
def test_a_spot_says_where_its_copy_goes_for_each_millimetre(place, fan):
    """What the page moves a copy by is the difference that laying it out anew makes."""
    made = replace(PARLOUR, fan_mm=fan)
    here = spots_of(made, place)
    along = replace(place, along_mm=along_of(made, place) + 1.0)
    across = replace(place, across_mm=place.across_mm + 1.0)
    for told, changed in (("along", along), ("across", across)):
        for before, after in zip(here, spots_of(made, changed), strict=True):
            step = tuple(b - a for a, b in zip(before.at, after.at, strict=True))
            assert step == pytest.approx(getattr(before, told), abs=1e-6)
