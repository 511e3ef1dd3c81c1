"""Palettes: as good as k-means over every pixel, right where worked by hand, always the same."""

import warnings

import numpy as np
import pytest
from PIL import Image
from sklearn.cluster import KMeans
from threadpoolctl import threadpool_limits

from brief.colour import delta_e_2000, srgb_to_lab
from brief.errors import ImageError, InputError, quoted
from brief.photo import Region, extract_palette, open_photo, rendition
from brief.photo.palettes.locate import find_spot

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science


def labs(palette) -> np.ndarray:
    return np.array([colour.lab for colour in palette.colours])


def squared_error(lab: np.ndarray, centres: np.ndarray) -> float:
    return float(((lab[:, None] - centres) ** 2).sum(axis=-1).min(axis=1).sum())


@pytest.mark.slow
@pytest.mark.parametrize(
    ("which", "size"),
    [
        *(("china", None), ("flower", None), ("coffee", None), ("rocket", None)),
        *(("china", 200), ("flower", 200), ("astronaut", 200), ("chelsea", 200)),
    ],
)
def test_as_good_as_k_means_over_every_pixel(which, size, photographs):
    """scikit-learn's `KMeans` over all pixels but the clipped, which a palette leaves out."""
    image = open_photo(photographs[which], within=size)
    pixels = np.asarray(image).reshape(-1, 3)
    clipped = (pixels.max(axis=1) == 0) | (pixels.min(axis=1) == 255)
    lab = srgb_to_lab(pixels[~clipped] / 255)
    full = KMeans(6, n_init=4, random_state=0).fit(lab).cluster_centers_
    ours = labs(extract_palette(image))
    assert len(ours) == 6
    assert squared_error(lab, ours) <= 1.01 * squared_error(lab, full)


def test_four_flat_colours(quarters):
    """Lab from colour-science, `sRGB_to_XYZ` and `XYZ_to_Lab`."""
    palette = extract_palette(quarters, 4)
    expected = {}
    for at in [(10, 10), (70, 10), (10, 50), (70, 50)]:
        srgb = np.array(quarters.getpixel(at)) / 255
        expected[at] = colour_science.XYZ_to_Lab(colour_science.sRGB_to_XYZ(srgb))
    for colour in palette.colours:
        x, y = colour.spot
        corner = (10 if x < 50 else 70, 10 if y < 50 else 50)
        assert colour.lab == pytest.approx(expected.pop(corner), abs=0.02)
        assert colour.srgb == pytest.approx(np.array(quarters.getpixel(corner)) / 255, abs=1e-3)
        assert colour.share == 0.25
        assert colour.spread == 0
        assert x == pytest.approx(25 if x < 50 else 75, abs=3)
        assert y == pytest.approx(25 if y < 50 else 75, abs=3)
    assert expected == {}


def test_largest_share_first_and_the_shares_make_one(photographs):
    shares = [colour.share for colour in extract_palette(photographs["coffee"], 12).colours]
    assert len(shares) == 12
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1, abs=1e-5)


def test_fewer_colours_than_asked_for(quarters):
    assert len(extract_palette(quarters, 12).colours) == 4
    assert len(extract_palette(quarters, 2).colours) == 2


def test_one_colour_gives_one_swatch_with_its_spot_in_the_middle():
    (only,) = extract_palette(Image.new("RGB", (300, 200), (120, 80, 40))).colours
    assert (only.share, only.spread) == (1, 0)
    assert only.spot == pytest.approx((50, 50), abs=1.5)


def test_one_pixel():
    (only,) = extract_palette(Image.new("RGB", (1, 1), (120, 80, 40))).colours
    assert only.spot == (50, 50)


def test_colours_closer_than_two_are_one():
    # CIEDE2000 between the left two is 1.2, from either to the right one far more.
    image = Image.new("RGB", (90, 30), (140, 100, 60))
    image.paste((143, 103, 63), (30, 0, 60, 30))
    image.paste((60, 100, 140), (60, 0, 90, 30))
    lab = srgb_to_lab(np.array([[140, 100, 60], [143, 103, 63]]) / 255)
    assert delta_e_2000(*lab) < 2
    first, second = extract_palette(image, 3).colours
    assert first.share == pytest.approx(2 / 3, abs=1e-5)
    assert first.lab == pytest.approx(lab.mean(axis=0), abs=1e-3)
    assert second.share == pytest.approx(1 / 3, abs=1e-5)


