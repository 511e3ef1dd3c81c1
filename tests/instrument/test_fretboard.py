"""Fret places and the taper of the board."""

import math

import pytest

from brief.errors import InputError
from brief.instrument import Fretboard
from brief.instrument.frets.fretboard import RULE_17_817, RULE_18

BOARD = Fretboard(scale_mm=650.0, frets=20, nut_mm=44.5, twelfth_mm=55.8)

# Fundamental frequencies of the keys of a piano in twelve-tone equal temperament on A4 = 440 Hz
# (ISO 16), A2 to A4 and on to A5, hertz, as the table "Piano key frequencies" prints them.
PIANO_KEYS_HZ = [
    110.0000, 116.5409, 123.4708, 130.8128, 138.5913, 146.8324,
    155.5635, 164.8138, 174.6141, 184.9972, 195.9977, 207.6523,
    220.0000, 233.0819, 246.9417, 261.6256, 277.1826, 293.6648,
    311.1270, 329.6276, 349.2282, 369.9944, 391.9954, 415.3047,
    440.0000, 466.1638, 493.8833, 523.2511, 554.3653, 587.3295,
    622.2540, 659.2551, 698.4565, 739.9888, 783.9909, 830.6094, 880.0000,
]  # fmt: skip

# x_n = L (1 - 2^(-n/12)) for L = 650 mm, worked by hand to a thousandth of a millimetre.
FRETS_650_MM = [
    36.482, 70.916, 103.417, 134.095, 163.050, 190.381,
    216.177, 240.526, 263.508, 285.200, 305.674, 325.000,
]  # fmt: skip


@pytest.mark.parametrize("scale", [330.0, 432.0, 628.0, 645.0, 650.0, 864.0])
@pytest.mark.parametrize("open_key", [0, 3, 7, 12])
def test_a_fret_lies_where_the_string_sounds_the_pitch_of_the_table(scale, open_key):
    """A string's pitch is inverse to its length (Mersenne 1636), to a thousandth of 1 mm."""
    board = Fretboard(scale, 24, 44.5, 55.8)
    for fret in range(25):
        sounding = scale * PIANO_KEYS_HZ[open_key] / PIANO_KEYS_HZ[open_key + fret]
        assert board.fret_mm(fret) == pytest.approx(scale - sounding, abs=1e-3)


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


def test_the_older_rules_err_by_what_is_known():
    """On 650 mm at the 12th: 18 falls 2.36 mm short, 17.817 goes 2 thousandths too far (worked
    by hand: 650 (17/18)^12 = 327.36 and 650 (16.817/17.817)^12 = 324.998)."""
    true = BOARD.fret_mm(12)
    assert BOARD.fret_by_rule_mm(12, RULE_18) - true == pytest.approx(-2.36, abs=0.005)
    assert BOARD.fret_by_rule_mm(12, RULE_17_817) - true == pytest.approx(0.002, abs=0.0005)
    for divisor in (1.0, 0.0, math.nan, math.inf):
        with pytest.raises(InputError, match=f"divisor of a fret rule is above 1.*got {divisor}"):
            BOARD.fret_by_rule_mm(12, divisor)


def test_every_width_follows_from_44_5_and_55_8():
    """Common practice, no source; the 12 figures worked by hand: 44.5 + 11.3 x / 325."""
    widths = [row.width_mm for row in BOARD.fret_table()[:12]]
    by_hand = [45.768, 46.966, 48.096, 49.162, 50.169, 51.119,
               52.016, 52.863, 53.662, 54.416, 55.128, 55.800]  # fmt: skip
    assert widths == pytest.approx(by_hand, abs=6e-4)


def test_the_table_counts_on_from_fret_to_fret():
    rows = BOARD.fret_table()
    assert [row.fret for row in rows] == list(range(1, 21))
    assert sum(row.previous_mm for row in rows) == pytest.approx(rows[-1].nut_mm)
    assert all(row.radius_mm == 0 and row.wire_mm == row.width_mm for row in rows)
    assert BOARD.length_mm == pytest.approx(rows[-1].nut_mm + 5.0)


def test_a_compound_radius_is_a_cone():
    board = Fretboard(650.0, 20, 44.5, 55.8, 5.0, 254.0, 406.4)
    assert board.radius_at_mm(0) == 254.0
    assert board.radius_at_mm(board.length_mm) == pytest.approx(406.4)
    assert board.radius_at_mm(board.length_mm / 2) == pytest.approx(330.2)
    row = board.fret_table()[11]
    # The arc over a chord, by Huygens's approximation (8 c - C) / 3 of half chord and chord.
    drop = board.drop_mm(row.nut_mm)
    half_chord = math.hypot(row.width_mm / 2, drop)
    assert row.wire_mm == pytest.approx((8 * half_chord - row.width_mm) / 3, abs=1e-4)
    # The sagitta of a chord, c^2 / 8 r for a flat arc.
    assert drop == pytest.approx(row.width_mm**2 / 8 / row.radius_mm, rel=0.005)
    assert BOARD.drop_mm(100.0) == 0


def test_fret_wire_is_every_slot_and_an_overhang_at_both_ends():
    slots = sum(row.width_mm for row in BOARD.fret_table())
    assert BOARD.wire_mm(overhang_mm=1.5) == pytest.approx(slots + 20 * 3)
    with pytest.raises(InputError, match="0 to 20 mm at each end; got -1"):
        BOARD.wire_mm(overhang_mm=-1)


def test_a_radius_that_no_board_has_is_refused():
    with pytest.raises(InputError, match="flat all along or rounded all along; got 0 mm"):
        Fretboard(650.0, 20, 44.5, 55.8, 5.0, 0.0, 300.0)
    for radius in (-300.0, 20.0, math.nan, math.inf):
        with pytest.raises(InputError, match=r"half the board's width there, 22\.2 mm"):
            Fretboard(650.0, 20, 44.5, 55.8, 5.0, radius, 300.0)
