"""Reflectance spectra to CIELAB, against colour-science's own integration."""

import numpy as np
import pytest

from brief.colour import delta_e_2000, xyz_to_lab
from brief.colour.notation.spectrum import COARSE_UNCERTAINTY, spectrum_to_lab
from brief.errors import ColourInputError

from .surfaces import integrate, surfaces

TENS = np.arange(400, 701, 10)
GREY = np.full(TENS.size, 0.25)


@pytest.fixture(scope="module")
def measured(reference):
    """Wavelengths in steps of 1 nm, 123 reflectances, and their Lab as summed in steps of 1 nm."""
    nm, reflectances = surfaces(reference, 1)
    return nm, reflectances, xyz_to_lab(*integrate(reference, reflectances, "D65", "2", 1))


def off(measured, chosen):
    nm, reflectances, truth = measured
    found = [spectrum_to_lab(nm[chosen], row[chosen]).lab for row in reflectances]
    return delta_e_2000(found, truth)


def test_steps_of_10_nm_agree_with_colour_science(measured):
    nm = measured[0]
    apart = off(measured, (nm % 10 == 0) & (nm <= 730))
    assert apart.mean() < 0.012
    assert apart.max() < 0.08


@pytest.mark.filterwarnings("ignore:(Aligning|Trimming|.* shape could not be honoured)")
def test_the_24_chart_patches_agree_with_astm_e308_as_colour_science_has_it(reference):
    observer = "CIE 1931 2 Degree Standard Observer"
    found = list(reference.SDS_COLOURCHECKERS["BabelColor Average"].values())
    assert found
    for patch in found:
        xyz = reference.sd_to_XYZ(
            patch,
            reference.MSDS_CMFS[observer],
            reference.SDS_ILLUMINANTS["D65"],
            method="ASTM E308",
        )
        expected = reference.XYZ_to_Lab(xyz / 100, reference.CCS_ILLUMINANTS[observer]["D65"])
        found = spectrum_to_lab(patch.wavelengths, patch.values).lab
        assert delta_e_2000(found, expected) < 0.02


def test_what_was_not_measured_beyond_400_and_700_nm_hardly_counts(measured):
    nm = measured[0]
    apart = off(measured, (nm % 10 == 0) & (nm >= 400) & (nm <= 700))
    assert apart.mean() < 0.016
    assert apart.max() < 0.15


def test_steps_of_20_nm_stay_within_what_they_are_said_to_cost(measured):
    nm = measured[0]
    apart = off(measured, (nm % 20 == 0) & (nm >= 400) & (nm <= 700))
    assert COARSE_UNCERTAINTY - 0.1 < np.percentile(apart, 95) <= COARSE_UNCERTAINTY


@pytest.mark.parametrize("step", [1, 5])
def test_finer_steps_agree_with_colour_science(measured, step):
    assert off(measured, measured[0] % step == 0).max() < 0.08


def test_steps_that_are_uneven_for_being_written_in_whole_nanometres(measured):
    thirds = np.isin(measured[0], np.rint(np.arange(380, 731, 10 / 3)))
    assert off(measured, thirds).max() < 0.08


def test_a_perfect_diffuser_is_white_and_nothing_is_black():
    assert spectrum_to_lab(TENS, np.ones(31)).lab == pytest.approx((100, 0, 0), abs=1e-9)
    assert spectrum_to_lab(TENS, np.zeros(31)).lab == pytest.approx((0, 0, 0), abs=1e-9)
    assert spectrum_to_lab(TENS, np.full(31, 1.2)).lab[0] == 100


def test_wide_steps_are_said_and_usual_ones_are_not():
    assert spectrum_to_lab(TENS, GREY).note == ""
    assert spectrum_to_lab(TENS, GREY).uncertainty == 0
    wide = spectrum_to_lab(TENS[::2], GREY[::2])
    assert wide.note == (
        "The spectrum comes in steps of 20 nm; what lies between was interpolated."
    )
    assert wide.uncertainty == COARSE_UNCERTAINTY


@pytest.mark.parametrize(
    ("nm", "fault"),
    [
        (np.delete(TENS, [5, 12]), "every band from 400 to 700 nm; missing: 450, 520 nm$"),
        (TENS[2:], "missing: 400, 410 nm$"),
        (TENS[:-1], "missing: 700 nm$"),
        (TENS[:10], "missing: 500, 510, 520, 530, 540, 550, 560, 570 nm and 13 more"),
        (np.arange(400, 701, 25), "needs steps of at most 20 nm; got 25 nm"),
        (np.arange(800, 1000, 10), "missing: 400, 410, .* and 32 more"),
        (TENS[::-1], "at least 2 increasing wavelengths; got 31 wavelengths and 31"),
        (TENS[:1], "at least 2 increasing wavelengths; got 1 wavelengths and 1"),
        ([400, np.nan], r"wavelengths must be one row of finite numbers; got shape \(2,\)"),
        (["blue", "red"], "wavelengths must be numbers; got"),
    ],
)
def test_spectra_with_bands_missing_are_refused_and_the_bands_named(nm, fault):
    with pytest.raises(ColourInputError, match=fault):
        spectrum_to_lab(nm, np.full(len(nm), 0.25))


@pytest.mark.parametrize(
    ("value", "fault"),
    [
        (43.2, r"reflectance must lie between 0 and 1.5 .* got 43.2 at 450 nm"),
        (-0.01, r"reflectance must lie between 0 and 1.5 .* got -0.01 at 450 nm"),
        (np.inf, "reflectances must be one row of finite numbers"),
    ],
)
def test_reflectances_no_surface_has_are_refused(value, fault):
    values = GREY.copy()
    values[5] = value
    with pytest.raises(ColourInputError, match=fault):
        spectrum_to_lab(TENS, values)


def test_as_many_reflectances_as_wavelengths():
    with pytest.raises(ColourInputError, match="got 31 wavelengths and 30 reflectances"):
        spectrum_to_lab(TENS, GREY[1:])
