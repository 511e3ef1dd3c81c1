"""Plain words; the boundaries are ours, the names of CSS colours are the check from outside."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour.difference import DifferenceParts
from brief.colour.notation.notation import parse_colour
from brief.colour.notation.wording import (
    colour_words,
    difference_words,
    figure,
    plus_minus,
    share_words,
)
from brief.errors import ColourInputError


@pytest.mark.parametrize(
    ("name", "code"),
    # CSS Color 4, section 6.1, named colours.
    [
        ("red", "#ff0000"),
        ("orange", "#ffa500"),
        ("yellow", "#ffff00"),
        ("green", "#008000"),
        ("blue", "#0000ff"),
        ("purple", "#800080"),
        ("pink", "#ffc0cb"),
        ("olive", "#808000"),
        ("brown", "#a52a2a"),
        ("tan", "#d2b48c"),
        ("grey", "#808080"),
        ("white", "#ffffff"),
        ("black", "#000000"),
    ],
)
def test_css_colours_are_called_by_their_names(name, code):
    assert name in colour_words(parse_colour(code))


@pytest.mark.parametrize(
    ("lab", "words"),
    [
        ([34, 6, 14], "dark brown"),
        ([20, 1, 1], "very dark grey"),
        ([8, 1, 1], "black"),
        ([84, 2, 6], "pale warm grey"),
        ([60, -4, -5], "cool grey"),
        ([96, 0, 5], "warm white"),
        ([40, 2, 20], "dark olive brown"),
        ([82, 4, 24], "straw"),
        ([80, -30, -5], "pale blue green"),
        ([50, 60, 45], "strong red"),
    ],
)
def test_words(lab, words):
    assert colour_words(lab) == words


@given(st.tuples(st.floats(0, 100), st.floats(-200, 200), st.floats(-200, 200)))
def test_every_colour_has_a_name(lab):
    words = colour_words(lab)
    assert words == " ".join(words.split())
    assert words


def test_only_one_colour_has_a_name():
    with pytest.raises(ColourInputError, match=r"one colour of 3 numbers; got shape \(1, 3\)"):
        colour_words([[50, 0, 0]])


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0, "none"),
        (0.001, "hardly any"),
        (0.04, "about a twentieth"),
        (0.26, "about a quarter"),
        (0.33, "about a third"),
        (0.41, "about two fifths"),
        (0.52, "about half"),
        (0.58, "about three fifths"),
        (0.81, "about four fifths"),
        (0.86, "about nine in ten"),
        (0.96, "nearly all"),
        (1, "all"),
    ],
)
def test_shares(share, words):
    assert share_words(share) == words


FRACTIONS = {
    "none": 0,
    "hardly any": 0.01,
    "about a twentieth": 1 / 20,
    "about a tenth": 1 / 10,
    "about a fifth": 1 / 5,
    "about a quarter": 1 / 4,
    "about a third": 1 / 3,
    "about two fifths": 2 / 5,
    "about half": 1 / 2,
    "about three fifths": 3 / 5,
    "about two thirds": 2 / 3,
    "about three quarters": 3 / 4,
    "about four fifths": 4 / 5,
    "about nine in ten": 9 / 10,
    "nearly all": 1,
    "all": 1,
}


@given(st.floats(0, 1))
def test_a_share_in_words_is_off_by_a_twentieth_at_most(share):
    words = share_words(share)
    assert FRACTIONS[words] == pytest.approx(share, abs=0.0501)
    assert (words in ("none", "all")) == (share in (0, 1))


@pytest.mark.parametrize(
    ("value", "uncertainty", "words"),
    [
        (43.51, 14.2, "44 ± 14"),
        (15.3, 1.414, "15.3 ± 1.4"),
        (3.14, 2.2, "3.1 ± 2.2"),
        (3.14, 3.1, "3 ± 3"),
        (3.14, 2.97, "3 ± 3"),
        (3.14, 0.62, "3.1 ± 0.6"),
        (3.14, 0.02, "3.1 ± 0.1"),
        (3.14, 0, "3.1"),
        (9.96, 0, "10"),
        (43.51, 0, "44"),
    ],
)
def test_figures_have_no_more_digits_than_they_deserve(value, uncertainty, words):
    assert plus_minus(value, uncertainty) == words
    assert words.startswith(figure(value, uncertainty))


@given(st.floats(0, 100), st.floats(0.01, 40))
def test_an_uncertainty_is_quoted_as_metrology_does(value, uncertainty):
    """JCGM 100:2008 (GUM), 7.2.6: at most two significant digits, the value to the same place."""
    whole, sure = plus_minus(value, uncertainty).split(" ± ")
    assert len(sure.replace(".", "").lstrip("0")) in (1, 2)
    assert len(whole.partition(".")[2]) == len(sure.partition(".")[2])
    half_a_place = 0.5 if "." not in sure else 0.05
    assert float(whole) == pytest.approx(value, abs=half_a_place * 1.001)
    assert float(sure) == pytest.approx(max(uncertainty, 0.1), abs=half_a_place * 1.001)


@pytest.mark.parametrize(
    ("lightness", "chroma", "hue", "words"),
    [
        (10, 1, -1, "mostly in lightness"),
        (-10, 1, -1, "mostly in lightness"),
        (1, -8, 2, "mostly in strength of colour"),
        (1, 7, -8, "in hue and strength of colour alike"),
    ],
)
def test_what_makes_a_difference(lightness, chroma, hue, words):
    assert difference_words(DifferenceParts(0.0, lightness, chroma, hue, 0.0)) == words
