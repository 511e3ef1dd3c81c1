"""Glare is left out, and wood that is merely pale is not."""

import numpy as np
import pytest
from PIL import Image

from brief.errors import ImageError
from brief.photo.wood.glare import without_glare
from tests.photo.rendered_wood import WOOD, Board, Camera

SHAPE = (400, 600)
DOWN, ACROSS = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]]
DARK, PALE = np.array([0.08, 0.04, 0.025]), np.array([0.62, 0.5, 0.33])


def board(wood: np.ndarray) -> np.ndarray:
    """Linear light of a board with grain, shape (h, w, 3)."""
    grain = 1 + 0.12 * np.sin(ACROSS / 3) + 0.05 * np.sin(ACROSS / 17 + DOWN / 90)
    return wood * grain[..., None]


def lamp(light: tuple[float, float, float], x=300, y=200, radius=25) -> np.ndarray:
    """What a lamp adds, in linear light, at a spot."""
    spot = np.exp(-((((ACROSS - x) ** 2 + (DOWN - y) ** 2) / (2 * radius**2)) ** 2))
    return spot[..., None] * np.array(light)


@pytest.mark.parametrize("wood", [DARK, WOOD, PALE], ids=["dark", "brown", "pale"])
@pytest.mark.parametrize(
    "light",
    [(0.5, 0.5, 0.5), (1.5, 1.5, 1.5), (0.6, 0.55, 0.45), (0.5, 0.55, 0.62)],
    ids=["white", "blown out", "lamp", "sky"],
)
def test_a_highlight_is_left_out_and_hardly_anything_else(wood, light):
    added = lamp(light)
    picture = Camera().shoot(board(wood) + added)
    left = without_glare(picture)
    core = added.max(axis=-1) > 0.6 * max(light)
    clean = added.max(axis=-1) < 1e-6
    assert not left[core].any()
    assert left[clean].mean() > 0.99


def test_the_colour_of_what_is_left_is_that_of_the_wood():
    clean = Camera().shoot(board(WOOD))
    shining = Camera().shoot(board(WOOD) + lamp((0.8, 0.8, 0.8), radius=60))
    left = without_glare(shining)
    assert abs(shining.mean(axis=(0, 1)) - clean.mean(axis=(0, 1))).max() > 5
    assert abs(shining[left].mean(axis=0) - clean.mean(axis=(0, 1))).max() < 2


@pytest.mark.parametrize(
    "picture",
    [
        Camera().shoot(board(WOOD)),
        Camera(light=0.3).shoot(board(WOOD)),
        Camera().shoot(np.where((ACROSS < 150)[..., None], board(PALE), board(DARK))),
        Board(contrast=0.5).photograph(),
        Board(contrast=0.1, ripple=0.3).photograph(),
        np.full((*SHAPE, 3), 255, dtype=np.uint8),
    ],
    ids=["plain", "uneven light", "pale sapwood", "strong rings", "flamed", "white paper"],
)
def test_what_does_not_shine_stays(picture):
    assert without_glare(picture).all()


def test_only_the_sample_is_judged_and_returned():
    mask = np.zeros(SHAPE, dtype=np.bool_)
    mask[100:300, 200:400] = True
    picture = Camera().shoot(board(WOOD) + lamp((0.9, 0.9, 0.9)))
    left = without_glare(Image.fromarray(picture), mask)
    assert not (left & ~mask).any()
    assert 0.5 < left.sum() / mask.sum() < 0.98
    elsewhere = np.zeros(SHAPE, dtype=np.bool_)
    elsewhere[:100, :150] = True
    np.testing.assert_array_equal(without_glare(picture, elsewhere), elsewhere)


def test_a_sample_strewn_with_glare_is_refused():
    glints = (DOWN % 5 == 0) & (ACROSS % 5 == 0)
    picture = np.repeat(np.where(glints, 250, 60).astype(np.uint8)[..., None], 3, axis=2)
    with pytest.raises(ImageError, match="strewn with glare and nothing of it is left"):
        without_glare(picture)


def test_a_mask_that_does_not_fit_is_refused():
    with pytest.raises(ImageError, match=r"600 by 400 pixels; got bool of shape \(4, 6\)"):
        without_glare(np.zeros((*SHAPE, 3), dtype=np.uint8), np.ones((4, 6), dtype=np.bool_))
