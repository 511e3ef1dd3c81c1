"""A photograph brought to a colour that was measured otherwise."""

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, lab_to_srgb, srgb_to_lab, srgb_to_linear, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.photo.lightness import LINEAR
from brief.photo.wood.recolour import recolour, transform


def mean_lab(image):
    linear = srgb_to_linear(np.asarray(image).reshape(-1, 3) / 255).mean(axis=0)
    return xyz_to_lab(linear @ SRGB_TO_XYZ.T)


@pytest.fixture
def board():
    rng = np.random.default_rng(1)
    levels = np.clip(rng.normal([150, 105, 70], [14, 12, 10], (300, 200, 3)), 0, 255)
    return Image.fromarray(levels.astype(np.uint8))


@pytest.mark.parametrize("mean", [(45, 14, 24), (62, 10, 22), (38, 9, 15)])
def test_its_mean_becomes_that_colour(board, mean):
    assert float(delta_e_2000(mean_lab(recolour(board, mean)), mean)) < 0.3


def test_its_figure_keeps_its_contrast(board):
    before = srgb_to_lab(np.asarray(board) / 255).reshape(-1, 3)
    after = srgb_to_lab(np.asarray(recolour(board, (55, 12, 22))) / 255).reshape(-1, 3)
    np.testing.assert_allclose(after.std(axis=0), before.std(axis=0), rtol=0.05)


@pytest.mark.parametrize("base", [(150, 105, 70), (40, 33, 28), (225, 215, 190)])
@pytest.mark.parametrize("shift", [(-12, 3, 6), (8, -2, 3)])
def test_every_pixel_is_shifted_in_cielab(base, shift):
    """Against the same shift worked out for each pixel by itself."""
    rng = np.random.default_rng(3)
    shot = Image.fromarray(np.clip(rng.normal(base, 12, (90, 120, 3)), 0, 255).astype(np.uint8))
    lab = srgb_to_lab(np.asarray(shot) / 255) + shift
    lab[..., 0] = np.clip(lab[..., 0], 0, 100)
    wanted = lab_to_srgb(lab) * 255
    off = np.abs(np.asarray(recolour(shot, mean_lab(shot) + shift)) - wanted)
    assert off.mean() < 0.6  # of which rounding to whole levels is 0.25
    assert off.max() <= 6


def test_its_own_mean_changes_nothing(board):
    same = np.asarray(recolour(board, mean_lab(board))).astype(int)
    assert np.abs(same - np.asarray(board)).max() <= 1


def test_a_matrix_works_on_linear_light(board):
    matrix = np.array([[0.9, 0.1, 0], [0.05, 0.9, 0.05], [0, 0.2, 0.8]])
    expected = srgb_to_linear(np.asarray(board) / 255) @ matrix.T
    got = LINEAR[np.asarray(transform(board, matrix))]
    np.testing.assert_allclose(got, expected, atol=0.005)
