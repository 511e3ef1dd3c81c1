"""Fanned frets; lengths and fret as makers choose them: common practice, no source."""

import math

import pytest

from brief.errors import InputError
from brief.instrument import Fretboard
from brief.instrument.frets.multiscale import Fan

FAN = Fan(bass_mm=660.0, treble_mm=635.0, square_fret=7)


def test_the_square_fret_is_square_and_the_others_lean_away_from_it():
    assert FAN.fret_mm(7) == (0.0, 0.0)
    leans = [bass - treble for bass, treble in map(FAN.fret_mm, range(21))]
    assert all(lean < 0 for lean in leans[:7])
    assert all(lean > 0 for lean in leans[8:])
    assert leans == sorted(leans)


@pytest.mark.parametrize("side", [0, 1])
def test_each_outer_string_is_divided_by_its_own_scale(side):
    """As a board of that scale alone has its frets, from the nut on; the saddle ends it."""
    scale = (FAN.bass_mm, FAN.treble_mm)[side]
    board = Fretboard(scale, 20, 44.5, 55.8)
    nut = FAN.fret_mm(0)[side]
    places = [FAN.fret_mm(fret)[side] - nut for fret in range(21)]
    assert places == pytest.approx([board.fret_mm(fret) for fret in range(21)], abs=1e-9)
    assert FAN.fret_mm(math.inf)[side] - nut == pytest.approx(scale)


def test_one_scale_makes_straight_frets():
    straight = Fan(650.0, 650.0, 0)
    for fret in range(21):
        bass, treble = straight.fret_mm(fret)
        assert bass == treble
        assert straight.edges_mm(fret, (-20.0, 20.0), (-24.0, 24.0)) == (bass, treble)


def test_a_fret_goes_on_straight_to_the_edges():
    bass, treble = FAN.fret_mm(0)
    near, far = FAN.edges_mm(0, (-18.5, 18.5), (-22.25, 22.25))
    assert (near - far) / 44.5 == pytest.approx((bass - treble) / 37.0)
    assert (near + far) / 2 == pytest.approx((bass + treble) / 2)


def test_a_fan_that_cannot_be_is_refused():
    for value in (0.0, -1.0, math.nan):
        with pytest.raises(InputError, match=f"treble_mm must be a length above 0 mm; got {value}"):
            Fan(660.0, value, 7)
    with pytest.raises(InputError, match="the bass has the longer scale; got 600 mm at the bass"):
        Fan(600.0, 635.0, 7)
    for fret in (-1, 37, math.nan):
        with pytest.raises(InputError, match=f"square fret is 0 to 36; got {fret}"):
            Fan(660.0, 635.0, fret)
    with pytest.raises(InputError, match="in one place"):
        FAN.edges_mm(0, (3.0, 3.0), (-20.0, 20.0))
