"""Plain words; the boundaries are ours, the names of CSS colours are the check from outside."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour.difference import DifferenceParts
from brief.colour.notation import parse_colour
from brief.colour.words import colour_words, difference_words, figure, plus_minus, share_words
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
        (0.52, "about half"),
        (1, "nearly all"),
    ],
)
def test_shares(share, words):
    assert share_words(share) == words


def test_figures_have_no_more_digits_than_they_deserve():
    assert figure(3.14, 0) == "3.1"
    assert figure(3.14, 2) == "3"
    assert plus_minus(43.51, 14.2) == "44 ± 14"
    assert plus_minus(3.14, 0.62) == "3.1 ± 0.6"
    assert plus_minus(43.51, 0) == "44"


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
