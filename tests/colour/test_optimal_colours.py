"""Which colours a surface can have, against the published optimal colours and colour-science's."""

import json
from importlib.resources import files

import numpy as np
import pytest

from brief.colour import srgb_to_lab, xyz_to_lab
from brief.colour.reference_library import colour_science
from brief.colour.spaces import SRGB_TO_XYZ
from brief.colour.viewing.light_surfaces import daylight, linear_in, surface_sets
from brief.colour.viewing.light_tables import daylight_bands
from brief.colour.viewing.optimal_colours import is_real_surface
from brief.errors import ColourInputError
from brief.quiet import quiet

rng = np.random.default_rng(1935)


@pytest.fixture(scope="module")
def science():
    return colour_science()


@pytest.fixture(scope="module")
def bands():
    with quiet:
        return daylight_bands()


def labs(xyz, bands):
    return xyz_to_lab(xyz, bands.sum(axis=0))


def blown_up(xyz, times, bands):
    """Away from the middle of the body, or towards it."""
    middle = bands.sum(axis=0) / 2
    return middle + (xyz - middle) * times


def test_the_shipped_bands_are_what_colour_science_gives(bands):
    shipped = json.loads(files("brief.colour.viewing").joinpath("daylight.json").read_text())
    np.testing.assert_allclose(shipped, bands, atol=1e-9)
    # White of D65, 2°: ASTM E308, CIE 15.
    np.testing.assert_allclose(bands.sum(axis=0), [0.95047, 1, 1.08883], atol=1e-4)


def test_the_skin_is_colour_science_s(science, bands):
    """Its outer surface of the same bands: every corner is on ours."""
    with quiet:
        shape = science.SpectralShape(380, 780, 5)
        observer = science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
        daylight = science.SDS_ILLUMINANTS["D65"].copy().align(shape)
        corners = science.volume.XYZ_outer_surface(observer, daylight)
    corners = corners / corners[:, 1].max()
    assert len(corners) > 6000
    assert is_real_surface(labs(corners, bands)).all()
    coloured = np.linalg.norm(np.cross(corners, bands.sum(axis=0)), axis=1) > 0.02
    assert coloured.mean() > 0.8
    assert not is_real_surface(labs(blown_up(corners[coloured], 1.01, bands), bands)).any()


def test_published_limits_lie_on_it(science, bands):
    """MacAdam's limits for D65 as published (colour-science's table), to 1 % of the way out."""
    with quiet:
        told = science.volume.OPTIMAL_COLOUR_STIMULI_ILLUMINANTS["D65"]
        XYZ = science.xyY_to_XYZ(told) / 100
    assert is_real_surface(labs(blown_up(XYZ, 0.98, bands), bands)).all()
    assert not is_real_surface(labs(blown_up(XYZ, 1.01, bands), bands)).any()


def test_what_lies_within_the_published_limits_is_real(science, bands):
    XYZ = rng.uniform(0, 1, (5000, 3)) * [1, 1, 1.1]
    with quiet:
        within = science.volume.is_within_macadam_limits(science.XYZ_to_xyY(XYZ), "D65")
    assert within.sum() > 1000
    assert is_real_surface(labs(blown_up(XYZ[within], 0.99, bands), bands)).all()
    # Their limits are 240 points with flats between, so that they hold a little less.
    assert is_real_surface(labs(XYZ[~within], bands)).mean() < 0.05


def test_whatever_gives_back_between_none_and_all_is_real(bands):
    reflectances = rng.random((500, len(bands)))
    pulses = np.abs(np.arange(81) - rng.uniform(0, 80, (500, 1))) < rng.uniform(1, 40, (500, 1))
    for given_back in (reflectances, pulses, 1 - pulses, np.zeros((1, 81)), np.ones((1, 81))):
        assert is_real_surface(labs(given_back @ bands, bands)).all()


def test_measured_surfaces_are_real():
    """The 24 patches of ISO 17321-1 and the 99 samples of CIE 224:2017."""
    with quiet:
        linear = np.vstack([linear_in(one, daylight()) for one in surface_sets().values()])
    assert is_real_surface(xyz_to_lab(linear @ SRGB_TO_XYZ.T)).all()


def test_all_that_a_screen_shows_could_be_a_surface():
    corners = np.stack(np.meshgrid([0, 1], [0, 1], [0, 1]), axis=-1).reshape(-1, 3)
    assert is_real_surface(srgb_to_lab(corners)).all()


@pytest.mark.parametrize(
    ("lab", "why"),
    [
        ((38.2, 9.1, 75.4), "a digit too much: more yellow than so dark a colour can be"),
        ((95, 60, 0), "too strong for so light a pink"),
        ((93, 3, -14), "a paper with brightener, which glows blue"),
        ((100, 0, 3), "lighter than any yellow"),
    ],
)
def test_what_no_surface_has(lab, why):
    assert not is_real_surface(lab), why


def test_shapes_are_kept_and_bad_ones_refused():
    assert is_real_surface(np.full((2, 4, 3), 50.0)).shape == (2, 4)
    with pytest.raises(ColourInputError, match="labs must have 3 numbers on its last axis"):
        is_real_surface([50, 0])
    with pytest.raises(ColourInputError, match="labs must be finite numbers"):
        is_real_surface([50, 0, np.nan])