def test_spread_is_that_of_the_pixels(photographs):
    image = open_photo(photographs["flower"])
    pixels = srgb_to_lab(np.asarray(image).reshape(-1, 3) / 255)
    palette = extract_palette(image)
    nearest = ((pixels[:, None] - labs(palette)) ** 2).sum(axis=-1).argmin(axis=1)
    assert palette.colours
    for index, colour in enumerate(palette.colours):
        away = delta_e_2000(pixels[nearest == index], np.array(colour.lab))
        assert colour.spread == pytest.approx(np.sqrt(np.mean(away**2)), abs=0.3)


@pytest.mark.parametrize("region", [None, Region(20, 10, 40, 60)])
@pytest.mark.parametrize("which", ["china", "flower", "coffee", "astronaut", "rocket"])
def test_the_spot_shows_the_colour(which, region, photographs):
    """A patch of 2 percent about the spot looks more like its own colour than like any other."""
    image = open_photo(photographs[which])
    palette = extract_palette(image, region=region)
    pixels = np.asarray(image)
    assert palette.colours
    for index, colour in enumerate(palette.colours):
        x, y = (percent / 100 for percent in colour.spot)
        if region is not None:
            assert region.x <= 100 * x <= region.x + region.w
            assert region.y <= 100 * y <= region.y + region.h
        row, column, reach = int(y * image.height), int(x * image.width), image.width // 100
        patch = pixels[
            max(0, row - reach) : row + reach + 1, max(0, column - reach) : column + reach + 1
        ]
        away = delta_e_2000(srgb_to_lab(patch.reshape(-1, 3).mean(axis=0) / 255), labs(palette))
        assert away.argmin() == index
        assert away[index] <= max(colour.spread, 2)


def test_the_spot_is_in_the_largest_patch_and_not_a_lone_pixel():
    typical = np.zeros((200, 300), dtype=bool)
    typical[20, 30] = typical[22, 35] = True
    typical[120:160, 200:260] = True
    typical[50:60, 20:35] = True
    across, down = find_spot(typical, np.zeros(typical.shape))
    assert (across * 300, down * 200) == pytest.approx((230, 140), abs=12)


def test_the_spot_of_a_ring_is_on_the_ring():
    y, x = np.mgrid[-100:100, -100:100]
    ring = np.abs(np.hypot(x, y) - 70) < 12
    across, down = find_spot(ring, np.zeros(ring.shape))
    assert ring[int(down * 200), int(across * 200)]


def test_a_lone_pixel_is_found_if_there_is_nothing_else():
    typical = np.zeros((200, 300), dtype=bool)
    typical[137, 211] = True
    assert find_spot(typical, np.zeros(typical.shape)) == (211.5 / 300, 137.5 / 200)


def test_region_alone_is_looked_at(quarters):
    (only,) = extract_palette(quarters, region=Region(50, 50, 50, 50)).colours
    assert only.srgb == pytest.approx(np.array([220, 200, 60]) / 255, abs=1e-3)
    assert only.spot == pytest.approx((75, 75), abs=1.5)


@pytest.mark.slow
def test_the_same_every_time_and_on_any_number_of_threads(photographs):
    palettes = set()
    for threads in (1, 2, 4):
        with threadpool_limits(threads):
            palettes.add(repr(extract_palette(photographs["china"], "auto", seed=7)))
            palettes.add(repr(extract_palette(photographs["china"], "auto", seed=7)))
    assert len(palettes) == 1


def test_what_made_it_is_kept(photographs):
    region = Region(10, 10, 50, 50)
    palette = extract_palette(photographs["coffee"], 4, region, 11)
    assert (palette.asked, palette.region, palette.seed) == (4, region, 11)
    assert palette.algorithm == "lab-kmeans-1"
    again = extract_palette(
        photographs["coffee"].read_bytes(), palette.asked, palette.region, palette.seed
    )
    assert again == palette


def test_pixel_order_does_not_matter(quarters):
    mirrored = quarters.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    assert labs(extract_palette(mirrored)) == pytest.approx(labs(extract_palette(quarters)))


@pytest.mark.parametrize("k", [2, 3, 5, 8, 12])
def test_auto_finds_as_many_colours_as_there_are(k):
    """k colours far apart, each under noise of 2 levels, in unequal bands."""
    hues = np.random.default_rng(k).permutation(12)[:k]
    colours = [
        np.array(colour_science.HSV_to_RGB([hue / 12, 0.6, 0.45 + 0.1 * (hue % 5)])) * 255
        for hue in hues
    ]
    bands = np.concatenate([np.tile(c, (20 + 5 * i, 200, 1)) for i, c in enumerate(colours)])
    noisy = bands + np.random.default_rng(1).normal(0, 2, bands.shape)
    image = Image.fromarray(np.clip(np.rint(noisy), 0, 255).astype(np.uint8))
    assert len(extract_palette(image, "auto").colours) == k


