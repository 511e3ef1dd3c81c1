"""Perspective: by a worked example, by scikit-image, and by cameras made up here."""

import numpy as np
import pytest
from skimage.transform import ProjectiveTransform

from brief.errors import InputError
from brief.instrument.tracing.perspective import (
    PAPERS,
    Places,
    Straightening,
    between,
    by_cameras,
    by_sheet,
    doubt_by_sheet,
    which_paper,
)

SIZE = (4000, 3000)
# An A4 sheet seen by a camera of f = 3000 px with its axis at (2000, 1500), tilted by 26.17 degrees
# from 700 mm; worked out for Zhang and He (Microsoft TR-2003-39), equations 11 to 20.
A4_SEEN = np.array(
    [(1578.864, 811.487), (2551.802, 928.555), (2365.493, 2097.543), (1556.287, 1959.509)]
)


def camera(tilt, lean=0.0, focal=3000.0, far=1200.0):
    """The homography of a pinhole camera, mm on a plane to pixels, with 0, 0 in its middle."""
    (c, s), (d, e) = ((np.cos(angle), np.sin(angle)) for angle in (tilt, lean))
    turned = np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ np.array(
        [[d, 0, e], [0, 1, 0], [-e, 0, d]]
    )
    lens = np.array([[focal, 0, 2000], [0, focal, 1500], [0, 0, 1]])
    return turned, lens @ np.column_stack([turned[:, :2], [0, 0, far]])


