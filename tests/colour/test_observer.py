"""The observer against published check values, the closed form of its noise, and plain sense.

Formulae: Burgess (1994), J. Opt. Soc. Am. A 11, 1237-1242; Myers and Barrett (1987), ibid. 4,
2447-2457 (from memory). The check values of lines in white noise and in a grain are those formulae
worked out by a second program in the same terms, and simulated with 20,000 trials each.
"""

import numpy as np
import pytest

from brief.colour import xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, lab_to_xyz
from brief.colour.viewing.colour_vision import eyes
from brief.colour.viewing.distance import KERNELS, OPPONENT, arc_minutes, line_response
from brief.colour.viewing.light import light
from brief.colour.viewing.observer import (
    AREA_MM,
    OWN_NOISE,
    LinePiece,
    eye_filter,
    grain_about_line,
    noise,
    npwe,
    usual_grain,
)
from brief.errors import ColourInputError

PX_PER_DEGREE = 60
WOOD, INLAY = np.array([45.0, 14, 24]), np.array([80.0, 3, 15])  # invented
rng = np.random.default_rng(4)


def d_prime(side, spread, line, amplitude, spectrum, *, eye):
    """Of a line, two slices of a square of `side` px, in noise of that spread and spectrum."""
    f = np.fft.fftfreq(side) * PX_PER_DEGREE
    across, down = np.meshgrid(f, f)
    power = spectrum(across, down)
    power = power * spread**2 * power.size / power.sum()
    signal = np.zeros((side, side))
    signal[line] = amplitude
    passed = eye_filter(np.hypot(across, down)) if eye else np.ones_like(across)
    given, strays = npwe(
        np.fft.fft2(signal).reshape(1, -1), power.reshape(1, 1, -1), passed.ravel()
    )
    return float(given / strays)


@pytest.mark.parametrize(("eye", "known"), [(False, np.sqrt(80) / 10), (True, 0.5448)])
def test_a_line_in_white_noise_is_as_detectable_as_published(eye, known):
    """2 x 40 px, amplitude 1, in noise of 10: without an eye filter √(Σ s²) / σ, exactly."""
    line = slice(60, 62), slice(40, 80)
    found = d_prime(128, 10, line, 1, lambda x, y: np.ones_like(x), eye=eye)
    assert found == pytest.approx(known, abs=5e-5)


@pytest.mark.parametrize(
    ("line", "eye", "known"),
    [
        ((slice(16, 48), slice(31, 33)), False, 1.0849),
        ((slice(16, 48), slice(31, 33)), True, 0.7735),
        ((slice(31, 33), slice(16, 48)), False, 1.5166),
        ((slice(31, 33), slice(16, 48)), True, 2.2948),
    ],
    ids=["along", "along, eye", "across", "across, eye"],
)
def test_the_direction_of_the_grain_changes_it_threefold(line, eye, known):
    """2 x 32 px, amplitude 0.05, in a grain of 0.06 whose streaks run down the picture."""

    def grain(across, down):
        return 1 / (1 + (across**2 + 16 * down**2) ** 1.1)

    assert d_prime(64, 0.06, line, 0.05, grain, eye=eye) == pytest.approx(known, abs=5e-5)


def test_the_eye_passes_four_cycles_a_degree_best():
    """Burgess's filter f^1.3 exp(-c f²) with its peak at 4: half of that at 1.5 and 7.2."""
    f = np.linspace(0.01, 12, 12_000)
    passed = eye_filter(f)
    assert f[passed.argmax()] == pytest.approx(4.0, abs=0.01)
    assert passed.max() == pytest.approx(1.0, abs=1e-6)
    half = f[passed >= 0.5]
    assert (half[0], half[-1]) == pytest.approx((1.5, 7.2), abs=0.05)
    assert eye_filter(0.0) == 0


def streaks(period_mm, depth=2.0, rows=240, mm=1 / 6):
    """A piece whose lightness goes up and down in even waves across the line."""
    at = (np.arange(rows) + 0.5) * mm
    lightness = depth * np.sin(2 * np.pi * at / period_mm)
    return LinePiece(np.stack([lightness, 0 * at, 0 * at], axis=1)[np.newaxis], mm)


def grain(piece, width=1.0, away=0.5, **more):
    return float(grain_about_line(piece, WOOD, INLAY, width, away, **more)[0])


def test_template_by_hand():
    """The same as a template laid over the rows one place after the other, in space.

    About a middle grey, where CIEDE2000 is the length of (L, 1.5 a, b) for small steps.
    """
    mm, width, away = 1 / 6, 1.2, 1.0
    rows = np.zeros((1, 720, 3))
    rows[0] = rng.normal(0, [1.0, 0.3, 0.3], (720, 3))
    piece = LinePiece(rows, mm)
    wood, line = np.array([50.0, 0, 0]), np.array([60.0, 2, -3])
    opponent = lab_to_xyz(wood + rows[0]) @ OPPONENT.T
    mean = np.average(opponent, axis=0, weights=piece.weights)
    gap = lab_to_xyz(line) @ OPPONENT.T - mean

    def differences(values):
        slopes = [
            xyz_to_lab((mean + 1e-5 * axis) @ np.linalg.inv(OPPONENT).T)
            - xyz_to_lab(mean @ np.linalg.inv(OPPONENT).T)
            for axis in np.eye(3)
        ]
        return values @ np.array(slopes) / 1e-5 * [1, 1.5, 1]

    padded, px_per_degree = 4096, 60 / float(arc_minutes(mm, away))
    f = np.abs(np.fft.fftfreq(padded)) * px_per_degree
    box = np.sinc(f * float(arc_minutes(width, away)) / 60) * width / mm
    near = np.zeros((padded, 3))
    near[:720] = (opponent - mean) * np.sqrt(piece.weights)[:, np.newaxis]
    line_seen, wood_seen = np.zeros((2, padded, 3))
    for channel, kernels in enumerate(KERNELS):
        kept = sum(w * np.exp(-((np.pi * f * s) ** 2)) for w, s in kernels)
        kept = kept / sum(w for w, _ in kernels)
        line_seen[:, channel] = np.fft.ifft(kept * box).real * gap[channel]
        wood_seen[:, channel] = np.fft.ifft(np.fft.fft(near[:, channel]) * kept).real
    line_seen, wood_seen = differences(line_seen), differences(wood_seen)
    through_eye = np.fft.fft(line_seen, axis=0) * eye_filter(f)[:, np.newaxis] ** 2
    template = np.fft.ifft(through_eye, axis=0).real
    answers = [np.sum(np.roll(template, shift, axis=0) * wood_seen) for shift in range(padded)]
    strays = np.sqrt(np.sum(np.square(answers)) / 720)
    height = np.linalg.norm(differences(line_response(width, away) * gap))
    found = grain_about_line(piece, wood, line, width, away)[0]
    assert found == pytest.approx(height * strays / np.sum(template * line_seen), rel=0.01)


