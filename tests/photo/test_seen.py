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
from brief.colour.distance import KERNELS, OPPONENT, line_as_seen
from brief.colour.spaces import SRGB_TO_XYZ
from brief.errors import InputError
from brief.photo.seen import _filtered, _px_per_degree, _waves, as_seen, grain_as_seen, with_line

rng = np.random.default_rng(4)


def noise(width, height):
    return Image.fromarray(rng.integers(0, 256, (height, width, 3), dtype=np.uint8))


def plain(lab, size=(240, 160)):
    return Image.new("RGB", size, tuple(np.rint(lab_to_srgb(lab) * 255).astype(int).tolist()))


def opponent_of(image):
    return srgb_to_linear(np.asarray(image) / 255) @ (OPPONENT @ SRGB_TO_XYZ).T


def filtered(image, mm_per_px, distance_m):
    seen = _filtered(_waves(image), image.size, _px_per_degree(mm_per_px, distance_m))
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


def test_a_few_samples_tell_the_grain_of_all_pixels():
    board = noise(300, 200).resize((600, 400))
    labs = xyz_to_lab(opponent_of(board).reshape(-1, 3) @ np.linalg.inv(OPPONENT).T)
    mean = opponent_of(board).reshape(-1, 3).mean(axis=0) @ np.linalg.inv(OPPONENT).T
    all_of_them = np.sqrt(np.mean(delta_e_2000(labs, xyz_to_lab(mean)) ** 2))
    assert grain_as_seen(board, 0.2, [0])[0] == pytest.approx(all_of_them, rel=0.02)


def test_a_smaller_picture_tells_the_same_grain():
    board = noise(120, 80).resize((600, 400))
    waves, scale = _waves(board), _px_per_degree(0.2, 2.0)
    small, whole = (_filtered(waves, board.size, scale, small=s).std((1, 2)) for s in (True, False))
    np.testing.assert_allclose(small, whole, rtol=0.01)


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


def test_an_even_ground_has_no_grain_from_anywhere():
    assert grain_as_seen(plain((50, 10, 20)), 0.2, [0, 1, 4]).max() < 0.3


def test_fine_grain_fades_before_coarse():
    y = np.arange(300)
    strengths = {}
    for period_mm in (0.8, 8.0):
        light = 110 + 40 * np.sin(2 * np.pi * y * 0.1 / period_mm)
        board = np.broadcast_to(light[:, np.newaxis, np.newaxis], (300, 300, 3))
        near, far = grain_as_seen(Image.fromarray(board.astype(np.uint8)), 0.1, [0, 2.0])
        strengths[period_mm] = far / near
    assert strengths[0.8] < 0.25
    assert strengths[8.0] > 0.7


def test_grain_only_ever_fades():
    board = noise(200, 150).resize((400, 300))
    seen = grain_as_seen(board, 0.2, np.geomspace(0.2, 20, 8))
    assert (np.diff(seen) < 0).all()


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: as_seen(noise(9, 9), 0, 1), "mm_per_px must be above 0; got 0"),
        (lambda: as_seen(noise(9, 9), 1, -2), "distance_m must be above 0; got -2"),
        (lambda: with_line(noise(9, 9), 1, (50, 0, 0), 0), "width_mm must be above 0; got 0"),
        (lambda: grain_as_seen(noise(9, 9), float("nan"), [1]), "mm_per_px must be above 0"),
    ],
)
def test_bad_sizes_are_refused(call, said):
    with pytest.raises(InputError, match=said):
        call()