@pytest.mark.parametrize("which", ["china", "flower", "coffee", "astronaut", "chelsea", "rocket"])
def test_auto_adds_no_colour_that_brings_little(which, photographs):
    """The last colour brought the average pixel 0.5 CIEDE2000 nearer; the next would not."""

    def mean_away(k: int) -> float:
        palette = extract_palette(image, k)
        assert len(palette.colours) == k
        away = delta_e_2000(pixels[:, None], labs(palette))
        nearest = ((pixels[:, None] - labs(palette)) ** 2).sum(axis=-1).argmin(axis=1)
        return float(np.take_along_axis(away, nearest[:, None], axis=1).mean())

    image = open_photo(photographs[which], within=120)
    pixels = srgb_to_lab(np.asarray(image).reshape(-1, 3) / 255)
    chosen = len(extract_palette(image, "auto").colours)
    assert 2 < chosen < 12
    assert mean_away(chosen - 1) - mean_away(chosen) > 0.5 - 0.1
    assert mean_away(chosen) - mean_away(chosen + 1) < 0.5 + 0.1


def test_blown_out_and_crushed_pixels_do_not_count():
    image = Image.new("RGB", (100, 100), (255, 255, 255))
    image.paste((0, 0, 0), (0, 50, 100, 100))
    image.paste((150, 90, 40), (20, 20, 80, 80))
    palette = extract_palette(image)
    assert len(palette.colours) == 1
    assert palette.colours[0].srgb == pytest.approx(np.array([150, 90, 40]) / 255, abs=1e-3)
    assert palette.left_out == pytest.approx(0.64)


@pytest.mark.parametrize("grey", [0, 255])
def test_only_black_or_only_white_still_gives_a_colour(grey):
    palette = extract_palette(Image.new("L", (40, 40), grey))
    assert [colour.srgb for colour in palette.colours] == [pytest.approx([grey / 255] * 3)]
    assert palette.left_out == 0


def test_a_drawing_in_ink_gives_ink_and_paper():
    page = Image.new("RGB", (100, 100), "white")
    page.paste("black", (10, 10, 30, 90))
    page.paste((90, 90, 90), (30, 10, 31, 90))
    assert {round(colour.lab[0]) for colour in extract_palette(page, 3).colours} == {0, 38, 100}


def test_nothing_to_see(encoded):
    empty = encoded(Image.new("RGBA", (30, 30), (200, 10, 10, 0)))
    with pytest.raises(ImageError, match=r"nothing to see in “veil\.png”: it is transparent"):
        extract_palette(empty, name="veil.png")
    half = Image.new("RGBA", (30, 30), (200, 10, 10, 0))
    half.paste((10, 20, 200, 255), (15, 0, 30, 30))
    assert extract_palette(half).colours[0].lab[2] < -50
    with pytest.raises(ImageError, match="nothing to see"):
        extract_palette(half, region=Region(0, 0, 50, 100))


@pytest.mark.parametrize("colours", [0, 13, -3, "many", "6", 6.0, None, True])
def test_a_number_of_colours_that_makes_no_sense(colours, quarters):
    words = f"number of colours must be between 1 and 12, or auto; got {quoted(colours)}"
    with pytest.raises(InputError, match=words) as caught:
        extract_palette(quarters, colours)
    assert caught.value.faults[0].pointer == "/colours"


@pytest.mark.parametrize("seed", [-1, 2**31, 0.5, None])
def test_a_seed_that_makes_no_sense(seed, quarters):
    with pytest.raises(
        InputError, match="the seed must be between 0 and 2147483647; got"
    ) as caught:
        extract_palette(quarters, seed=seed)
    assert caught.value.faults[0].pointer == "/seed"


def test_of_a_thumbnail_nearly_the_same(photographs):
    whole = labs(extract_palette(photographs["china"]))
    small = labs(extract_palette(rendition(photographs["china"], within=320)))
    assert delta_e_2000(whole, small).max() < 4


def test_a_palette_of_one_colour_is_the_mean_in_cielab(quarters):
    """Arithmetic: four quarters of one size, so the mean of their four colours."""
    (mean,) = extract_palette(quarters, 1).colours
    four = extract_palette(quarters, 4).colours
    assert mean.lab == pytest.approx(np.mean([one.lab for one in four], axis=0), abs=0.5)
    assert mean.share == 1.0
