"""A patch of a photograph, measured."""

import warnings

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000
from brief.errors import ImageError
from brief.photo import UNCORRECTED_PHOTO_DELTA_E, Region, measure_patch, open_photo

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science


def lab_of(srgb) -> np.ndarray:
    return colour_science.XYZ_to_Lab(colour_science.sRGB_to_XYZ(np.asarray(srgb) / 255))


def test_a_flat_patch(quarters):
    sample = measure_patch(quarters, Region(0, 0, 50, 50))
    assert sample.lab == pytest.approx(lab_of([200, 40, 40]), abs=0.02)
    assert sample.spread == pytest.approx(0, abs=1e-6)
    assert sample.darkest == pytest.approx(sample.lightest)
    assert sample.cells == pytest.approx(np.array([[*sample.lab, 1]]))
    assert sample.uncertainty == UNCORRECTED_PHOTO_DELTA_E == 10


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


@pytest.mark.parametrize("which", ["china", "flower", "coffee", "astronaut", "rocket"])
def test_a_photograph(which, photographs):
    sample = measure_patch(photographs[which])
    pixels = np.asarray(open_photo(photographs[which])).reshape(-1, 3) / 255
    pixels = pixels[(pixels.max(axis=1) > 0) & (pixels.min(axis=1) < 1)]
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


def test_the_same_however_it_is_turned_or_given(encoded, quarters):
    sample = measure_patch(encoded(quarters))
    turned = measure_patch(quarters.transpose(Image.Transpose.ROTATE_90))
    assert turned.lab == pytest.approx(sample.lab)
    assert turned.cells == pytest.approx(sample.cells)


def test_nothing_to_measure(encoded):
    with pytest.raises(ImageError, match="nothing to see in the picture"):
        measure_patch(encoded(Image.new("RGBA", (30, 30), (0, 0, 0, 0))))
