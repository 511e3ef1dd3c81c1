"""Accents: what a person would name first in a picture, and a palette by shares alone passes over.

Twelve pictures: six photographs of scikit-learn and scikit-image, in each of which two small things
are painted, of those colours that are furthest from all that is in the photograph.
"""

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, lab_to_srgb, srgb_to_lab
from brief.photo import extract_palette, open_photo

# Colours of things that are small in a landscape: from memory.
THINGS = {
    "kingfisher": (45, -15, -38),
    "poppy": (45, 62, 45),
    "buoy": (62, 50, 65),
    "brass": (68, 8, 48),
    "heather": (45, 30, -25),
}
PHOTOGRAPHS = ("china", "flower", "coffee", "rocket", "astronaut", "chelsea")
# Of the picture, and where: fractions of height and width.
PAINTED = ((0.001, (0.3, 0.35)), (0.005, (0.7, 0.6)))


def strangest(pixels: np.ndarray) -> list[tuple[str, tuple[int, int, int]]]:
    """The things by how far the nearest hundredth of the picture is from them, furthest first."""
    lab = srgb_to_lab(pixels[::7, ::7].reshape(-1, 3) / 255)

    def away(thing):
        return -np.quantile(delta_e_2000(lab, np.array(thing[1], float)), 0.01)

    return sorted(THINGS.items(), key=away)


def painted(pixels: np.ndarray, lab: tuple[int, int, int], share: float, at) -> Image.Image:
    """The picture with a round thing in it, lighter above than below, its edge a pixel soft."""
    height, width, _ = pixels.shape
    radius = np.sqrt(share * height * width / np.pi)
    rows, columns = np.mgrid[:height, :width]
    down, across = (rows - at[0] * height) / radius, (columns - at[1] * width) / radius
    cover = np.clip((1 - np.hypot(down, across)) * radius + 0.5, 0, 1)[..., None]
    shaded = np.broadcast_to(np.array(lab, float), pixels.shape).copy()
    shaded[..., 0] = np.clip(shaded[..., 0] - 6 * down, 0, 100)
    thing = np.clip(lab_to_srgb(shaded), 0, 1) * 255
    return Image.fromarray((pixels * (1 - cover) + thing * cover).round().astype(np.uint8))


@pytest.mark.parametrize("size", range(len(PAINTED)))
@pytest.mark.parametrize("which", PHOTOGRAPHS)
def test_a_small_thing_of_its_own_colour_is_found(which, size, photographs):
    """Within 6 CIEDE2000 of a swatch or accent, with its share to a quarter and its place."""
    pixels = np.asarray(open_photo(photographs[which], within=1000))
    _, lab = strangest(pixels)[size]
    share, at = PAINTED[size]
    palette = extract_palette(painted(pixels, lab, share, at))
    off = [float(delta_e_2000(one.lab, lab)) for one in palette.accents]
    assert off, "no accent at all"
    nearest = palette.accents[int(np.argmin(off))]
    assert min(off) <= 6
    assert min(float(delta_e_2000(one.lab, lab)) for one in palette.colours) > 6
    assert 0.5 * share <= nearest.share <= 1.25 * share
    radius = np.sqrt(share / np.pi) * np.array([pixels.shape[0], pixels.shape[1]]).max()
    spot = np.array(nearest.spot) / 100 * pixels.shape[1::-1]
    assert np.hypot(*(spot - np.array(at[::-1]) * pixels.shape[1::-1])) <= radius + 3


def test_the_palette_itself_is_not_changed(photographs):
    """The thing's pixels stay in the clusters: shares still make one."""
    palette = extract_palette(photographs["rocket"])
    assert sum(one.share for one in palette.colours) == pytest.approx(1, abs=1e-5)
    assert palette.accents


def test_strewn_colour_is_texture_and_no_accent(photographs):
    """As many blue pixels as a kingfisher has, but all over the picture."""
    pixels = np.asarray(open_photo(photographs["chelsea"], within=640)).astype(float)
    lab = THINGS["kingfisher"]
    strewn = pixels.copy()
    blue = np.clip(lab_to_srgb(np.array(lab, float)), 0, 1) * 255
    strewn[np.random.default_rng(3).random(pixels.shape[:2]) < 0.004] = blue

    def is_found(picture):
        accents = extract_palette(picture).accents
        return any(delta_e_2000(one.lab, lab) <= 10 for one in accents)

    assert is_found(painted(pixels, lab, 0.004, (0.5, 0.5)))
    assert not is_found(Image.fromarray(strewn.astype(np.uint8)))


def test_too_small_and_too_large_are_none():
    """Below 0.05 % a speck; above 5 % k-means finds it."""
    sand = np.full((300, 400, 3), (200, 180, 140), float)
    for share in (0.0002, 0.2):
        shown = painted(sand, THINGS["kingfisher"], share, (0.5, 0.5))
        assert extract_palette(shown, 3).accents == ()


def test_a_plain_picture_has_none(quarters):
    assert extract_palette(quarters, 4).accents == ()
