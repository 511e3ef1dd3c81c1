"""A patch of a photograph, measured."""

import warnings

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000
from brief.errors import ImageError
from brief.photo import (
    UNCORRECTED_PHOTO_DELTA_E,
    Correction,
    Region,
    Selection,
    measure_patch,
    open_photo,
    without_glare,
)

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science


def lab_of(srgb) -> np.ndarray:
    return colour_science.XYZ_to_Lab(colour_science.sRGB_to_XYZ(np.asarray(srgb) / 255))


def test_a_flat_patch(quarters):
    sample = measure_patch(quarters, [Selection(Region(0, 0, 50, 50))])
    assert sample.lab == pytest.approx(lab_of([200, 40, 40]), abs=0.02)
    assert sample.spread == pytest.approx(0, abs=1e-6)
    assert sample.darkest == pytest.approx(sample.lightest)
    assert sample.cells == pytest.approx(np.array([[*sample.lab, 1]]))
    assert sample.uncertainty == UNCORRECTED_PHOTO_DELTA_E


def test_stripes_average_as_light_does():
    """Half 60, half 200 (of 255): the mean in linear light is far lighter than that of the codes.

    The transfer curve of IEC 61966-2-1 by colour-science, `eotf_sRGB`.
    """
    stripes = np.full((40, 40), 60, dtype=np.uint8)
    stripes[:, ::2] = 200
    sample = measure_patch(Image.fromarray(stripes))
    luminance = colour_science.models.eotf_sRGB(np.array([60, 200]) / 255).mean()
    assert sample.lab[0] == pytest.approx(colour_science.lightness(luminance * 100), abs=0.01)
    assert sample.lab[1:] == pytest.approx((0, 0), abs=1e-6)
    dark, light = lab_of([60] * 3)[0], lab_of([200] * 3)[0]
    assert (sample.darkest, sample.lightest) == pytest.approx((dark, light), abs=0.01)
    away = delta_e_2000(np.array([[dark, 0, 0], [light, 0, 0]]), np.array(sample.lab))
    assert sample.spread == pytest.approx(np.sqrt(np.mean(away**2)), abs=0.01)
    assert sample.cells[:, 3] == pytest.approx([0.5, 0.5])


# At most 640 pixels wide and high; in one of them a flame is as bright as glare.
@pytest.mark.parametrize(
    ("which", "glare"),
    [("china", 0), ("flower", 0.0005), ("coffee", 0), ("astronaut", 0), ("rocket", 0.02)],
)
def test_a_photograph(which, glare, photographs):
    sample = measure_patch(photographs[which])
    levels = np.asarray(open_photo(photographs[which]))
    unclipped = (levels.max(axis=-1) > 0) & (levels.min(axis=-1) < 255)
    counted = without_glare(levels, unclipped)
    assert 1 - counted.sum() / unclipped.sum() == pytest.approx(glare, rel=0.1)
    assert sample.left_out == pytest.approx(1 - counted.mean())
    pixels = levels[counted] / 255
    xyz = colour_science.sRGB_to_XYZ(pixels)
    assert sample.lab == pytest.approx(colour_science.XYZ_to_Lab(xyz.mean(axis=0)), abs=0.1)
    lightness = colour_science.XYZ_to_Lab(xyz)[:, 0]
    assert (sample.darkest, sample.lightest) == pytest.approx(
        np.percentile(lightness, [5, 95]), abs=0.5
    )
    assert 64 < len(sample.cells) <= 400
    assert sample.cells.shape[1] == 4
    assert sample.cells[:, 3].sum() == pytest.approx(1)
    mean_of_cells = sample.cells[:, 3] @ sample.cells[:, :3]
    assert mean_of_cells == pytest.approx(colour_science.XYZ_to_Lab(xyz).mean(axis=0), abs=1)


def test_every_colour_there_is_still_fits():
    noise = np.random.default_rng(0).integers(0, 256, (300, 300, 3), dtype=np.uint8)
    assert len(measure_patch(Image.fromarray(noise)).cells) <= 400


