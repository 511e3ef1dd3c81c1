"""The numbers of an instrument, changed. Sizes are typical: common practice, no source."""

import math

import pytest
from shapely.geometry import Polygon

from brief.errors import InputError
from brief.instrument import Fill, draw_front, preset, presets
from brief.instrument.model.contacts import areas_mm2, contacts
from brief.instrument.model.fit_checks import check_fits
from brief.instrument.model.shape import shaped
from brief.instrument.model.sizes import numbers, numbers_of
from brief.instrument.outline.outlines import bridge_outline, head_outline, saddle_y

KINDS = [kind for kind, _ in presets()]
PARLOUR = preset("parlour-steel-string")


@pytest.mark.parametrize("kind", KINDS)
def test_every_preset_fits_together_and_lies_within_its_own_limits(kind):
    one = preset(kind)
    check_fits(one, [])
    found = list(numbers(one))
    assert found
    for number in found:
        assert number.least <= number.value <= number.most
        assert number.label
        assert not number.label.endswith("mm")


@pytest.mark.parametrize("kind", KINDS)
def test_a_number_set_to_what_it_was_changes_nothing(kind):
    known = numbers_of(preset(kind))
    assert numbers_of(shaped(preset(kind), known)) == pytest.approx(known, abs=1e-9)
    assert shaped(preset(kind), {}) == preset(kind)


@pytest.mark.parametrize("kind", KINDS)
def test_every_number_can_be_changed_and_read_back(kind):
    one = preset(kind)
    for number in numbers(one):
        if number.name.startswith("radius"):
            continue  # of a flat board there is nothing to change at one end alone
        shift = -1 if number.unit == "count" else number.value * 0.01
        value = number.value + shift
        assert numbers_of(shaped(one, {number.name: value}))[number.name] == pytest.approx(value)
    assert numbers_of(shaped(one, {"radius_mm": 300.0}))["radius_end_mm"] == 300.0
    rounded = numbers_of(shaped(one, {"radius_mm": 254.0, "radius_end_mm": 406.4}))
    assert (rounded["radius_mm"], rounded["radius_end_mm"]) == (254.0, 406.4)


def test_drawing_contacts_and_areas_follow():
    wider = shaped(PARLOUR, {"lower_mm": 360.0, "bridge_width_mm": 160.0, "nut_mm": 48.0})
    assert areas_mm2(wider)["back"] > areas_mm2(PARLOUR)["back"]
    assert next(c.length_mm for c in contacts(wider) if c.role == "nut") == 48.0
    svg = draw_front(wider, {"top": Fill("#c98f60", None, "cedar")}, title="Front", prefix="f")
    assert 'viewBox="-188 ' in svg  # half of 360 and a margin of 8
    assert head_outline(wider)[0][0] == pytest.approx(24.0, abs=0.1)


def test_the_rosette_follows_the_hole_and_the_hole_follows_the_body():
    smaller = shaped(PARLOUR, {"hole_mm": 85.0})
    assert smaller.hole.rosette_mm[0][0] == pytest.approx(46.0)
    assert numbers_of(smaller)["rosette_mm"] == pytest.approx(11.2)
    longer = shaped(PARLOUR, {"body_mm": 504.0})
    assert longer.hole.centre_mm == pytest.approx(157.5)  # 150 in 480 is 157.5 in 504


def test_sides_of_one_depth_are_as_large_as_length_times_depth():
    level = shaped(PARLOUR, {"side_neck_mm": 100.0, "side_tail_mm": 100.0})
    around = next(c.length_mm for c in contacts(level) if c.role == "sides")
    assert areas_mm2(level)["sides"] == pytest.approx(100.0 * around)


def test_compensation_moves_the_saddle_under_each_string():
    half = PARLOUR.bridge.spread_mm / 2
    from_nut = [saddle_y(PARLOUR, x) - PARLOUR.nut_y for x in (-half, half)]
    assert from_nut == pytest.approx([633.0, 630.0])


