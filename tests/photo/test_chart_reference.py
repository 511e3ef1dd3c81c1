"""The published colours of the chart, and their way to D65, against colour-science."""

import warnings

import numpy as np
import pytest

from brief.colour import delta_e_2000, xyz_to_lab
from brief.errors import InputError
from brief.photo.correction.chart_reference import (
    AGES,
    OUTLINE,
    PATCHES,
    PLACES,
    SLOPE,
    patch_names,
    reference_xyz,
)

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science

SETS = {
    "after-2014": "ColorChecker24 - After November 2014",
    "before-2014": "ColorChecker24 - Before November 2014",
}
# The white that the sRGB matrix of IEC 61966-2-1 makes of (1, 1, 1), as everywhere in the program.
D65 = np.array([0.9505, 1.0, 1.089])


@pytest.mark.parametrize("age", AGES)
def test_reference_against_colour_science_adapted_by_its_own_bradford(age):
    published = colour_science.CCS_COLOURCHECKERS[SETS[age]]
    xyz = colour_science.xyY_to_XYZ(np.array(list(published.data.values())))
    d50 = colour_science.xy_to_XYZ(published.illuminant)
    bradford = colour_science.adaptation.matrix_chromatic_adaptation_VonKries(
        d50, D65, transform="Bradford"
    )
    theirs = xyz_to_lab(xyz @ bradford.T)
    # Their white D50 and that of the table have 5 digits, ours 4.
    assert float(delta_e_2000(xyz_to_lab(reference_xyz(age)), theirs).max()) < 0.01


@pytest.mark.parametrize("age", AGES)
def test_names_stand_in_the_order_of_colour_science(age):
    theirs = list(colour_science.CCS_COLOURCHECKERS[SETS[age]].data)
    assert list(patch_names()[:18]) == [name.casefold() for name in theirs[:18]]
    assert len(patch_names()) == len(theirs) == PATCHES


def test_the_two_ages_lie_as_far_apart_as_published():
    """0.85 on average and 1.95 at most: colour-science's data, both under D50."""
    labs = []
    for name in SETS.values():
        published = colour_science.CCS_COLOURCHECKERS[name]
        xyz = colour_science.xyY_to_XYZ(np.array(list(published.data.values())))
        labs.append(colour_science.XYZ_to_Lab(xyz, published.illuminant))
    theirs = colour_science.delta_E(*labs, method="CIE 2000")
    ours = delta_e_2000(*(xyz_to_lab(reference_xyz(age)) for age in AGES))
    assert float(ours.mean()) == pytest.approx(float(theirs.mean()), abs=0.02)
    assert float(ours.max()) == pytest.approx(float(theirs.max()), abs=0.1)


def test_places_run_as_one_reads():
    assert PLACES[0].tolist() == [0, 0]
    assert PLACES[5].tolist() == [5, 0]
    assert PLACES[6].tolist() == [0, 1]
    assert SLOPE.min(axis=0).tolist() == [-0.5, -0.5]
    assert SLOPE.max(axis=0).tolist() == [0.5, 0.5]
    assert OUTLINE[0].tolist() == pytest.approx([-0.44, -0.44])
    assert OUTLINE[2].tolist() == pytest.approx([5.44, 3.44])


def test_an_unknown_age_is_refused():
    with pytest.raises(InputError, match=r"must be one of after-2014, before-2014; got “2013”"):
        reference_xyz("2013")