def test_highlights_do_not_lighten_it():
    wood = Image.new("RGB", (100, 100), (120, 70, 30))
    wood.paste("white", (0, 0, 100, 20))
    sample = measure_patch(wood)
    assert sample.lab == pytest.approx(lab_of([120, 70, 30]), abs=0.02)
    assert sample.left_out == pytest.approx(0.2)


def test_the_light_shining_back_is_left_out():
    """An eighth of the board shines: light of the lamp laid over the wood, not yet at 255."""
    wood = Image.new("RGB", (200, 100), (120, 70, 30))
    wood.paste((232, 220, 214), (0, 0, 50, 50))
    sample = measure_patch(wood)
    assert sample.lab == pytest.approx(lab_of([120, 70, 30]), abs=0.02)
    assert sample.left_out == pytest.approx(1 / 8, abs=0.02)  # and what is about it
    pale = Image.new("RGB", (200, 100), (120, 70, 30))
    pale.paste((214, 170, 110), (0, 0, 50, 50))  # sapwood: what it has more is no white
    assert measure_patch(pale).left_out == 0


def test_several_samples_are_counted_together_and_each_place_once(quarters):
    red, green = Selection(Region(0, 0, 50, 50)), Selection(Region(50, 0, 50, 50))
    both = measure_patch(quarters, [red, green])
    linear = colour_science.models.eotf_sRGB(np.array([[200, 40, 40], [40, 160, 60]]) / 255)
    mean = colour_science.XYZ_to_Lab(
        colour_science.RGB_to_XYZ(linear.mean(axis=0), "sRGB", apply_cctf_decoding=False)
    )
    assert both.lab == pytest.approx(mean, abs=0.05)
    twice = measure_patch(quarters, [red, green, Selection(Region(10, 10, 20, 20))])
    assert twice.lab == pytest.approx(both.lab)
    assert twice.cells == pytest.approx(both.cells)


def test_an_outline_keeps_to_the_wood_and_its_hole_keeps_off_the_knot():
    shot = Image.new("RGB", (200, 100), (90, 95, 100))  # a bench, on it a board, in it a knot
    shot.paste((150, 105, 60), (20, 20, 180, 80))
    shot.paste((50, 25, 10), (90, 40, 110, 60))
    outline = ((12, 25), (88, 25), (88, 75), (12, 75))
    knot = ((44, 38), (56, 38), (56, 62), (44, 62))
    sample = measure_patch(shot, [Selection(outline, (knot,))])
    assert sample.lab == pytest.approx(lab_of([150, 105, 60]), abs=0.02)
    assert sample.spread == pytest.approx(0, abs=1e-6)
    assert measure_patch(shot, [Selection(outline)]).spread > 3


def test_a_correction_is_applied_to_all_there_is(quarters):
    """Twice the light, at half the uncertainty; in linear light, so by the sRGB curve alone."""
    half = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    rows = tuple((*map(float, row), 0.0) for row in half / 2)
    corrected = Correction("card", "3x3", rows, 4.0, 8.0)
    plain, dark = (measure_patch(quarters, correction=one) for one in (None, corrected))
    xyz = colour_science.sRGB_to_XYZ(np.array([[200, 40, 40], [40, 160, 60]]) / 255)
    top = [Selection(Region(0, 0, 100, 50))]
    sample = measure_patch(quarters, top, correction=corrected)
    assert sample.lab == pytest.approx(colour_science.XYZ_to_Lab(xyz.mean(axis=0) / 2), abs=0.05)
    assert (plain.uncertainty, dark.uncertainty) == (16, 8)
    assert dark.lightest < plain.lightest
    assert dark.cells[:, 0].max() < plain.cells[:, 0].max()


def test_the_same_however_it_is_turned_or_given(encoded, quarters):
    sample = measure_patch(encoded(quarters))
    turned = measure_patch(quarters.transpose(Image.Transpose.ROTATE_90))
    assert turned.lab == pytest.approx(sample.lab)
    assert turned.cells == pytest.approx(sample.cells)


def test_nothing_to_measure(encoded):
    with pytest.raises(ImageError, match="nothing to see in the picture"):
        measure_patch(encoded(Image.new("RGBA", (30, 30), (0, 0, 0, 0))))
