"""Munsell notations, against the renotation data, a published chart and colour-science's search."""

import json
import re
import subprocess
import sys
from importlib.resources import files

import numpy as np
import pytest

from brief.colour import lch_to_lab, xyz_to_lab
from brief.colour.notation.adaptation import reading_to_lab, white_point
from brief.colour.notation.munsell import FAMILIES, Munsell, _value, munsell_of
from brief.colour.notation.munsell_table import munsell_table
from brief.errors import ColourInputError
from tests.colour.munsell_search import kept, searched

OXIDE = 0.975  # the renotation data count magnesium oxide as their white


def under_c(x, y, luminance):
    """CIELAB, D65 / 2°, of a chromaticity under illuminant C, 1 for a perfect diffuser."""
    lab = xyz_to_lab(np.array([x, y, 1 - x - y]) * luminance / y, white_point("c", 2))
    return reading_to_lab(lab, "lab", "c", 2).lab


def hue_value_chroma(notation):
    step, family, value, chroma = re.fullmatch(
        r"([\d.]+)([A-Z]+) ([\d.]+)/([\d.]+)", notation
    ).groups()
    return FAMILIES.index(family) * 10 + float(step), float(value), float(chroma)


def apart(one, two):
    """Differences in hue (of 100 steps), value and chroma."""
    hue, value, chroma = np.subtract(hue_value_chroma(one), hue_value_chroma(two))
    return abs((hue + 50) % 100 - 50), abs(value), abs(chroma)


def test_the_shipped_table_is_what_colour_science_gives():
    shipped = json.loads(files("brief.colour.notation").joinpath("munsell.json").read_text())
    assert shipped == munsell_table()


def test_the_shipped_table_lists_every_colour_of_colour_science_and_no_other(reference):
    """4995 colours, extrapolated ones too, each by its notation."""
    listed = {
        (hue, plane["value"], 2.0 * step): (x, y, plane["Y"])
        for plane in json.loads(files("brief.colour.notation").joinpath("munsell.json").read_text())
        for hue, along in plane["xy"].items()
        for step, (x, y) in enumerate(along, start=1)
    }
    theirs = reference.MUNSELL_COLOURS["Munsell Colours All"]
    assert listed == {place: tuple(xyY) for place, xyY in theirs}
    assert len(listed) == len(theirs) == 4995


def test_every_value_is_that_of_astm_d1535_as_colour_science_has_it(reference):
    """Both ways: its search in a table of luminances, and its formula for the luminance."""
    luminances = np.linspace(0, 99.98, 4999)
    ours = [_value(luminance / 100) for luminance in luminances]
    np.testing.assert_allclose(
        ours, reference.notation.munsell_value_ASTMD1535(luminances), atol=1e-9
    )
    values = np.linspace(0, 10, 3001)
    back = [_value(Y / 100) for Y in reference.colorimetry.luminance_ASTMD1535(values)]
    np.testing.assert_allclose(back, values, atol=1e-6)


# Two entries where colour-science's list of real colours and its list of all colours disagree; the
# latter lie evenly between their neighbours.
MISPRINTED = {("10Y", 4.0, 2.0), ("2.5R", 9.0, 2.0)}


@pytest.mark.slow
def test_every_colour_that_the_renotation_lists_as_real(reference):
    """Newhall, Nickerson and Judd (1943): 2734 colours, to the last digit that is written."""
    colours = reference.MUNSELL_COLOURS["Munsell Colours Real"]
    assert len(colours) == 2734
    wrong = set()
    for (hue, value, chroma), (x, y, Y) in colours:
        if munsell_of(under_c(x, y, Y / 100 * OXIDE)).notation != f"{hue} {value:.1f}/{chroma:.1f}":
            wrong.add((hue, value, chroma))
    assert wrong == MISPRINTED


