"""Reading and writing colours, against CSS Color 4 and colour-science."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour import delta_e_2000, lab_to_lch, lab_to_xyz, srgb_to_lab
from brief.colour.notation.adaptation import MeterReading, reading_to_lab
from brief.colour.notation.notation import Notation, hex_of, notations, parse_colour, parse_reading
from brief.errors import ColourInputError, quoted

CHANNEL = st.integers(0, 255)
# White points given to four or five digits, and 7.787 for (29/6)³/3 in colormath.
WHITE_POINT_DIGITS = 0.03


@pytest.mark.parametrize(
    ("text", "channels"),
    [
        ("#b37a4c", (0xB3, 0x7A, 0x4C)),
        ("b37a4c", (0xB3, 0x7A, 0x4C)),
        ("  #B37A4C\n", (0xB3, 0x7A, 0x4C)),
        ("#abc", (0xAA, 0xBB, 0xCC)),
    ],
)
def test_hex_is_what_a_pixel_of_that_colour_is(text, channels):
    assert parse_colour(text) == tuple(srgb_to_lab(np.array(channels) / 255))


@pytest.mark.parametrize(
    "text",
    [
        "Lab 50 10 -20",
        "lab: 50, 10, -20",
        "L*a*b* 50 10 -20",
        "CIELAB 50.0 +10 -20.",
        "CIE Lab D65 50 10 −20",  # a typographic minus
        "L*=50 a*=10 b*=-20",
        "L 50 a 10 b -20",
        "L: 50; a: 10; b: -20",
        "Lab L*50 a*1e1 b*-20",
        "Lab 50,0 10,00 -20,0",  # decimal commas
        "Lab 50,0; 10; -20,0",
        "Lab 50,0, 10,0, -20,0",
        "L*=50,0 a*=10,0 b*=-20,0",
        "Lab 50,10,-20",
    ],
)
def test_lab_readings_are_taken_under_d65(text):
    assert parse_colour(text) == (50, 10, -20)


@pytest.mark.parametrize("text", ["LCh 50 20 30", "L*C*h* 50, 20, 30°", "L=50 C=20 h=30 deg"])
def test_lch_readings(text):
    assert parse_colour(text) == pytest.approx(
        (50, 20 * np.cos(np.pi / 6), 20 * np.sin(np.pi / 6)), abs=1e-9
    )


@pytest.mark.parametrize("text", ["xyz 26.85 24.02 10.06", "XYZ: X=26.85, Y=24.02, Z=10.06"])
def test_xyz_readings_have_white_at_100(reference, text):
    white = reference.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    expected = reference.XYZ_to_Lab(np.array([26.85, 24.02, 10.06]) / 100, white)
    np.testing.assert_allclose(parse_colour(text), expected, atol=WHITE_POINT_DIGITS)


@pytest.mark.parametrize(
    ("text", "red", "green", "blue"),
    [
        # W3C CSS test suite, css-color-4/lab-004.html: lab(50 50 0) in percent of sRGB.
        ("lab(50 50 0)", 75.62, 30.45, 47.56),
        # CSS Color 4: 100% is 100 in L, 125 in a and b, 150 in C.
        ("lab(50% 40% 0%)", 75.62, 30.45, 47.56),
        ("lch(50% 50 0)", 75.62, 30.45, 47.56),
        ("lch(50 33.33333333% 0deg)", 75.62, 30.45, 47.56),
        ("lab(50 50 none)", 75.62, 30.45, 47.56),
        # CSS Color 4 defines the named colour purple as #800080; its lab() from memory.
        ("lab(29.69% 44.888% -29.04%)", 50.2, 0, 50.2),
    ],
)
def test_css_functions_are_under_d50(text, red, green, blue):
    expected = srgb_to_lab(np.array([red, green, blue]) / 100)
    assert delta_e_2000(parse_colour(text), expected) < 0.05  # the sources round to 0.01 %


@pytest.mark.parametrize("text", ["lab({} {} {})", "Lab D50 {} {} {}", "L*a*b* (D50): {}, {}, {}"])
def test_d50_is_adapted_by_bradford(reference, text):
    whites = reference.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    d50, d65 = (reference.xy_to_XYZ(whites[name]) for name in ("D50", "D65"))
    for lab in ([56.5, 19.31, 34.38], [20, 5, -30], [90, -20, 60], [4, 1, 1]):
        xyz = reference.Lab_to_XYZ(lab, whites["D50"])
        adapted = reference.chromatic_adaptation(
            xyz, d50, d65, method="Von Kries", transform="Bradford"
        )
        expected = reference.XYZ_to_Lab(adapted, whites["D65"])
        np.testing.assert_allclose(
            parse_colour(text.format(*lab)), expected, atol=WHITE_POINT_DIGITS
        )


@pytest.mark.parametrize(
    ("text", "light", "observer"),
    [
        ("Lab 38.2 9.1 15.4 D50/10", "d50", "10"),
        ("lab 38.2, 9.1, 15.4, D50/10°", "d50", "10"),
        ("L* 38.2 a* 9.1 b* 15.4 (D50/10°)", "d50", "10"),
        ("Lab D50/10 38.2 9.1 15.4", "d50", "10"),
        ("CIELAB (D65 / 10°): 38.2; 9.1; 15.4", "d65", "10"),
        ("Lab 38.2 9.1 15.4 A/2", "a", "2"),
        ("Lab A/2: 38.2 9.1 15.4", "a", "2"),
        ("Lab 38.2 9.1 15.4 C/2 deg", "c", "2"),
        ("Lab 38.2 9.1 15.4 D55/10", "d55", "10"),
        ("L 38.2 a 9.1 b 15.4 F11/10", "f11", "10"),
        ("Lab 38.2 9.1 15.4 D50", "d50", "2"),
        ("Lab D50 38.2 9.1 15.4", "d50", "2"),
    ],
)
def test_readings_may_say_the_light_and_observer_of_the_meter(text, light, observer):
    expected = reading_to_lab([38.2, 9.1, 15.4], "lab", light, observer)
    assert parse_reading(text) == expected
    assert parse_colour(text) == expected.lab
    assert expected.uncertainty > 0
    assert f"under {light.upper()} with the {observer}° observer" in expected.note


def test_lch_and_xyz_readings_may_say_it_too():
    lch = parse_reading("LCh 38.2 17.9 59.4° D50/10")
    assert lch == reading_to_lab([38.2, 17.9, 59.4], "lch", "d50", "10")
    xyz = parse_reading("XYZ 11.5 10.2 5.1 F2/10")
    assert xyz == reading_to_lab([11.5, 10.2, 5.1], "xyz", "f2", "10")


@pytest.mark.parametrize(
    "text",
    ["#b37a4c", "lab(50 10 20)", "lch(50 20 30)", "Lab 50 10 20", "LCh 50 20 30 D65/2"],
)
def test_what_is_exact_adds_no_uncertainty(text):
    assert parse_reading(text) == MeterReading(parse_colour(text), 0.0, "")


def test_white_and_black_survive_adaptation():
    assert parse_colour("lab(100% 0 0)") == pytest.approx((100, 0, 0), abs=1e-9)
    assert parse_colour("lab(0% 0 0)") == pytest.approx((0, 0, 0), abs=1e-9)
    assert parse_colour("lab(0% 0 0)")[0] >= 0
    assert parse_colour("lab(100% 0 0)")[0] <= 100


def test_one_colour_in_every_notation():
    assert notations([56.1124, 17.2595, 33.9231]) == Notation(
        lab="Lab 56.1 17.3 33.9",
        lch="LCh 56.1 38.1 63°",
        xyz="XYZ 26.85 24.02 10.06",
        hex="#b37a4c",
        css="lab(56.50% 19.31 34.38)",
        in_srgb=True,
    )


@pytest.mark.parametrize("code", ["#ffffff", "#000000", "#808080", "#ff0000", "#0000ff"])
def test_corners_of_srgb_are_in_it_and_written_without_minus_nothing(code):
    known = notations(parse_colour(code))
    assert known.hex == code
    assert known.in_srgb
    assert "-0.0" not in f"{known.lab} {known.lch} {known.xyz} {known.css}".replace("-0.05", "")


def test_greys_are_written_with_no_hue():
    assert notations(parse_colour("lab(100% 0 0)")).lch == "LCh 100.0 0.0 0°"
    assert notations([50, 10, -0.01]).lch == "LCh 50.0 10.0 0°"


def test_a_colour_no_screen_can_show_says_so():
    known = notations([50, 90, -90])
    assert not known.in_srgb
    assert known.hex == hex_of([50, 90, -90])
    assert known.lab == "Lab 50.0 90.0 -90.0"


@given(CHANNEL, CHANNEL, CHANNEL)
def test_what_is_written_can_be_read_back(red, green, blue):
    code = f"#{red:02x}{green:02x}{blue:02x}"
    lab = parse_colour(code)
    known = notations(lab)
    assert known.hex == code == hex_of(lab)
    assert known.in_srgb
    # Half a unit of the last decimal, and what the white points differ by.
    np.testing.assert_allclose(parse_colour(known.lab), lab, atol=0.051)
    chroma = lab_to_lch(lab)[1]
    np.testing.assert_allclose(parse_colour(known.lch), lab, atol=0.08 + chroma * np.radians(0.5))
    assert delta_e_2000(parse_colour(known.css), lab) < 0.05
    xyz, read = (100 * lab_to_xyz(colour) for colour in (lab, parse_colour(known.xyz)))
    np.testing.assert_allclose(read, xyz, atol=0.006)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "oak",
        "#12345",
        "abc",
        "#b37a4g",
        "50 10 20",
        "Lab 50 10",
        "Lab 50 10 20 30",
        "Lab 50% 10 20",
        "lab(50 10 20 / 0.5)",
        "lab(50 10 20deg)",
        "lch(50 10 20%)",
        "Lab D55 50 10 20",
        "Lab 50 10 20 D55",
        "Lab 50 10 20 A",
        "Lab 50 10 20 D50/5",
        "Lab 50 10 20 D50/100",
        "Lab 50 10 20 D60/10",
        "Lab D50/10 50 10 20 D50/10",
        "lab(50 10 20) D50/10",
        "XYZ L=50 a=10 b=20",
        "rgb(10 20 30)",
    ],
)
def test_what_cannot_be_read_is_refused_with_what_can(text):
    with pytest.raises(ColourInputError) as caught:
        parse_colour(text)
    said = str(caught.value)
    assert said.startswith(f"{quoted(text)} is not a colour this can read. Try ")
    examples = said.rpartition("Try ")[2].removesuffix(".").split(" or ")
    assert examples == ["#b37a4c", "Lab 56.1 17.3 33.9"]
    for example in examples:
        parse_colour(example)


def test_endless_text_is_refused_and_cut_short():
    with pytest.raises(ColourInputError, match=r"“Lab 1 1 (1 ?)+…” is not a colour") as caught:
        parse_colour("Lab " + "1 " * 5000)
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("Lab nan 10 20", "L must lie between 0 and 100; got nan"),
        ("Lab 50 inf 20", "a must lie between -200 and 200; got inf"),
        ("Lab 50 10 -infinity", "b must lie between -200 and 200; got -inf"),
        ("Lab 101 0 0", "L must lie between 0 and 100; got 101"),
        ("Lab -1 0 0", "L must lie between 0 and 100; got -1"),
        ("Lab 50 201 0", "a must lie between -200 and 200; got 201"),
        ("Lab 50 0 1e300", "b must lie between -200 and 200; got 1e\\+300"),
        ("lab(150% 0 0)", "L must lie between 0 and 100; got 150"),
        ("LCh 50 -1 0", "C must lie between 0 and 283; got -1"),
        ("LCh 50 10 nan", "h must lie between -360 and 360; got nan"),
        ("XYZ 95 101 108", "Y must lie between 0 and 100; got 101"),
        ("XYZ -1 50 50", "X must lie between 0 and 200; got -1"),
        ("LCh 50 250 0", "stronger than any colour: a 250, b 0; both must lie between -200 and"),
    ],
)
def test_numbers_out_of_range_are_refused(text, fault):
    with pytest.raises(ColourInputError, match=fault):
        parse_colour(text)


@pytest.mark.parametrize("write", [notations, hex_of])
def test_only_one_colour_is_written_at_a_time(write):
    with pytest.raises(ColourInputError, match=r"Lab must be one colour .* got shape \(2, 3\)"):
        write(np.zeros((2, 3)))
    with pytest.raises(ColourInputError, match="Lab must be finite"):
        write([50, np.nan, 0])