def test_streaks_as_wide_as_the_line_trouble_it_most():
    """Waves of 2.3 mm are 4 cycles a degree from 0.5 m; slow drift and fine pores count less."""
    troubled = {period: grain(streaks(period)) for period in (0.4, 2.3, 30.0)}
    assert troubled[2.3] > 4 * troubled[0.4]
    assert troubled[2.3] > 10 * troubled[30.0]


def test_an_even_wood_troubles_nothing():
    assert grain(LinePiece(np.zeros((4, 240, 3)), 1 / 6)) == pytest.approx(0, abs=1e-9)
    assert grain(LinePiece(np.full((4, 240, 3), 5.0), 1 / 6)) == pytest.approx(0, abs=1e-9)


def test_grain_is_in_step_with_its_contrast():
    assert grain(streaks(2.3, 0.4)) == pytest.approx(0.2 * grain(streaks(2.3, 2.0)), rel=0.02)


def test_what_is_far_from_the_line_counts_less():
    rows = np.zeros((1, 240, 3))
    rows[0, 114:126, 0] = 6
    near = grain(LinePiece(rows, 1 / 6))
    far = grain(LinePiece(np.roll(rows, 110, axis=1), 1 / 6))
    assert far < 0.6 * near
    assert grain(LinePiece(np.roll(rows, 110, axis=1), 1 / 6, at=230 / 240)) == pytest.approx(
        near, rel=0.3
    )


def test_the_wood_beside_the_line_is_that_nearest_to_it():
    rows = np.zeros((2, 240, 3))
    rows[:, :120, 0], rows[:, 120:, 0] = -4, 4
    assert LinePiece(rows, 1 / 6).beside[0] == pytest.approx(0, abs=1e-9)
    assert LinePiece(rows, 1 / 6, at=0.9).beside[0] > 2


def test_many_at_once_are_one_by_one():
    piece = LinePiece(rng.normal(0, 2, (4, 240, 3)), 1 / 6)
    widths, distances = np.array([0.4, 1.0, AREA_MM]), np.array([0.3, 2.0, 5.0])
    there = {"matrix": light("LED-B3").matrix, "seen_by": eyes("deutan")}
    whole = grain_about_line(piece, WOOD, INLAY, widths, distances, **there)
    for one, width, away in zip(whole, widths, distances, strict=True):
        assert grain(piece, width, away, **there) == pytest.approx(one)


def test_what_eyes_cannot_tell_does_not_trouble_them():
    """Streaks of red and green at one lightness, as green-blind eyes have them: hardly any."""
    waves = streaks(2.3, 6.0).rows[..., 0]
    matrix = np.array(eyes("deutan").matrix)
    # The direction in Lab about the wood that these eyes lose: to their least singular value.
    lost = np.linalg.svd(matrix)[2][-1]
    step = xyz_to_lab(lab_to_xyz(WOOD) + 1e-3 * SRGB_TO_XYZ @ lost) - WOOD
    piece = LinePiece(waves[..., np.newaxis] * step / np.linalg.norm(step) / 2, 1 / 6)
    assert grain(piece, seen_by=eyes("deutan")) < grain(piece) / 3


def test_the_eyes_own_noise_falls_with_the_width_of_the_line():
    assert noise(0.0, 1.0, 3.4377) == pytest.approx(OWN_NOISE, rel=1e-3)  # a minute of arc
    assert noise(0.0, 4.0, 3.4377) == pytest.approx(OWN_NOISE / 2, rel=1e-3)
    assert noise(0.0, 100.0, 1.0) == noise(0.0, 10.0, 1.0)  # no wider one was looked at
    assert noise(3.0, 1.0, 3.4377) == pytest.approx(np.hypot(3.0, OWN_NOISE), rel=1e-3)


def test_without_a_piece_the_grain_is_taken_from_the_spread():
    known, unknown = usual_grain([10.0, np.nan])
    assert known == pytest.approx(6.0)
    assert unknown == pytest.approx(1.6)


@pytest.mark.parametrize(
    ("rows", "mm", "said"),
    [
        (np.zeros((4, 3)), 0.1, r"shape \(s, r, 3\); got \(4, 3\)"),
        (np.full((1, 4, 3), np.nan), 0.1, "rows of a piece must be finite"),
        (np.zeros((1, 4, 3)), 0.0, "mm_per_row must be above 0; got 0.0"),
    ],
)
def test_bad_pieces_are_refused(rows, mm, said):
    with pytest.raises(ColourInputError, match=said):
        LinePiece(rows, mm)
