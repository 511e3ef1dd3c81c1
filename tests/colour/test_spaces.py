"""Colour spaces against IEC 61966-2-1, CIE 15, colour-science and colormath."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from brief.colour import (
    lab_to_lch,
    lab_to_srgb,
    lab_to_xyz,
    lch_to_lab,
    linear_to_srgb,
    srgb_to_lab,
    srgb_to_linear,
    srgb_to_xyz,
    xyz_to_lab,
    xyz_to_srgb,
)
from brief.errors import ColourInputError

EXACT = 1e-10  # rounding in float64, no more
# colormath takes white as 0.95047, 1, 1.08883, ours is what the four printed digits of the
# standard's matrix make of it: 0.9505, 1, 1.089. That is all that parts the two.
WHITE_POINT_DIGITS = 0.02

SRGB = st.tuples(*[st.floats(0, 1)] * 3)


@pytest.fixture(scope="module")
def srgb():
    rng = np.random.default_rng(61966)
    return np.vstack([rng.uniform(0, 1, (2000, 3)), rng.uniform(0, 0.05, (500, 3))])


def test_srgb_to_xyz_matches_colour_science(reference, srgb):
    space = reference.RGB_COLOURSPACES["sRGB"]  # holds the matrix as the standard prints it
    expected = reference.RGB_to_XYZ(srgb, space, apply_cctf_decoding=True)
    np.testing.assert_allclose(srgb_to_xyz(srgb), expected, atol=EXACT)


def test_transfer_curve_matches_colour_science(reference, srgb):
    linear = reference.models.eotf_sRGB(srgb)
    np.testing.assert_allclose(srgb_to_linear(srgb), linear, atol=EXACT)
    np.testing.assert_allclose(linear_to_srgb(linear), srgb, atol=EXACT)


def test_lab_matches_colour_science(reference, srgb):
    """The same white for both, so that only the formula of CIE 15 is compared."""
    xyz = srgb_to_xyz(srgb)
    white_xy = reference.XYZ_to_xy(srgb_to_xyz([1, 1, 1]))
    lab = reference.XYZ_to_Lab(xyz, white_xy)
    np.testing.assert_allclose(xyz_to_lab(xyz), lab, atol=1e-9)
    np.testing.assert_allclose(lab_to_xyz(lab), xyz, atol=EXACT)


def test_lch_matches_colour_science(reference, srgb):
    lab = srgb_to_lab(srgb)
    np.testing.assert_allclose(lab_to_lch(lab), reference.models.Lab_to_LCHab(lab), atol=1e-9)


# colormath 3.0 holds escapes that Python warns about when it first compiles them.
@pytest.mark.filterwarnings("ignore:.*invalid escape sequence")
def test_lab_matches_colormath(srgb):
    from colormath.color_conversions import convert_color
    from colormath.color_objects import LabColor, sRGBColor

    for colour in srgb[::50]:
        other = convert_color(sRGBColor(*colour), LabColor, target_illuminant="d65")
        np.testing.assert_allclose(
            srgb_to_lab(colour), other.get_value_tuple(), atol=WHITE_POINT_DIGITS
        )


@pytest.mark.parametrize(
    ("srgb", "lab"),
    [
        ([0, 0, 0], [0, 0, 0]),
        ([1, 1, 1], [100, 0, 0]),
        # Mid grey: L = 116 Y^(1/3) - 16 of the curve's own Y, worked by hand.
        ([0.5, 0.5, 0.5], [116 * (((0.5 + 0.055) / 1.055) ** 2.4) ** (1 / 3) - 16, 0, 0]),
    ],
)
def test_greys_have_no_colour(srgb, lab):
    np.testing.assert_allclose(srgb_to_lab(srgb), lab, atol=EXACT)


def test_lightness_at_the_join_of_the_two_branches():
    """CIE 15: below Y = (6/29)³ lightness is linear, (29/3)³ Y; both give 8 at the join."""
    assert xyz_to_lab(np.array([0.9505, 1, 1.089]) * 216 / 24389)[0] == pytest.approx(8, abs=1e-9)


@given(SRGB)
@example((0.0, 0.0, 0.04045))
def test_srgb_round_trip(srgb):
    # IEC 61966-2-1 rounds both bounds of its two pieces, 0.04045 and 0.0031308: a level between
    # them goes by one piece and comes back by the other, which differ by 3e-8 there.
    at_the_bound = np.abs(np.array(srgb) - 0.04045) < 1e-6
    allowed = np.where(at_the_bound, 1e-7, 1e-9)
    assert (np.abs(lab_to_srgb(srgb_to_lab(srgb)) - srgb) <= allowed).all()
    assert (np.abs(xyz_to_srgb(srgb_to_xyz(srgb)) - srgb) <= allowed).all()


@given(st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128)))
def test_lab_round_trips(lab):
    np.testing.assert_allclose(lch_to_lab(lab_to_lch(lab)), lab, atol=1e-9)
    np.testing.assert_allclose(xyz_to_lab(lab_to_xyz(lab)), lab, atol=1e-9)


@given(st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128)))
def test_hue_stays_within_the_circle(lab):
    assert 0 <= lab_to_lch(lab)[2] < 360


def test_hue_of_a_grey_is_nothing_whatever_the_sign_of_zero():
    assert lab_to_lch([50, -0.0, 0.0]).tolist() == [50, 0, 0]
    assert lab_to_lch([50, 5, -1e-300])[2] == 0


def test_colours_no_screen_can_show_are_clipped():
    assert lab_to_srgb([50, 120, -120]).max() == 1
    assert lab_to_srgb([50, 120, -120]).min() == 0
    assert xyz_to_srgb(lab_to_xyz([50, 120, -120])).max() > 1


@pytest.mark.parametrize("shape", [(3,), (5, 3), (4, 6, 3), (0, 3)])
@pytest.mark.parametrize(
    "convert",
    [
        srgb_to_linear,
        linear_to_srgb,
        srgb_to_xyz,
        xyz_to_srgb,
        srgb_to_lab,
        lab_to_srgb,
        xyz_to_lab,
        lab_to_xyz,
        lab_to_lch,
        lch_to_lab,
    ],
)
def test_leading_axes_are_kept(convert, shape):
    assert convert(np.full(shape, 0.5)).shape == shape


@pytest.mark.parametrize(
    ("values", "fault"),
    [
        ("oak", "srgb must be numbers; got “oak”"),
        ([[1, 2, 3], [1]], "srgb must be numbers"),
        (0.5, r"srgb must have 3 numbers on its last axis; got \(\)"),
        ([0.1, 0.2], r"srgb must have 3 numbers on its last axis; got \(2,\)"),
        ([0, np.nan, 0], "srgb must be finite numbers within ±1,000,000; got nan"),
        ([0, np.inf, 0], "got inf"),
        ([0, -2e6, 0], "got -2000000"),
    ],
)
def test_what_is_not_a_colour_is_refused(values, fault):
    with pytest.raises(ColourInputError, match=fault):
        srgb_to_linear(values)


@pytest.mark.parametrize("convert", [xyz_to_lab, lab_to_xyz])
def test_a_white_without_light_is_refused(convert):
    with pytest.raises(ColourInputError, match=r"white must be above 0 .* got \[0.9, 0.0, 1.0\]"):
        convert([0.5, 0.5, 0.5], [0.9, 0, 1])
