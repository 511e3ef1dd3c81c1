"""Light, dark, direction and curl, against gratings and boards of known measure."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2lab
from skimage.feature import structure_tensor

from brief.colour import linear_to_srgb, srgb_to_lab
from brief.errors import ImageError
from brief.photo import open_photo
from brief.photo.lightness import LINEAR, lab_of, levels_of, lightness
from brief.photo.wood.figure import measure_figure
from brief.photo.wood.scale import Scale
from tests.photo.rendered_wood import WOOD, Board, Camera, burl, crotch, grating, stained, streaks

PICTURES = Path(__file__).parents[2] / "demo_assets" / "pictures"
SHAPE = (400, 600)


def apart(one: float, other: float) -> float:
    """Degrees between two directions without a sense."""
    return abs((one - other + 90) % 180 - 90)


@pytest.mark.slow
@pytest.mark.parametrize("period", [8, 12, 20, 45])
@pytest.mark.parametrize("angle", range(0, 180, 20))
def test_a_grating_lies_as_it_was_drawn(period, angle):
    figure = measure_figure(grating(SHAPE, period, angle + 3))
    assert apart(figure.direction_deg, angle + 3) < 1
    assert figure.strength > 0.99
    assert figure.curl_px is None
    assert figure.word == "straight"


def test_direction_and_strength_are_those_of_the_structure_tensor():
    """scikit-image's tensor of the same picture, averaged and taken apart by its eigenvalues."""
    picture = Board(contrast=0.2, angle_deg=57, fibres=0.0, camera=Camera(0.004)).photograph()
    tensor = structure_tensor(rgb2lab(picture)[..., 0], sigma=1.5, order="xy")
    a, b, d = (part[20:-20, 20:-20].mean() for part in tensor)
    values, vectors = np.linalg.eigh([[a, b], [b, d]])
    x, y = vectors[:, 0]  # along which lightness changes least
    figure = measure_figure(picture)
    assert apart(figure.direction_deg, np.degrees(np.arctan2(-y, x))) < 1
    # The project evens noise out before it takes derivatives, so it sees the grain no less clearly.
    assert (values[1] - values[0]) / values.sum() - 0.02 <= figure.strength <= 1


@pytest.mark.slow
def test_levels_and_light_are_each_other_s_inverse():
    np.testing.assert_array_equal(levels_of(LINEAR), np.arange(256))
    np.testing.assert_array_equal(levels_of(np.array([-0.5, 1.5])), [0, 255])


@pytest.mark.slow
@pytest.mark.parametrize("kind", [np.float64, np.float32])
def test_levels_are_those_of_the_curve_itself_but_at_a_tie(kind):
    """IEC 61966-2-1, by `linear_to_srgb`, which `tests/colour` holds to other libraries."""
    light = np.random.default_rng(4).random((40_000, 3)) ** 3
    exact = linear_to_srgb(light) * 255
    assert np.abs(levels_of(light.astype(kind)) - exact).max() < 0.53
    assert (levels_of(light.astype(kind)) == np.rint(exact)).mean() > 0.98


