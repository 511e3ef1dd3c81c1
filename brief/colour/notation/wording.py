"""Plain words for colours, shares and differences.

The boundaries are our own. They are set so that the usual names fall where most people put them
(tested on the colours CSS has names for), and nothing but the words depends on them.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from brief.colour.difference import DifferenceParts
from brief.colour.spaces import as_one_colour, lab_to_lch

# Where one word ends and the next begins: our working figures.
GREY_CHROMA = 3.0  # below this no tint is named
TINT_CHROMA = 10.0  # below this it is a grey with a tint
STRONG_CHROMA = 60.0
VERY_DARK, DARK, PALE, WHITE = 25.0, 45.0, 72.0, 92.0  # lightness L

# Hue below which a row holds (degrees), then its noun: dark, middling, pale, and strong.
_HUES = (
    (22.0, "red", "dusty red", "pink", "red"),
    (48.0, "red brown", "red brown", "salmon pink", "red"),
    (66.0, "brown", "orange brown", "tan", "orange"),
    (80.0, "brown", "brown", "tan", "orange"),
    (94.0, "olive brown", "yellow brown", "straw", "yellow"),
    (112.0, "olive", "olive", "straw", "yellow"),
    (130.0, "olive green", "olive green", "yellow green", "yellow green"),
    (170.0, "green", "green", "green", "green"),
    (225.0, "blue green", "blue green", "blue green", "blue green"),
    (310.0, "blue", "blue", "blue", "blue"),
    (342.0, "purple", "mauve", "lilac", "purple"),
    (360.0, "plum", "dusty pink", "pink", "red"),
)
_PALE_BY_NAME = {"pink", "salmon pink", "tan", "straw", "lilac"}
_TINTS = ((112.0, "warm"), (170.0, "greenish"), (310.0, "cool"), (342.0, "mauve"), (360.0, "warm"))

_FRACTIONS = (
    (1 / 20, "about a twentieth"),
    (1 / 10, "about a tenth"),
    (1 / 5, "about a fifth"),
    (1 / 4, "about a quarter"),
    (1 / 3, "about a third"),
    (2 / 5, "about two fifths"),
    (1 / 2, "about half"),
    (3 / 5, "about three fifths"),
    (2 / 3, "about two thirds"),
    (3 / 4, "about three quarters"),
    (4 / 5, "about four fifths"),
    (9 / 10, "about nine in ten"),
    (1.0, "nearly all"),
)


def colour_words(lab: ArrayLike) -> str:
    """A plain name for one colour.

    Parameters
    ----------
    lab : array_like, shape (3,)
        CIELAB, D65 / 2°.

    Raises
    ------
    ColourInputError
        If it is not three finite numbers.

    Examples
    --------
    >>> colour_words([34, 6, 14]), colour_words([84, 2, 6])
    ('dark brown', 'pale warm grey')
    """
    lightness, chroma, hue_deg = lab_to_lch(as_one_colour(lab, "Lab")).tolist()
    if chroma < GREY_CHROMA:
        return _grey(lightness, "")
    if chroma < TINT_CHROMA:
        return _grey(lightness, next(tint for below, tint in _TINTS if hue_deg < below))
    dark, middling, pale, strong = next(row[1:] for row in _HUES if hue_deg < row[0])
    if lightness < DARK:
        return f"{_depth(lightness)} {dark}"
    if chroma >= STRONG_CHROMA:
        return f"strong {strong}"
    if lightness < PALE:
        return middling
    return pale if pale in _PALE_BY_NAME else f"pale {pale}"


def share_words(share: float) -> str:
    """A share of 0 to 1 as a maker would say it: "none", "about a third", "nearly all".

    The fraction named is within 0.05 of the share.
    """
    if share in (0, 1):
        return "all" if share else "none"
    if share < 0.02:
        return "hardly any"
    return min(_FRACTIONS, key=lambda named: abs(named[0] - share))[1]


def percent(share: float, places: int = 0) -> str:
    """0.314 → "31 %", with a no-break space; a small share that is not 0 is "under 1 %"."""
    return (
        "under 1\u00a0%" if 0 < share < 0.005 and not places else f"{100 * share:.{places}f}\u00a0%"
    )


def figure(value: float, uncertainty: float = 0.0) -> str:
    """A difference, 0 or more, in no more digits than it deserves: "44", "15.3", "3.1".

    An uncertainty below 3 leaves one decimal, a larger one none. Where the uncertainty is 0, for
    not known, differences below 10 have one decimal.
    """
    exact = uncertainty < 2.95 if uncertainty else value < 9.95
    return f"{value:.{int(exact)}f}"


def plus_minus(value: float, uncertainty: float) -> str:
    """A difference with its uncertainty, if it has any: "44 ± 14", "15.3 ± 1.4", "3.1".

    Both end at the same decimal. An uncertainty too small for a decimal counts as 0.1.

    References
    ----------
    JCGM 100:2008 (GUM), 7.2.6.
    """
    if uncertainty == 0:
        return figure(value)
    return f"{figure(value, uncertainty)} ± {figure(max(uncertainty, 0.1), uncertainty)}"


def difference_words(parts: DifferenceParts[float]) -> str:
    """Which of lightness, strength of colour and hue makes most of a difference."""
    squares = {
        "lightness": parts.lightness**2,
        "strength of colour": parts.chroma**2,
        "hue": parts.hue**2,
    }
    first, second, _ = sorted(squares, key=lambda name: -squares[name])
    if squares[first] >= 2 * squares[second]:
        return f"mostly in {first}"
    return f"in {first} and {second} alike"


def _grey(lightness: float, tint: str) -> str:
    noun = "white" if lightness >= WHITE else "black" if lightness < VERY_DARK / 2 else "grey"
    depth = _depth(lightness) if noun == "grey" else ""
    return " ".join(word for word in (depth, tint, noun) if word)


def _depth(lightness: float) -> str:
    if lightness < VERY_DARK:
        return "very dark"
    if lightness < DARK:
        return "dark"
    return "" if lightness < PALE else "pale"
