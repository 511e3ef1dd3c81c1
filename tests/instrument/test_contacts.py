"""Contacts and areas against counting squares and summing chords; typical sizes, no source."""

import math
from itertools import pairwise

import numpy as np
import pytest

from brief.instrument import preset, presets
from brief.instrument.model.contacts import (
    LetIn,
    Touching,
    areas_mm2,
    blanks_mm,
    board_length_mm,
    body_outline,
    contacts,
    length_of,
)
from brief.instrument.outline.outlines import body_segments

KINDS = [kind for kind, _ in presets()]


def counted(outline, step=0.5):
    """The area by counting squares: how far right each row reaches, twice."""
    xs, ys = np.array(outline).T
    right = xs >= 0
    order = np.argsort(ys[right])
    heights = np.arange(ys.min() + step / 2, ys.max(), step)
    return 2 * step * np.interp(heights, ys[right][order], xs[right][order]).sum()


@pytest.mark.parametrize("kind", KINDS)
def test_the_back_is_the_area_within_the_outline(kind):
    outline = body_outline(preset(kind))
    assert areas_mm2(preset(kind))["back"] == pytest.approx(counted(outline), rel=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_all_that_is_seen_from_the_front_fills_it(kind):
    """Top, edge, bridge, rosette, hole and board, counted on squares of half a millimetre."""
    one, known = preset(kind), areas_mm2(preset(kind))
    xs, ys = np.meshgrid(np.arange(-120, 120, 0.5), np.arange(0, one.body_mm, 0.5))
    end = one.nut_y + board_length_mm(one)
    half = np.vectorize(one.fretboard.width_mm)(ys[:, 0] - one.nut_y)[:, np.newaxis] / 2
    board = (ys <= end) & (np.abs(xs) <= half)
    away = np.hypot(xs, ys - one.hole.centre_mm)
    rings = sum((away >= q) & (away < r) for q, r in one.hole.rosette_mm).astype(bool)
    hole = away < one.hole.diameter_mm / 2
    rosette = (rings & ~board).sum() / 4
    assert known["rosette"] == pytest.approx(rosette, rel=0.03)
    seen = known["top"] + known["purfling"] + known["binding"] / 2 + known["bridge"]
    seen += known.get("saddle", 0) + (board | rings | hole).sum() / 4
    assert seen == pytest.approx(known["back"], rel=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_the_binding_runs_all_round(kind):
    """Chords are a little shorter than the curve that they cut across."""
    corners = [start for start, *_ in body_segments(preset(kind))]
    chords = sum(math.dist(a, b) for a, b in pairwise([*corners, corners[0]]))
    around = length_of(body_outline(preset(kind)))
    assert chords <= around * 1.0001
    assert around < chords * 1.02


@pytest.mark.parametrize("kind", KINDS)
def test_only_parts_that_it_has(kind):
    roles = {part.role for part in preset(kind).parts}
    for one in contacts(preset(kind)):
        assert {one.role, one.ground} <= roles
        assert one.length_mm > 0
    assert set(areas_mm2(preset(kind))) == roles
    assert set(blanks_mm(preset(kind))) == roles
    assert all(area > 0 for area in areas_mm2(preset(kind)).values())


def test_the_rings_of_a_parlour_rosette():
    """Three rings of known radii, both edges of each, less the points that lie under the board."""
    one = preset("parlour-steel-string")
    rosette = next(each for each in contacts(one) if each.role == "rosette")
    end = one.nut_y + board_length_mm(one)
    half = one.fretboard.width_mm(board_length_mm(one)) / 2
    edges = 0.0
    for radius in (51.0, 52.2, 53.6, 59.6, 61.0, 62.2):
        turn = np.linspace(0, 2 * math.pi, 20_001)
        x, y = radius * np.sin(turn), one.hole.centre_mm + radius * np.cos(turn)
        edges += 2 * math.pi * radius * (1 - ((y <= end) & (np.abs(x) <= half)).mean())
    assert rosette.length_mm == pytest.approx(edges, rel=0.005)
    assert rosette.line_mm == pytest.approx(1.2)


def test_a_parlour_top_blank_is_what_a_maker_buys():
    """Half plates of 500 x 180 mm are sold for small guitars: common practice, no source."""
    length, width, _ = blanks_mm(preset("parlour-steel-string"))["top"]
    assert 480 < length < 520
    assert 165 < width < 190


def test_what_is_let_in_takes_its_area_from_its_ground_and_the_place_of_the_usual_inlay():
    one = preset("parlour-steel-string")
    plain, usual = areas_mm2(one), contacts(one)
    bird = LetIn("bird", "fretboard", 135.0, 88.0, 0.8)
    wing = LetIn("wing", "headplate", 300.0, 120.0, 1.5)
    areas, touching = areas_mm2(one, [bird, wing]), contacts(one, [bird, wing])
    assert areas["bird"] == 135.0
    assert areas["fretboard"] + 135.0 == pytest.approx(plain["fretboard"] + plain["inlay"])
    assert areas["headplate"] + 300.0 == pytest.approx(plain["headplate"])
    assert Touching("bird", "fretboard", 88.0, 0.8) in touching
    assert not [each for each in touching if each.role == "inlay"]
    assert len(touching) == len(usual) + 1
    elsewhere = contacts(one, [wing])
    assert [each.length_mm for each in elsewhere if each.role == "inlay"] == [90.0]
