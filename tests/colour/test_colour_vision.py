"""Eyes against Machado, Oliveira and Fernandes (2009): published matrices, and colour-science."""

import json
from importlib.resources import files

import numpy as np
import pytest

from brief.colour import delta_e_2000, lab_to_xyz, xyz_to_lab
from brief.colour.reference_library import colour_science
from brief.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB
from brief.colour.viewing.colour_vision import NORMAL, eyes, through
from brief.colour.viewing.light_tables import eyes_table
from brief.errors import ColourInputError
from brief.quiet import quiet

NAMED = {"protan": "Protanomaly", "deutan": "Deuteranomaly", "tritan": "Tritanomaly"}


def theirs(kind, severity):
    with quiet:  # of what it says of tritan eyes, which our docstring says, too
        return colour_science().matrix_cvd_Machado2009(NAMED[kind], severity)


# As their table has them, as many programs quote it; the paper itself could not be read here. At
# 0.5, from memory.
PUBLISHED = {
    ("protan", 1): "0.152286 1.052583 -0.204868 0.114503 0.786281 0.099216 "
    "-0.003882 -0.048116 1.051998",
    ("deutan", 1): "0.367322 0.860646 -0.227968 0.280085 0.672501 0.047413 "
    "-0.011820 0.042940 0.968881",
    ("tritan", 1): "1.255528 -0.076749 -0.178779 -0.078411 0.930809 0.147602 "
    "0.004733 0.691367 0.303900",
    ("protan", 0.5): "0.458064 0.679578 -0.137642 0.092785 0.846313 0.060902 "
    "-0.007494 -0.016807 1.024301",
    ("deutan", 0.5): "0.547494 0.607765 -0.155259 0.181692 0.781742 0.036566 "
    "-0.010410 0.027275 0.983136",
    ("tritan", 0.5): "1.017277 0.027029 -0.044306 -0.006113 0.958479 0.047634 "
    "0.006379 0.248708 0.744913",
}


@pytest.mark.parametrize(("kind", "severity"), PUBLISHED)
def test_matrices_are_those_published(kind, severity):
    published = np.array(PUBLISHED[kind, severity].split(), dtype=float).reshape(3, 3)
    np.testing.assert_allclose(eyes(kind, severity).matrix, published, atol=1e-6)


@pytest.mark.parametrize("kind", NAMED)
@pytest.mark.parametrize("severity", [0, 0.1, 0.3, 0.8, 1])
def test_the_published_steps_are_colour_science_s(kind, severity):
    np.testing.assert_allclose(eyes(kind, severity).matrix, theirs(kind, severity), atol=1e-9)


@pytest.mark.parametrize("kind", NAMED)
@pytest.mark.parametrize("severity", [0.05, 0.55, 0.93])
def test_between_the_steps_it_goes_straight(kind, severity):
    """As the paper does. colour-science 0.4.7 takes the next segment there, and overshoots."""
    steps = colour_science().CVD_MATRICES_MACHADO2010[NAMED[kind]]
    known = np.array([steps[step] for step in sorted(steps)]).reshape(11, 9)
    straight = [np.interp(severity, sorted(steps), column) for column in known.T]
    np.testing.assert_allclose(np.ravel(eyes(kind, severity).matrix), straight, atol=1e-12)


def test_the_shipped_table_is_what_colour_science_gives():
    assert (
        json.loads(files("brief.colour.viewing").joinpath("eyes.json").read_text()) == eyes_table()
    )


def test_through_is_the_matrix_on_linear_srgb():
    labs = np.array([[50, 60, 30], [70, -90, 80]])  # the second beyond sRGB
    linear = lab_to_xyz(labs) @ XYZ_TO_SRGB.T
    by_hand = xyz_to_lab(linear @ np.array(eyes("protan").matrix).T @ SRGB_TO_XYZ.T)
    np.testing.assert_allclose(through(labs, eyes("protan")), by_hand)


def test_red_and_green_come_together_for_deutan_eyes():
    red, green = [50, 40, 30], [50, -40, 30]
    apart = float(delta_e_2000(red, green))
    left = float(delta_e_2000(*through([red, green], eyes("deutan"))))
    assert left < apart / 2


def test_grey_stays_grey():
    for kind in NAMED:
        assert float(delta_e_2000(through([60, 0, 0], eyes(kind)), [60, 0, 0])) < 0.1


def test_normal_eyes_change_nothing():
    assert eyes("normal") is NORMAL
    np.testing.assert_allclose(through([40, 20, 30], NORMAL), [40, 20, 30], atol=1e-9)


@pytest.mark.parametrize(
    ("kind", "severity", "said"),
    [
        ("cat", 1, "eyes are one of normal, protan, deutan, tritan; got “cat”"),
        ("deutan", 1.5, "severity must be 0 to 1; got 1.5"),
        ("deutan", float("nan"), "severity must be 0 to 1"),
    ],
)
def test_other_eyes_are_refused(kind, severity, said):
    with pytest.raises(ColourInputError, match=said):
        eyes(kind, severity)