REFUSED = [
    ({"nut_mm": 60.0}, "nut_mm", "narrower at the nut than at the 12th fret; got 60 mm"),
    ({"twelfth_mm": 45.0}, "twelfth_mm", "narrower at the nut than at the 12th"),
    ({"frets": 60}, "frets", "Frets must be a whole number between 12 and 30 .* got 60"),
    ({"frets": 18.5}, "frets", "Frets must be a whole number between 12 and 30"),
    ({"scale_mm": 0.0}, "scale_mm", "Scale length must be between 330 and 864 mm .* got 0\\."),
    (
        {"saddle_bass_mm": 12.0, "saddle_treble_mm": 0.0, "bridge_depth_mm": 20.0},
        "bridge_depth_mm",
        "take the saddle through the edge of a bridge 20 mm deep",
    ),
    ({"fan_mm": 101.0}, "fan_mm", "Treble scale shorter by must be between 0 and 100 mm"),
    ({"scale_mm": -650.0}, "scale_mm", "between 330 and 864 mm .* got -650\\."),
    ({"scale_mm": math.nan}, "scale_mm", "between 330 and 864 mm .* got nan"),
    ({"scale_mm": math.inf}, "scale_mm", "between 330 and 864 mm .* got inf"),
    ({"scale_mm": "650"}, "scale_mm", "Scale length must be a number; got “650”"),
    ({"frets": True}, "frets", "Frets must be a whole number; got true"),
    ({"waist_mm": 260.0}, "waist_mm", "the waist must be at least 6 mm narrower"),
    (
        {"nut_spread_mm": 46.0},
        "nut_spread_mm",
        "46.0 mm apart at the nut, where .* is 46.0",
    ),
    ({"nut_mm": 38.0}, "nut_mm", "38.0 mm apart at the nut, where the fretboard is 38.0"),
    ({"saddle_spread_mm": 85.0}, "saddle_spread_mm", "apart at the end of the fretboard"),
    ({"bridge_width_mm": 62.0}, "bridge_width_mm", "less than 5 mm to the ends of a bridge"),
    ({"frets_to_body": 14, "frets": 12}, "frets_to_body", "joins at fret 14, .* only 12 frets"),
    ({"frets": 24}, "frets", r"end \d+ mm past the centre of the soundhole"),
    (
        {"head_width_mm": 52.0, "nut_mm": 50.0},
        "head_width_mm",
        "headstock must be at least 4 mm",
    ),
    ({"hole_mm": 125.0, "rosette_mm": 40.0}, "hole_mm", r"there are only \d+ mm to the edge"),
    ({"hole_at_mm": 198.0, "scale_mm": 530.0}, "scale_mm", "the rosette reaches to 260 mm"),
    (
        {"scale_mm": 864.0, "body_mm": 400.0, "frets": 16},
        "scale_mm",
        "but the body is only 400 mm long",
    ),
    (
        {"scale_mm": 864.0, "bridge_width_mm": 240.0},
        "bridge_width_mm",
        "would reach over the edge of the top",
    ),
    ({"radius_end_mm": 0.0}, "radius_end_mm", "flat all along or rounded all along"),
    ({"radius_mm": 20.0}, "radius_mm", "at least half the board's width there, 23.0 mm; got 20"),
    ({"lid_mm": 3.0}, "lid_mm", "no number called “lid_mm”; it has scale_mm, frets"),
]


@pytest.mark.parametrize(("changes", "field", "said"), REFUSED)
def test_what_cannot_be_built_is_refused_beside_its_field(changes, field, said):
    with pytest.raises(InputError, match=said) as caught:
        shaped(PARLOUR, changes)
    assert caught.value.faults[0].pointer == f"/{field}"


def test_a_teardrop_has_no_waist_to_change():
    with pytest.raises(InputError, match="no number called “waist_mm”"):
        shaped(preset("bouzouki"), {"waist_mm": 200.0})


def test_a_bridge_that_swells_behind_is_deep_enough_for_its_corners():
    """By shapely: no outline that is let pass crosses itself."""
    one = preset("auditorium-steel-string")
    with pytest.raises(InputError, match="belly bridge must be at least"):
        shaped(one, {"bridge_depth_mm": 10, "saddle_bass_mm": 3, "saddle_treble_mm": 3})
    least = shaped(one, {"bridge_depth_mm": 10.5, "saddle_bass_mm": 3, "saddle_treble_mm": 3})
    assert Polygon(bridge_outline(least)).is_valid
