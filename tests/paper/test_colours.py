"""Named colours as CSS and SVG, read back by other programs' rules.

CSS: `lab()` is CIE Lab under D50, adapted by Bradford (CSS Color 4, sections 8.1 and 12.1), worked
out again with colour-science; a custom property takes any text (CSS Custom Properties 1, 2), so
that a fallback needs `@supports` (CSS Conditional 3).
"""

import re
import warnings
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from brief.errors import ColourInputError
from brief.paper.colours import NamedColour, as_css, as_svg

REED = NamedColour("dry reed", (66.4, 8.2, 34.6), 0.5)
MUD = NamedColour("mud", (31.2, 3.1, 8.9), 0.3)
SHELL = NamedColour("shell", (82.0, -9.0, -4.0), 0.2)
THREE = (REED, MUD, SHELL)


def properties(css):
    """Names and values outside and inside @supports."""
    outside, inside = css.split("@supports (color: lab(0% 0 0)) {")
    found = re.compile(r"--([^:\s]+): ([^;]+);")
    return dict(found.findall(outside)), dict(found.findall(inside))


def d50_of(lab):
    """By colour-science: D65 to XYZ, Bradford to D50, and back to Lab."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    d65, d50 = (colour.xy_to_XYZ(white[name]) for name in ("D65", "D50"))
    xyz = colour.Lab_to_XYZ(lab, white["D65"])
    adapted = colour.chromatic_adaptation(xyz, d65, d50, method="Von Kries", transform="Bradford")
    return colour.XYZ_to_Lab(adapted, white["D50"])


def test_css_says_lab_under_d50():
    _, exact = properties(as_css("Saltmarsh", THREE))
    for one in THREE:
        numbers = re.fullmatch(
            r"lab\(([\d.]+)% (-?[\d.]+) (-?[\d.]+)\)", exact[one.name.replace(" ", "-")]
        )
        assert [float(part) for part in numbers.groups()] == pytest.approx(
            d50_of(np.array(one.lab)), abs=0.02
        )


def test_css_falls_back_to_hex_of_the_same_names():
    fallback, exact = properties(as_css("Saltmarsh", THREE))
    assert list(fallback) == list(exact) == ["dry-reed", "mud", "shell"]
    assert all(re.fullmatch("#[0-9a-f]{6}", value) for value in fallback.values())


def test_css_names_are_identifiers_and_each_its_own():
    names = ("Reed", "reed", "reed-2", "REED!", "—", "Łąka 3 «x»", "a: b; } */ body {")
    css = as_css("*/ body { display: none } /*", [NamedColour(name, (50, 0, 0)) for name in names])
    fallback, _ = properties(css)
    assert list(fallback) == [
        "reed",
        "reed-2",
        "reed-2-2",
        "reed-3",
        "colour",
        "łąka-3-x",
        "a-b-body",
    ]
    without = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    assert "body {" not in without
    assert without.count("{") == without.count("}") == 3


def bars(svg):
    root = ET.fromstring(svg)
    return root, root.findall(".//{*}rect"), root.findall(".//{*}text")


def test_the_bars_are_as_long_as_the_shares():
    root, rectangles, words = bars(as_svg("The creek", THREE))
    lengths = np.array([float(one.get("width")) for one in rectangles])
    assert lengths / lengths.sum() == pytest.approx([one.share for one in THREE], abs=1e-4)
    assert [one.get("fill") for one in rectangles] == [one.notation.hex for one in THREE]
    assert [one.text for one in words] == [
        "The creek",
        "dry reed, 50\u00a0%",
        "mud, 30\u00a0%",
        "shell, 20\u00a0%",
    ]
    assert root.find("{*}title").text == "The creek"


def test_colours_without_shares_are_all_as_long():
    _, rectangles, words = bars(
        as_svg("x", [NamedColour("a", (50, 0, 0)), NamedColour("b", (60, 0, 0))])
    )
    assert len({one.get("width") for one in rectangles}) == 1
    assert [one.text for one in words][1:] == ["a", "b"]


def test_no_name_lies_on_another_or_beyond_the_picture():
    narrow = [
        NamedColour(f"a name of a colour, number {i}", (50, i, 0), 0.02 if i else 0.8)
        for i in range(11)
    ]
    root, _, words = bars(as_svg("x", narrow))
    boxes = [
        (float(one.get("x")), float(one.get("y")), len(one.text) * 13 * 0.54) for one in words[1:]
    ]
    width, height = (float(root.get(side)) for side in ("width", "height"))
    assert boxes
    for i, (x, y, wide) in enumerate(boxes):
        assert x + wide <= width
        assert y < height
        for other, at, _ in boxes[i + 1 :]:
            assert at != y or other >= x + wide
            # The line up from a name further right passes beside this one.
            assert not (x < other < x + wide and at > y)


def test_markup_stays_text():
    root, _, words = bars(as_svg("<script>\x00", [NamedColour("<b>&", (50, 0, 0))]))
    assert [one.text for one in words] == ["<script>", "<b>&"]
    assert root.find(".//{*}script") is None


@pytest.mark.parametrize("write", [as_css, as_svg])
def test_nothing_to_write_is_said(write):
    with pytest.raises(ColourInputError, match="no colour to write yet: name one"):
        write("x", [])
