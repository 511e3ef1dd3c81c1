"""The kinds of instrument as data: each must be one that could be built."""

import json
from dataclasses import FrozenInstanceError

import pytest

from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.presets import data_of, preset_from

KINDS = [kind for kind, _ in presets()]
GUITARS = ["parlour-steel-string", "auditorium-steel-string", "classical", "tenor-ukulele"]
ROLES = {
    "top", "back", "sides", "neck", "headplate", "fretboard", "bridge", "binding", "purfling",
    "rosette", "inlay", "nut", "saddle", "tuners",
}  # fmt: skip


def test_the_kinds_are_listed_with_their_names_guitars_first():
    assert set(KINDS) == {*GUITARS, "bouzouki"}
    families = [preset(kind).family for kind in KINDS]
    assert families == ["guitar"] * 3 + ["bouzouki", "ukulele"]
    assert dict(presets())["classical"] == "Classical guitar"


def test_an_unknown_kind_is_refused_and_the_known_are_named():
    with pytest.raises(InputError, match=r"“lute” is not a kind.*parlour-steel-string") as caught:
        preset("lute")
    assert caught.value.faults[0].pointer == "/kind"


def test_an_unknown_role_is_refused_and_the_known_are_named():
    with pytest.raises(InputError, match=r"no part called “lid”.*fretboard, bridge") as caught:
        preset("classical").part("lid")
    assert caught.value.faults[0].pointer == "/role"


def test_a_preset_cannot_be_changed_by_its_reader():
    with pytest.raises(FrozenInstanceError):
        preset("classical").frets = 24
    assert isinstance(preset("classical").outline, tuple)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_lists_the_parts_of_a_flat_topped_instrument(kind):
    parts = preset(kind).parts
    assert {part.role for part in parts} >= ROLES
    assert len({part.role for part in parts}) == len(parts)
    unseen = {part.role for part in parts if not part.drawn}
    assert unseen == {"back", "sides", "neck"}
    assert all(part.name and part.note for part in parts)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_could_be_built(kind):
    one = preset(kind)
    joint = one.fretboard.fret_mm(one.frets_to_body)
    assert one.nut_y == pytest.approx(-joint)
    bridge_y = one.scale_mm - joint
    hole_end = one.hole.centre_mm + one.hole.diameter_mm / 2
    assert hole_end < bridge_y - one.bridge.depth_mm < one.body_mm
    assert all(hole_end - one.hole.centre_mm < inner for inner, _ in one.hole.rosette_mm)
    assert one.outline[0][0] == 0
    assert one.outline[-1] == (one.body_mm, 0)
    distances = [distance for distance, _ in one.outline]
    assert distances == sorted(distances)
    assert one.bridge.width_mm < one.width_mm
    assert len(one.gauges_mm) == one.strings == 2 * len(one.head.posts_mm)
    assert one.strings % one.courses == 0
    assert one.nut_spread_mm < one.nut_mm < one.twelfth_mm
    assert one.head.outline[0] == (0, pytest.approx(one.nut_mm / 2, abs=0.1))
    assert one.head.crest[0] == one.head.outline[-1]
    assert one.head.crest[-1][1] == 0


@pytest.mark.parametrize("kind", GUITARS)
def test_a_guitar_has_an_upper_bout_a_waist_and_a_wider_lower_bout(kind):
    halves = [half for _, half in preset(kind).outline]
    turns = [
        (b, "out" if b > a else "in")
        for a, b, c in zip(halves, halves[1:], halves[2:], strict=False)
        if (b - a) * (c - b) < 0
    ]
    assert [way for _, way in turns] == ["out", "in", "out"]
    upper, waist, lower = (half for half, _ in turns)
    assert waist < upper < lower


def test_twelve_frets_to_the_body_put_the_bridge_half_a_scale_below_the_joint():
    # The 12th fret halves the string (twelve-tone equal temperament).
    for kind in ("parlour-steel-string", "classical"):
        assert preset(kind).nut_y == pytest.approx(-preset(kind).scale_mm / 2)


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_comes_back_whole_from_json(kind):
    one = preset(kind)
    assert preset_from(kind, json.loads(json.dumps(data_of(one)))) == one