@pytest.mark.slow
def test_lightness_is_that_of_cielab():
    """scikit-image's `rgb2lab`; its matrix has more digits than the standard prints."""
    every = np.random.default_rng(1).integers(0, 256, (64, 64, 3), dtype=np.uint8)
    np.testing.assert_allclose(lightness(every), rgb2lab(every)[..., 0], atol=0.01)
    np.testing.assert_allclose(lab_of(every), rgb2lab(every), atol=0.02)
    np.testing.assert_allclose(lab_of(every), srgb_to_lab(every / 255), atol=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("angle", [0, 25, 90, 117, 165])
def test_the_grain_of_a_board(angle):
    figure = measure_figure(Board(angle_deg=angle).photograph())
    assert apart(figure.direction_deg, angle) < 1
    assert figure.strength > 0.9
    assert figure.word == "straight"
    assert figure.curl_px is None


@pytest.mark.slow
@pytest.mark.parametrize("period_mm", [3, 5, 8, 12])
@pytest.mark.parametrize(("angle", "contrast"), [(90, 0.08), (0, 0.03), (63, 0.08), (90, 0.2)])
def test_the_curl_of_a_board_within_five_percent(period_mm, angle, contrast):
    board = Board(
        contrast=0.12, ripple=contrast, ripple_mm=period_mm, angle_deg=angle, size=(900, 800)
    )
    figure = measure_figure(board.photograph(), scale=Scale(*board.size_mm))
    assert figure.word == "curly"
    assert figure.curl_mm == pytest.approx(period_mm, rel=0.05)
    assert figure.curl_px == pytest.approx(period_mm * board.px_per_mm, rel=0.05)
    assert apart(figure.direction_deg, angle) < 2
    assert 0.8 <= figure.curl_clarity <= 1


@pytest.mark.slow
def test_a_curl_without_a_scale_is_in_pixels_alone():
    figure = measure_figure(Board(ripple=0.08).photograph())
    assert figure.curl_px == pytest.approx(64, rel=0.05)
    assert figure.curl_mm is None


@pytest.mark.slow
def test_the_ripple_is_not_taken_for_the_grain_where_fibres_show():
    """Flame so strong that most of the picture's contrast runs across the grain."""
    board = Board(contrast=0.02, ripple=0.25, fibres=0.04, px_per_mm=10)
    figure = measure_figure(board.photograph())
    assert apart(figure.direction_deg, 90) < 2
    assert figure.word == "curly"


WILD = {
    "burl": lambda: stained(burl(SHAPE, 1, 6)),
    "tight burl": lambda: stained(burl(SHAPE, 2, 12)),
    "crotch": lambda: stained(crotch(SHAPE, 3)),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", WILD)
def test_wild_figure_has_no_one_direction(name):
    figure = measure_figure(WILD[name]())
    assert figure.word == "wild"
    assert figure.direction_deg is figure.curl_px is figure.curl_mm is None
    assert figure.strength < 0.4
    assert figure.curl_clarity == 0


@pytest.mark.slow
@pytest.mark.parametrize(
    "draw",
    [
        lambda: stained(np.zeros(SHAPE), camera=Camera(noise=0.02)),
        lambda: stained(np.zeros(SHAPE), camera=Camera(noise=0.004, light=0.3)),
        lambda: np.full((*SHAPE, 3), 131, dtype=np.uint8),
        lambda: np.full((3, 5, 3), 131, dtype=np.uint8),
    ],
    ids=["noise", "uneven light", "one colour", "tiny"],
)
def test_what_shows_nothing_is_plain(draw):
    figure = measure_figure(draw())
    assert figure.word == "plain"
    assert figure.contrast < 3
    assert figure.direction_deg is None
    assert figure.strength < 0.1


@pytest.mark.slow
def test_random_streaks_hardly_ever_look_like_curl():
    rng = np.random.default_rng(8)
    curly = [
        measure_figure(stained(streaks(SHAPE, seed, 3) + rng.standard_normal(SHAPE) / 4)).curl_px
        for seed in range(12)
    ]
    assert sum(period is not None for period in curly) <= 1


@pytest.mark.slow
@pytest.mark.parametrize("light", [0.0, 0.3])
def test_light_and_dark_are_those_of_the_wood_however_the_light_falls(light):
    stripes = np.where(np.arange(600) // 15 % 2, 1.0, -1.0) * np.ones((400, 1))
    picture = stained(stripes, 0.3, Camera(noise=0.004, blur_px=0.5, light=light))
    figure = measure_figure(picture)
    for found, share in ((figure.light, 1.3), (figure.dark, 0.7)):
        np.testing.assert_allclose(found, srgb_to_lab(linear_to_srgb(WOOD * share)), atol=1.5)
    assert figure.contrast == pytest.approx(figure.light[0] - figure.dark[0])


@pytest.mark.slow
def test_only_what_is_under_the_mask_is_measured():
    upright, lying = Board(angle_deg=90).photograph(), Board(angle_deg=0, seed=4).photograph()
    both = np.concatenate([upright, lying], axis=0)
    mask = np.zeros(both.shape[:2], dtype=np.bool_)
    mask[520:980, 100:800] = True
    assert apart(measure_figure(both, mask).direction_deg, 0) < 1
    assert (
        apart(measure_figure(both, ~mask & (np.arange(1000) < 480)[:, None]).direction_deg, 90) < 1
    )


@pytest.mark.slow
def test_a_picture_and_its_pixels_measure_alike():
    picture = Board().photograph()
    assert measure_figure(Image.fromarray(picture)) == measure_figure(picture)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("mask", "message"),
    [
        (np.ones((3, 4), dtype=np.bool_), r"600 by 400 pixels; got bool of shape \(3, 4\)"),
        (np.ones(SHAPE), "got float64"),
        (np.zeros(SHAPE, dtype=np.bool_), "leaves no pixel"),
    ],
)
def test_a_mask_that_does_not_fit_is_refused(mask, message):
    with pytest.raises(ImageError, match=message):
        measure_figure(np.zeros((*SHAPE, 3), dtype=np.uint8), mask)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "word", "direction"),
    [
        ("cedar", "straight", 90),
        ("spruce", "straight", 90),
        ("sapele", "straight", 90),
        ("bog-oak", "straight", 90),
        ("sycamore", "curly", 90),
        ("verdigris", "curly", 90),
        ("walnut", "wild", None),
        ("mother-of-pearl", "wild", None),
    ],
)
def test_the_demo_woods(name, word, direction):
    figure = measure_figure(open_photo(PICTURES / f"{name}.jpg", within=1500))
    assert figure.word == word
    if direction is None:
        assert figure.direction_deg is None
    else:
        assert apart(figure.direction_deg, direction) < 2


@pytest.mark.slow
@pytest.mark.parametrize(("name", "curl_mm"), [("sycamore", 8.5), ("verdigris", 7.0)])
def test_the_curl_of_the_demo_sycamore_is_the_one_it_was_drawn_with(name, curl_mm):
    photo = open_photo(PICTURES / f"{name}.jpg")
    figure = measure_figure(photo, scale=Scale.from_width(110, photo.size))
    assert figure.curl_mm == pytest.approx(curl_mm, rel=0.05)
