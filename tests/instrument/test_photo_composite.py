"""Photographs composed for a file lie where the page's own patterns lay them."""

import io

import numpy as np
import pytest
from PIL import Image

from brief.instrument.rendering.photo_composite import composed
from brief.instrument.rendering.placement import Laying, lay

PART = (300.0, 400.0)
FINE = 1.0  # pixels to the millimetre


def board(width=200, height=500):
    """One whose red says how far across it is, and whose green how far down: 0 to 200."""
    levels = np.zeros((height, width, 3), np.uint8)
    levels[..., 0] = np.linspace(0, 200, width)
    levels[..., 1] = np.linspace(0, 200, height)[:, None]
    target = io.BytesIO()
    Image.fromarray(levels).save(target, "JPEG", quality=100, subsampling=0)
    return target.getvalue()


def levels(laying, size=(200.0, 500.0), window=(0.0, 0.0, *PART), jpeg=None):
    laid = lay(laying, PART, size, sideways=False, true_size=True)
    made = composed(jpeg or board(), laid, PART[0], window, FINE)
    return np.asarray(Image.open(io.BytesIO(made))).astype(int)


def near(level, wanted):
    return abs(level - wanted) <= 6  # a JPEG's own error


def test_book_matched_halves_mirror_each_other_at_the_chosen_line():
    made = levels(Laying(25, "book-right"))
    middle = made[200]
    # 50 mm in of 200 lies at the joint: a red of 50, from where it rises to both sides.
    assert near(middle[150, 0], 50)
    assert near(middle[149, 0], 50)
    assert near(middle[250, 0], 150)
    assert near(middle[49, 0], 150)
    assert np.abs(made - made[:, ::-1]).max() <= 8


def test_the_left_side_kept_rises_towards_the_joint():
    middle = levels(Laying(75, "book-left"))[200, :, 0]
    assert near(middle[0], 0)
    assert near(middle[149], 150)
    assert near(middle[299], 0)


def test_slipped_leaves_are_alike_and_not_mirrored():
    middle = levels(Laying(25, "slip"))[200, :, 0]
    assert np.abs(middle[:150] - middle[150:]).max() <= 8
    assert middle[149] > middle[0] + 100


def test_beyond_its_edge_a_board_is_mirrored():
    # 200 mm in one piece in the middle of 300: 50 mm at either side come back from the edge.
    middle = levels(Laying(50, "one"))[200, :, 0]
    assert near(middle[50], 0)
    assert near(middle[10], 40)
    assert near(middle[290], 160)


@pytest.mark.parametrize(("turn", "corner"), [(0, (0, 0)), (180, (200, 200))])
def test_a_board_is_turned_clockwise(turn, corner):
    made = levels(Laying(50, "one", turn), size=(300.0, 400.0), jpeg=board(300, 400))
    assert near(made[2, 2, 0], corner[0])
    assert near(made[2, 2, 1], corner[1])


def test_a_quarter_turn_right_brings_the_left_edge_up():
    made = levels(Laying(50, "one", 90), size=(400.0, 300.0), jpeg=board(400, 300))
    # What was left, where red is 0, is now above; what was above, green 0, is at the right.
    assert near(made[2, 150, 0], 0)
    assert near(made[397, 150, 0], 200)
    assert near(made[200, 297, 1], 0)


def test_only_the_window_is_composed():
    whole = levels(Laying(50, "one"))
    window = levels(Laying(50, "one"), window=(100.0, 50.0, 80.0, 60.0))
    assert window.shape == (60, 80, 3)
    assert np.abs(window - whole[50:110, 100:180]).max() <= 8
