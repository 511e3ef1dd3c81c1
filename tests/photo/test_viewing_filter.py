"""Pictures as the eye has them, against a direct convolution and the closed form of a line."""

import numpy as np
import pytest
from PIL import Image
from scipy.signal import convolve2d

from brief.colour import (
    delta_e_2000,
    lab_to_srgb,
    srgb_to_lab,
    srgb_to_linear,
    xyz_to_lab,
)
from brief.colour.spaces import SRGB_TO_XYZ
from brief.colour.viewing.distance import KERNELS, OPPONENT, line_as_seen
from brief.errors import InputError
from brief.photo.wood.viewing_filter import (
    _filtered,
    _px_per_degree,
    _waves,
    as_seen,
    contrast_left,
    with_line,
)

rng = np.random.default_rng(4)


def noise(width, height):
    return Image.fromarray(rng.integers(0, 256, (height, width, 3), dtype=np.uint8))


def plain(lab, size=(240, 160)):
    return Image.new("RGB", size, tuple(np.rint(lab_to_srgb(lab) * 255).astype(int).tolist()))


def opponent_of(image):
    return srgb_to_linear(np.asarray(image) / 255) @ (OPPONENT @ SRGB_TO_XYZ).T


def filtered(image, mm_per_px, distance_m):
    seen = _filtered(_waves(image), _px_per_degree(mm_per_px, distance_m))
    return np.moveaxis(seen, 0, -1)


def directly(image, px_per_degree, channel, reach):
    """One channel convolved with its kernel in two dimensions, summed on the pixels."""
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    kernel = np.zeros(x.shape)
    for weight, s in KERNELS[channel]:
        one = np.exp(-(x**2 + y**2) / (s * px_per_degree) ** 2)
        kernel += weight * one / one.sum()
    kernel /= sum(weight for weight, _ in KERNELS[channel])
    around = ((reach, reach), (reach, reach))
    wide = np.pad(opponent_of(image)[..., channel], around, mode="symmetric")
    return convolve2d(wide, kernel, mode="valid")


@pytest.mark.parametrize("channel", [1, 2])
def test_red_green_and_blue_yellow_against_a_direct_convolution(channel):
    """60 pixels a degree: one a minute of arc, so that the finest kernels are summed well."""
    image = noise(40, 30)
    distance = 60 / (2000 * np.tan(np.radians(0.5)))
    theirs = directly(image, 60.0, channel, reach=110)
    np.testing.assert_allclose(filtered(image, 1.0, distance)[..., channel], theirs, atol=2e-4)


def test_luminance_against_a_direct_convolution():
    """Its widest kernel, 4.3 degrees, as well: at 30 pixels a degree, 130 pixels to 1 / e."""
    image = noise(8, 6).resize((24, 18))
    distance = 30 / (2000 * np.tan(np.radians(0.5)))
    theirs = directly(image, 30.0, 0, reach=400)
    # A kernel of 0.85 pixels is summed a little otherwise than it is integrated, which shows at
    # steps; so there are none in this picture.
    off = np.abs(filtered(image, 1.0, distance)[..., 0] - theirs)
    assert off.mean() < 0.02 * theirs.std()


def test_contrast_left_is_that_of_the_filtered_pixels():
    """Of a board with streaks in light and colour, pixel by pixel in CIEDE2000."""
    streaks = np.cumsum(rng.normal(0, 0.5, (180, 1, 3)), axis=0) + rng.normal(0, 2, (180, 240, 3))
    levels = np.array([150, 110, 70]) + streaks - streaks.mean(axis=(0, 1))
    board = Image.fromarray(np.rint(levels).astype(np.uint8))
    to_xyz = np.linalg.inv(OPPONENT).T

    def strays(opponent):
        labs = xyz_to_lab(opponent.reshape(-1, 3) @ to_xyz)
        mean = xyz_to_lab(opponent.reshape(-1, 3).mean(axis=0) @ to_xyz)
        return np.sqrt(np.mean(delta_e_2000(labs, mean) ** 2))

    distances = [0.3, 1.0, 3.0, 10.0]
    known = [strays(filtered(board, 0.3, away)) / strays(opponent_of(board)) for away in distances]
    assert known[0] > 2 * known[-1]
    np.testing.assert_allclose(contrast_left(board, 0.3, distances), known, rtol=0.02)


@pytest.mark.parametrize(("width", "distance"), [(0.5, 1.0), (0.5, 2.0), (1.5, 2.0)])
@pytest.mark.parametrize(
    ("line", "ground"), [((84, 4, 20), (36, 9, 9)), ((60, 40, 30), (60, 8, 22))]
)
def test_a_line_in_a_picture_is_the_closed_form(line, ground, width, distance):
    image = with_line(plain(ground, (720, 480)), 1 / 12, line, width)
    seen = np.asarray(as_seen(image, 1 / 12, distance))
    middle = srgb_to_lab(seen[238:242, 300:420].reshape(-1, 3).mean(axis=0) / 255)
    told = line_as_seen(ground, line, width, distance)
    # Levels of 1 in 255, and a picture of 60 x 40 mm where the form has a line without end.
    assert float(delta_e_2000(middle, told)) < 0.8


@pytest.mark.parametrize("width", [0.02, 0.3, 0.9, 4.0])
def test_a_line_carries_its_own_amount_of_light(width):
    ground, line = (30, 5, 5), (80, 0, 10)
    image = with_line(plain(ground, (60, 90)), 0.1, line, width)
    linear = srgb_to_linear(np.asarray(image) / 255)
    dark, light = (srgb_to_linear(lab_to_srgb(lab)) for lab in (ground, line))
    share = width / 0.1 / 90
    np.testing.assert_allclose(
        linear.mean(axis=(0, 1)), dark + share * (light - dark), rtol=0.02, atol=0.002
    )


def test_an_even_ground_has_nothing_to_lose():
    left = contrast_left(plain((50, 10, 20)), 0.2, [1, 4])  # of what rounding makes of it
    assert ((left >= 0) & (left <= 1)).all()
    assert contrast_left(Image.new("RGB", (90, 60)), 0.2, [1, 4]).tolist() == [1, 1]


def test_fine_grain_fades_before_coarse():
    y = np.arange(300)
    strengths = {}
    for period_mm in (0.8, 8.0):
        light = 110 + 40 * np.sin(2 * np.pi * y * 0.1 / period_mm)
        board = np.broadcast_to(light[:, np.newaxis, np.newaxis], (300, 300, 3))
        (strengths[period_mm],) = contrast_left(Image.fromarray(board.astype(np.uint8)), 0.1, [2.0])
    assert strengths[0.8] < 0.25
    assert strengths[8.0] > 0.7


def test_grain_only_ever_fades():
    board = noise(200, 150).resize((400, 300))
    left = contrast_left(board, 0.2, np.geomspace(0.3, 20, 8))
    assert left[0] < 1
    assert (np.diff(left) < 0).all()


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: as_seen(noise(9, 9), 0, 1), "mm_per_px must be above 0; got 0"),
        (lambda: as_seen(noise(9, 9), 1, -2), "distance_m must be above 0; got -2"),
        (lambda: with_line(noise(9, 9), 1, (50, 0, 0), 0), "width_mm must be above 0; got 0"),
        (lambda: contrast_left(noise(9, 9), float("nan"), [1]), "mm_per_px must be above 0"),
    ],
)
def test_bad_sizes_are_refused(call, said):
    with pytest.raises(InputError, match=said):
        call()