def seen(grid, flat):
    points = np.column_stack([np.reshape(flat, (-1, 2)), np.ones(np.size(flat) // 2)]) @ grid.T
    return (points[:, :2] / points[:, 2:]).reshape(np.shape(flat))


MOULD = np.array([[0.0, -235], [0, 235]])
SIDES = np.array(
    [[[-130.0, -150], [130, -150]], [[-105, -40], [105, -40]], [[-175, 130], [175, 130]]]
)
SHEET = np.array([[-100.0, -120], [110, -120], [110, 177], [-100, 177]])
WIDTHS = [260, 210, 350]


def test_four_points_make_the_homography_that_scikit_image_makes():
    flat = np.array([[0, 0], [210, 0], [210, 297], [0, 297]], dtype=float)
    ours = between(A4_SEEN, flat)
    theirs = ProjectiveTransform.from_estimate(A4_SEEN, flat).params
    assert ours == pytest.approx(theirs / theirs[2, 2], rel=1e-6, abs=1e-9)


def test_the_worked_example_is_an_a4_sheet_and_no_letter():
    assert which_paper(A4_SEEN, SIZE) == "A4"
    flat = by_sheet(A4_SEEN, PAPERS["A4"], SIZE).flat(A4_SEEN)
    sides = np.hypot(*(np.roll(flat, -1, axis=0) - flat).T)
    assert sorted(sides) == pytest.approx([210, 210, 297, 297], abs=1e-6)


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("tilt", [0.0, 0.15, -0.3])
def test_either_paper_is_told_and_brings_the_mould_flat(paper, tilt):
    _, grid = camera(tilt, lean=0.1)
    wide, high = PAPERS[paper]
    corners = seen(grid, np.array([[0, 0], [wide, 0], [wide, high], [0, high]]) - [90, 130])
    assert which_paper(corners, SIZE) == paper
    length, widths = Places(seen(grid, MOULD), seen(grid, SIDES)).sizes(
        by_sheet(corners, PAPERS[paper], SIZE)
    )
    assert length == pytest.approx(470, abs=1e-6)
    assert widths == pytest.approx(WIDTHS, abs=1e-6)


def test_a_face_above_the_sheet_is_brought_down_to_it():
    """The parallax of similar triangles: 20 mm nearer of 1200 is seen 1200/1180 as large."""
    turned, grid = camera(0.2)
    lens = np.array([[3000, 0, 2000], [0, 3000, 1500], [0, 0, 1.0]])
    lifted = lens @ np.column_stack([turned[:, :2], np.array([0, 0, 1200.0]) - 20 * turned[:, 2]])
    corners = seen(grid, SHEET)
    places = Places(seen(lifted, MOULD), seen(lifted, SIDES))
    wrong = places.sizes(by_sheet(corners, PAPERS["A4"], SIZE))[1]
    assert wrong[2] - 350 > 4
    right = places.sizes(by_sheet(corners, PAPERS["A4"], SIZE, 20.0))[1]
    assert right == pytest.approx(WIDTHS, abs=0.2)


def test_another_sheet_than_was_said_is_refused():
    _, grid = camera(0.05)
    corners = seen(grid, SHEET)
    with pytest.raises(InputError, match="not those of a sheet of 300 × 300 mm"):
        by_sheet(corners, (300.0, 300.0), SIZE)


def test_widths_by_a_sheet_are_within_their_doubt_nine_times_in_ten():
    """Corners off by chance, a sheet that is not quite at the face, a lens that bends a little."""
    rng = np.random.default_rng(5)
    within = []
    for _ in range(60):
        _, grid = camera(rng.uniform(-0.3, 0.3), rng.uniform(-0.2, 0.2), far=rng.uniform(900, 1800))
        miss = 2.0
        corners = seen(grid, SHEET) + rng.normal(0, miss, (4, 2))
        places = Places(seen(grid, MOULD), seen(grid, SIDES))

        def make(them, higher):
            return by_sheet(them, PAPERS["A4"], SIZE, higher)

        doubt = doubt_by_sheet(places, make, corners, miss, SIZE)
        off = places.sizes(make(corners, 0.0))[1] - WIDTHS
        within += list(np.abs(off) <= doubt)
    assert np.mean(within) >= 0.9


def keystoned(narrower):
    """The grid of a picture whose upper edge is so much narrower, as picture editors draw one."""
    corners = np.array([[-300.0, -300], [300, -300], [300, 300], [-300, 300]])
    drawn = corners.copy()
    drawn[:2, 0] *= 1 - narrower
    return between(corners, drawn * 4 + [2000, 1500])


@pytest.mark.slow
@pytest.mark.parametrize("known", [None, 0, 1, 2])
def test_widths_without_a_sheet_are_within_their_doubt_nine_times_in_ten(known):
    rng = np.random.default_rng(6)
    within = []
    grids = [keystoned(share) for share in (0.05, 0.1, 0.2)] * 3
    grids += [
        camera(rng.uniform(-0.35, 0.35), focal=rng.uniform(2400, 4000), far=1800.0)[1]
        for _ in range(21)
    ]
    for grid in grids:
        places = Places(seen(grid, MOULD), seen(grid, SIDES))
        read = None if known is None else (known, WIDTHS[known] + rng.normal(0, 0.5))
        likely = by_cameras(places, SIZE, 470.0, 0.0, read)
        widths = places.sizes(likely.by, 470.0)[1]
        within += list(np.abs(widths - WIDTHS) <= likely.doubt)
    assert np.mean(within) >= 0.9


def test_a_measured_width_makes_the_doubt_smaller_there():
    grid = keystoned(0.1)
    places = Places(seen(grid, MOULD), seen(grid, SIDES))
    bare = by_cameras(places, SIZE, 470.0, 0.0)
    told = by_cameras(places, SIZE, 470.0, 0.0, (0, 260.0))
    assert bare.doubt.min() > 15
    assert told.doubt[0] < 6
    assert told.doubt.sum() < bare.doubt.sum()


def test_a_width_that_no_camera_would_see_is_refused():
    places = Places(seen(keystoned(0.0), MOULD), seen(keystoned(0.0), SIDES))
    with pytest.raises(InputError, match=r"between .* mm, however the camera was held; got 400 mm"):
        by_cameras(places, SIZE, 470.0, 0.0, (0, 400.0))


def test_there_and_back():
    by = Straightening(camera(0.2, 0.1)[1])
    assert by.seen(by.flat(SIDES)) == pytest.approx(SIDES)


def held(rng, focal):
    """A camera held by hand over a bench, its mould anywhere near the middle of the picture."""
    turned, _ = camera(rng.uniform(-0.42, 0.42), rng.uniform(-0.03, 0.03), focal)
    lens = np.array([[focal, 0, 2000], [0, focal, 1500], [0, 0, 1.0]])
    # So far that the mould fills a half to all of the height.
    far = focal * 470 / rng.uniform(1500, 2800)
    aside = [rng.uniform(-60, 60), rng.uniform(-40, 40), far]
    return lens @ np.column_stack([turned[:, :2], aside])


@pytest.mark.slow
def test_with_the_lens_that_the_camera_wrote_the_doubt_is_far_smaller_and_holds():
    """Cameras up to 24 degrees askew, and a focal length that is told up to 6 % wrong."""
    rng = np.random.default_rng(8)
    within, smaller = [], []
    for _ in range(60):
        focal = rng.uniform(2400, 4400)
        grid = held(rng, focal)
        places = Places(seen(grid, MOULD), seen(grid, SIDES))
        told = focal / 4000 * rng.uniform(0.94, 1.06)
        likely = by_cameras(places, SIZE, 470.0, 3.0, None, told)
        bare = by_cameras(places, SIZE, 470.0, 3.0)
        off = places.sizes(likely.by, 470.0)[1] - WIDTHS
        within += list(np.abs(off) <= likely.doubt)
        smaller += list(likely.doubt / bare.doubt)
    assert np.mean(within) >= 0.9
    assert np.median(smaller) < 0.6
    assert max(smaller) < 1


def test_a_turn_of_a_known_camera_is_exact():
    """The true tilt is among those that are tried: a width that was measured finds it."""
    grid = camera(0.3, focal=3000.0)[1]
    places = Places(seen(grid, MOULD), seen(grid, SIDES))
    likely = by_cameras(places, SIZE, 470.0, 0.0, (0, 260.0), 0.75)
    assert places.sizes(likely.by, 470.0)[1] == pytest.approx(WIDTHS, abs=2.5)
    assert likely.doubt.max() < 9
