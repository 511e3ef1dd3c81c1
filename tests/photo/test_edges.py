"""What of a picture is told by lines is as scikit-image tells it, on pictures drawn and of wood."""

import numpy as np
import pytest
import shapely
from PIL import Image
from scipy.ndimage import gaussian_filter, gaussian_filter1d, label
from skimage import filters, measure, morphology
from skimage.feature import structure_tensor

from brief.photo import open_photo
from brief.photo.lightness import lightness
from brief.photo.outline.edges import fewer_points, level_runs, parting_level
from brief.photo.outline.paper_sheet import _hull
from brief.photo.wood.strip import _drift
from brief.places import demo_folder

WOODS = ["spruce", "walnut", "sycamore", "mother-of-pearl", "cedar-polished", "curlew", "reed-bed"]


def soft(name):
    """Lightness of a picture of the demo, or of hills that are drawn."""
    if name == "hills":
        return gaussian_filter(np.random.default_rng(4).normal(size=(180, 240)), 6) * 100
    photo = open_photo(demo_folder() / "pictures" / f"{name}.jpg", within=300)
    return gaussian_filter(lightness(np.asarray(photo)).astype(float), 1.5)


@pytest.fixture(params=["hills", *WOODS])
def values(request):
    return soft(request.param)


def test_a_picture_is_parted_where_otsu_parts_it(values):
    """Between two heaps all levels are as good; what lies above it is the same."""
    ours, other = parting_level(values), filters.threshold_otsu(values)
    np.testing.assert_array_equal(values > ours, values > other)


def test_two_heaps_are_parted_and_one_value_is_not():
    heaps = np.repeat([1.0, 1.5, 8.0, 9.0], [600, 300, 60, 40])
    assert (heaps > parting_level(heaps)).sum() == 100
    assert parting_level(np.full((4, 5), 3.25)) == 3.25
    assert parting_level(np.array([1e-14, np.nextafter(1e-14, 1)])) == np.nextafter(1e-14, 1)


def test_lines_along_a_level_are_the_same_the_same_way_round(values):
    """Each run of scikit-image's has one of ours with the same points, to 1e-9 of a spot.

    Where four spots are high, low, high, low both ways to join them are right, and the libraries
    differ; there the lines are joined otherwise, of the same points.
    """
    level = float(np.percentile(values, 61))
    ours, others = (
        sorted((np.asarray(run) for run in runs), key=len, reverse=True)
        for runs in (
            level_runs(values, level),
            [run[:, ::-1] for run in measure.find_contours(values, level)],
        )
    )

    def points(runs):
        return np.unique(np.concatenate(runs).round(9), axis=0)

    np.testing.assert_allclose(points(ours), points(others), atol=1e-9)

    def area(run):  # with a sign, by Gauss's formula
        x, y = run.T
        return float(x[:-1] @ y[1:] - x[1:] @ y[:-1]) / 2

    def closed(runs):
        return [area(run) for run in runs if (run[0] == run[-1]).all()]

    assert np.sum(np.abs(closed(ours))) == pytest.approx(np.sum(np.abs(closed(others))), rel=0.05)
    assert np.sum(closed(ours)) == pytest.approx(np.sum(closed(others)), rel=0.05)
    assert len(ours) == pytest.approx(len(others), rel=0.1, abs=2)


@pytest.mark.parametrize("tolerance", [0.3, 0.8, 2.5, 10.0])
def test_an_outline_keeps_the_points_that_scikit_image_keeps(values, tolerance):
    """Begun at the same point, the one farthest from the middle."""
    runs = level_runs(values, float(np.median(values)))
    rings = [run[:-1] for run in runs if len(run) > 20 and (run[0] == run[-1]).all()]
    assert rings
    for ring in rings[:12]:
        kept = fewer_points(ring, tolerance)
        begin = int(np.flatnonzero((ring == kept[0]).all(axis=1))[0])
        far = np.linalg.norm(ring - ring.mean(axis=0), axis=1)
        assert far[begin] == far.max()
        line = np.roll(ring, -begin, axis=0)
        other = measure.approximate_polygon(np.concatenate([line, line[:1]]), tolerance)
        np.testing.assert_array_equal(kept, other[:-1])


def test_an_outline_that_begins_amid_a_side_has_its_corners_alone():
    x, y = [0, 20, 40, 40, 40, 0, 0], [0, 0, 0, 15, 30, 30, 10]
    for begin in range(7):
        ring = np.roll(np.array([x, y], dtype=float).T, begin, axis=0)
        assert {tuple(point) for point in fewer_points(ring, 0.5)} == {
            (0, 0),
            (40, 0),
            (40, 30),
            (0, 30),
        }


def test_the_hull_of_a_patch_holds_the_spots_that_scikit_image_s_holds(values):
    parts, _ = label(values > np.percentile(values, 70))
    largest = parts == 1 + np.bincount(parts.ravel())[1:].argmax()
    hull = _hull(largest)
    y, x = np.indices(largest.shape)
    held = shapely.intersects_xy(shapely.Polygon(hull).buffer(1e-9), x, y)
    np.testing.assert_array_equal(held, morphology.convex_hull_image(largest))
    x, y = hull.T  # clockwise as seen, where y points down
    assert x @ np.roll(y, -1) - y @ np.roll(x, -1) > 0


def test_the_grain_of_a_strip_drifts_as_scikit_image_s_tensor_says(values):
    reach = 40
    found, coherence = _drift(values, reach)
    flat = values - gaussian_filter1d(values.mean(axis=0), 3 * reach)
    tensor = structure_tensor(gaussian_filter(flat, 1.0), sigma=4, mode="nearest", order="rc")
    tt, ts, ss = (gaussian_filter(part[::4, ::4], reach / 16) for part in tensor)
    other = np.clip(-np.tan(0.5 * np.arctan2(2 * ts, ss - tt)), -8, 8)
    np.testing.assert_allclose(found, other, atol=1e-9)
    # Of the mean tensor: how much its eigenvalues differ, of their sum.
    low, high = np.linalg.eigvalsh([[tt.mean(), ts.mean()], [ts.mean(), ss.mean()]])
    assert coherence == pytest.approx((high - low) / (high + low))


def test_an_outline_on_the_rim_of_a_picture_stays_open():
    drawn = np.zeros((20, 30))
    drawn[5:15, :12] = 1.0
    (run,) = level_runs(drawn, 0.5)
    assert not (run[0] == run[-1]).all()
    assert run[:, 0].max() == pytest.approx(11.5)
    assert Image.fromarray(drawn > 0.5).getbbox() == (0, 5, 12, 15)
