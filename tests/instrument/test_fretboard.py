"""Fret places and the taper of the board."""

import math

import pytest

from brief.errors import InputError
from brief.instrument import Fretboard

BOARD = Fretboard(scale_mm=650.0, frets=20, nut_mm=44.5, twelfth_mm=55.8)

# Twelve-tone equal temperament on A = 440 Hz (ISO 16), hertz to two decimals as printed in
# tables of the scale, E4 to E5; from memory.
EQUAL_TEMPERED_HZ = [
    329.63, 349.23, 369.99, 392.00, 415.30, 440.00, 466.16,
    493.88, 523.25, 554.37, 587.33, 622.25, 659.26,
]  # fmt: skip

# x_n = L (1 - 2^(-n/12)) for L = 650 mm, worked by hand to a thousandth of a millimetre.
FRETS_650_MM = [
    36.482, 70.916, 103.417, 134.095, 163.050, 190.381,
    216.177, 240.526, 263.508, 285.200, 305.674, 325.000,
]  # fmt: skip


@pytest.mark.parametrize("fret", range(13))
def test_a_fret_sounds_the_pitch_of_the_tempered_scale(fret):
    # A string's pitch is inverse to its length (Mersenne 1636).
    sounding = BOARD.scale_mm - BOARD.fret_mm(fret)
    pitch = EQUAL_TEMPERED_HZ[0] * BOARD.scale_mm / sounding
    assert pitch == pytest.approx(EQUAL_TEMPERED_HZ[fret], abs=0.02)


def test_fret_places_of_a_650_mm_scale():
    places = [BOARD.fret_mm(fret) for fret in range(1, 13)]
    assert places == pytest.approx(FRETS_650_MM, abs=5e-4)


def test_each_gap_is_the_rest_of_the_string_over_the_fret_constant():
    # 17.817, as workshop books print it (M. Koch, Building Electric Guitars).
    for fret in range(BOARD.frets):
        rest = BOARD.scale_mm - BOARD.fret_mm(fret)
        gap = BOARD.fret_mm(fret + 1) - BOARD.fret_mm(fret)
        assert rest / gap == pytest.approx(17.817, abs=5e-4)


def test_the_board_widens_in_a_straight_line():
    assert BOARD.width_mm(0) == 44.5
    assert BOARD.width_mm(BOARD.fret_mm(12)) == pytest.approx(55.8)
    assert BOARD.width_mm(162.5) == pytest.approx((44.5 + 55.8) / 2)


@pytest.mark.parametrize("field", ["scale_mm", "nut_mm", "twelfth_mm"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_length_must_be_above_nought(field, value):
    sizes = {"scale_mm": 650.0, "nut_mm": 44.5, "twelfth_mm": 55.8, field: value}
    with pytest.raises(InputError, match=f"{field} must be a length above 0 mm; got") as caught:
        Fretboard(frets=20, **sizes)
    assert caught.value.faults[0].pointer == f"/{field}"


@pytest.mark.parametrize("frets", [0, 11, 37])
def test_a_board_has_a_believable_number_of_frets(frets):
    with pytest.raises(InputError, match=f"12 to 36 frets; got {frets}"):
        Fretboard(650.0, frets, 44.5, 55.8)


@pytest.mark.parametrize("fret", [-1, 21])
def test_a_fret_that_the_board_lacks_is_refused(fret):
    with pytest.raises(InputError, match=rf"frets 0 \(the nut\) to 20; got {fret}"):
        BOARD.fret_mm(fret)
