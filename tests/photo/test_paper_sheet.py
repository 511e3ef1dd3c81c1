"""Sheets of paper found in rendered photographs, whose corners are known."""

import numpy as np
import pytest
from PIL import Image

from brief.errors import InputError
from brief.photo.outline.paper_sheet import find_sheet, sheet_between

GROUND, WOOD, PAPER = (52, 72, 120), (196, 160, 112), (238, 236, 230)
SOFT_PX = 1.6  # from one side of an edge to the other


def covered(quad, size):
    """How much of each pixel a convex figure takes up: by how far within all sides it is."""
    y, x = np.mgrid[0 : size[1], 0 : size[0]] + 0.5
    within = np.full(x.shape, np.inf)
    for (x_1, y_1), (x_2, y_2) in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        long = np.hypot(x_2 - x_1, y_2 - y_1)
        within = np.minimum(within, ((x_2 - x_1) * (y - y_1) - (y_2 - y_1) * (x - x_1)) / long)
    return np.clip(within / SOFT_PX + 0.5, 0, 1)[..., None]


def rendered(*quads, size=(900, 700), seed=1):
    """Sheets on a board on cloth, noisy; light falls off from top to bottom."""
    shot = np.full((size[1], size[0], 3), GROUND, dtype=float)
    board = [(150, 60), (780, 60), (780, 640), (150, 640)]
    for quad, fill in ((board, WOOD), *((quad, PAPER) for quad in quads)):
        share = covered(np.array(quad, dtype=float), size)
        shot = shot * (1 - share) + np.array(fill) * share
    noise = np.random.default_rng(seed).normal(0, 2, shot.shape)
    light = np.linspace(0.9, 1.05, size[1])[:, None, None]
    return Image.fromarray(np.clip(shot * light + noise, 0, 255).astype(np.uint8))


def off(found, quad, size=(900, 700)):
    """How far the corners are from the known ones, pixels, whichever comes first."""
    corners = found.corners / 100 * size
    return min(np.abs(np.roll(corners, turn, axis=0) - quad).max() for turn in range(4))


UPRIGHT = [(300.0, 150.0), (520.0, 150.0), (520.0, 460.0), (300.0, 460.0)]
TILTED = [(310.3, 160.2), (541.7, 190.4), (500.9, 480.6), (260.1, 420.8)]


@pytest.mark.parametrize("quad", [UPRIGHT, TILTED])
def test_its_corners_are_found_to_a_part_of_a_pixel(quad):
    found = find_sheet(rendered(quad))
    assert found is not None
    assert found.fitted
    assert off(found, np.array(quad)) < 0.25
    assert 0 < found.miss_percent < 0.1


@pytest.mark.parametrize("turn", range(0, 90, 15))
def test_it_is_found_however_it_is_turned(turn):
    across = np.exp(1j * np.radians(turn)) * np.array(
        [-95 - 134j, 95 - 134j, 95 + 134j, -95 + 134j]
    )
    quad = np.column_stack([across.real + 450, across.imag + 350])
    found = find_sheet(rendered(quad, seed=turn))
    assert found is not None
    assert off(found, quad) < 0.25


def test_marked_corners_go_to_the_edges_near_them_either_way_round():
    rough = np.add(TILTED, [[3, -4], [-5, 2], [4, 4], [-2, -5]])
    marked = tuple(map(tuple, rough / (900, 700) * 100))
    for corners in (marked, marked[::-1]):
        found = sheet_between(rendered(TILTED), corners)
        assert found.fitted
        assert off(found, np.array(TILTED)) < 0.25


def test_where_there_is_no_edge_marked_corners_count_and_are_doubted_more():
    bare = Image.new("RGB", (900, 700), WOOD)
    found = sheet_between(bare, tuple((x / 9, y / 7) for x, y in UPRIGHT))
    assert not found.fitted
    assert off(found, np.array(UPRIGHT)) < 1e-9
    assert found.miss_percent > 0.2


def test_none_is_found_on_bare_wood():
    assert find_sheet(rendered()) is None


def test_two_sheets_are_asked_about():
    other = np.add(UPRIGHT, [240, 60])
    with pytest.raises(InputError, match=r"two or more sheets.*Mark the four corners"):
        find_sheet(rendered(UPRIGHT, other))


def test_a_sheet_that_runs_out_of_the_picture_is_said():
    with pytest.raises(InputError, match="runs out of the photograph"):
        find_sheet(rendered(np.add(UPRIGHT, [420, 0])).crop((0, 0, 830, 700)))


@pytest.mark.parametrize(
    ("corners", "said"),
    [
        (((20, 20), (60, 70), (60, 20), (20, 70)), "cross over"),
        (((20, 20), (40, 20), (60, 20), (20, 70)), "cross over, or three are in one line"),
        (((20, 20), (22, 20), (22, 22), (20, 22)), "too close together"),
    ],
)
def test_corners_that_go_round_no_sheet_are_refused(corners, said):
    with pytest.raises(InputError, match=said):
        sheet_between(rendered(UPRIGHT), corners)