# McCamy, Marcus and Davidson (1976), A color-rendition chart, J. Appl. Photogr. Eng. 2(3), 95-99:
# the notations that its patches were made to, from memory; their chromaticities by colour-science.
CHART = {
    "dark skin": "3YR 3.7/3.2",
    "light skin": "2.2YR 6.5/4.1",
    "blue sky": "4.3PB 5.0/5.5",
    "foliage": "6.7GY 4.2/4.1",
    "blue flower": "9.7PB 5.5/6.7",
    "bluish green": "2.5BG 7.0/6.0",
    "orange": "5YR 6.0/11.0",
    "moderate red": "2.5R 5.0/10.0",
    "purple": "5P 3.0/7.0",
    "yellow green": "5GY 7.1/9.1",
    "orange yellow": "10YR 7.0/10.5",
    "red": "5R 4.0/12.0",
    "yellow": "5Y 8.0/11.1",
    "magenta": "2.5RP 5.0/12.0",
    "cyan": "5B 5.0/8.0",
}


@pytest.mark.parametrize(("patch", "published"), CHART.items())
def test_a_published_chart(reference, patch, published):
    x, y, Y = reference.CCS_COLOURCHECKERS["ColorChecker 1976"].data[patch]
    hue, value, chroma = apart(munsell_of(under_c(x, y, Y * OXIDE)).notation, published)
    assert hue <= 0.31
    assert value <= 0.11
    assert chroma <= 0.11


def test_colours_between_the_listed_ones_agree_with_the_search_of_colour_science():
    """But for those where its search fails, and those above value 9, where it takes the plane at 10
    for a point and not for what the data list.
    """
    differences = [
        apart(munsell_of(lab).notation, theirs)
        for *lab, theirs in kept()
        if theirs and not theirs.startswith("N") and hue_value_chroma(theirs)[1] <= 9
    ]
    assert len(differences) >= 35
    mean, worst = np.mean(differences, axis=0), np.max(differences, axis=0)
    assert (mean <= [0.15, 0.01, 0.08]).all()
    assert (worst <= [0.7, 0.11, 0.5]).all()


@pytest.mark.long
def test_what_is_kept_is_what_the_search_of_colour_science_finds():
    assert kept() == searched()


@pytest.mark.parametrize("value", [0.5, 1, 2, 3.3, 5, 6.7, 8, 9.5])
def test_greys_have_a_value_alone(reference, value):
    """ASTM D1535: the luminance of each value, by colour-science."""
    luminance = reference.colorimetry.luminance_ASTMD1535(value) / 100
    lab = under_c(*white_point("c", 2)[:2] / white_point("c", 2).sum(), luminance)
    assert munsell_of(lab) == Munsell(f"N {value:.1f}")


def test_white_is_value_10():
    assert munsell_of([100, 0, 0]) == Munsell("N 10.0")


@pytest.mark.parametrize(
    ("lab", "reason"),
    [
        ([0, 0, 0], "Too dark for the Munsell renotation, which begins at 0.2."),
        ([1, 0.5, 0.5], "Too dark for the Munsell renotation, which begins at 0.2."),
        ([50, 120, 120], "Stronger than any colour in the Munsell renotation."),
        ([95, -120, 110], "Stronger than any colour in the Munsell renotation."),
    ],
)
def test_beyond_the_data_there_is_no_notation_but_a_reason(lab, reason):
    assert munsell_of(lab) == Munsell(None, reason)


def test_hues_are_written_from_above_0_to_10():
    """10YR, not 0Y: the hue circle is gone round in small steps at two values between the data."""
    seen = set()
    for lightness in (37, 66):
        for hue_deg in np.arange(0, 360, 1.5):
            notation = munsell_of(lch_to_lab([lightness, 22, hue_deg])).notation
            step, family = re.match(r"([\d.]+)([A-Z]+) ", notation).groups()
            assert 0 < float(step) <= 10
            seen.add(family)
    assert seen == set(FAMILIES)


def test_only_one_colour_on_the_scale_of_lightness():
    with pytest.raises(ColourInputError, match="Lab must be one colour"):
        munsell_of([[50, 0, 0]])
    with pytest.raises(ColourInputError, match="L must lie between 0 and 100; got 101"):
        munsell_of([101, 0, 0])


def test_colour_science_is_not_needed_for_it():
    script = """
import sys
sys.modules["colour"] = None  # as where it is not installed: its import raises
from brief.colour.notation.munsell import munsell_of
print(munsell_of([50, 5, 20]).notation)
"""
    told = subprocess.run(
        [sys.executable, "-W", "error", "-c", script], capture_output=True, text=True, check=True
    )
    assert told.stdout == "0.1Y 4.9/3.1\n"
