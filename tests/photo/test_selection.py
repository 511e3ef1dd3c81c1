"""Where to look: rectangles and outlines, read, written, refused, and filled."""

import contextlib
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.measure import grid_points_in_poly

from brief.errors import InputError
from brief.photo import Region
from brief.photo.outline.selection import LONGEST_TEXT, MOST_POINTS, Selection

TRIANGLE = ((10.0, 10.0), (60.0, 12.0), (30.0, 40.0))
SQUARE = ((10.0, 10.0), (90.0, 10.0), (90.0, 90.0), (10.0, 90.0))
SMALL = ((20.0, 20.0), (40.0, 20.0), (40.0, 40.0), (20.0, 40.0))
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
WRITTEN = HEAD + '<polygon points="10,10 60,12 30,40"/></svg>'


def svg(*polygons: str) -> str:
    return HEAD + "".join(f"<polygon {polygon}/>" for polygon in polygons) + "</svg>"


def star(x, y, radii):
    """Points round a middle, one for each radius: an outline that cannot cross itself."""
    step = 2 * math.pi / len(radii)
    return tuple(
        (x + r * math.cos(i * step), y + r * math.sin(i * step)) for i, r in enumerate(radii)
    )


stars = st.builds(
    star,
    st.floats(30, 70),
    st.floats(30, 70),
    st.lists(st.floats(10, 25), min_size=3, max_size=40),
)


@pytest.mark.parametrize(
    "text",
    [
        WRITTEN,
        # As an example of the Web Annotation Data Model, 4.2.7, is written, but for the viewBox.
        '<svg:svg xmlns:svg="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        '<svg:polygon points="10,10 60,12 30,40"/></svg:svg>',
        HEAD.replace("0 0 100 100", " 0,0, 100  100 ")
        + "\n <polygon points='\n10 10, 60 12 3e1,+40.0 ' />\n</svg>\n",
        svg('points="10,10 10,10 60,12 30,40 30,40 10,10"'),
    ],
)
def test_an_outline_is_read_and_written_in_one_way(text):
    selection = Selection.parse(text)
    assert selection == Selection(TRIANGLE)
    assert str(selection) == WRITTEN


def test_holes_are_read_and_written():
    text = svg('points="10,10 90,10 90,90 10,90"', 'class="hole" points="20,20 40,20 40,40 20,40"')
    selection = Selection.parse(text)
    assert selection == Selection(SQUARE, (SMALL,))
    assert Selection.parse(str(selection)) == selection
    assert 'class="hole"' in str(selection)


def test_a_media_fragment_is_a_rectangle():
    selection = Selection.parse("xywh=percent:10,20,30,40")
    assert selection == Selection(Region(10, 20, 30, 40))
    assert str(selection) == "xywh=percent:10,20,30,40"
    assert selection.bounds == Region(10, 20, 30, 40)


def test_the_bounds_of_an_outline():
    assert Selection(TRIANGLE).bounds == Region(10, 10, 50, 30)


@given(stars, st.booleans())
def test_what_is_written_reads_as_it_was(outline, pierced):
    middle = np.mean(outline, axis=0)
    hole = tuple((float(x), float(y)) for x, y in middle + (np.array(outline) - middle) * 0.05)
    try:
        selection = Selection(outline, (hole,) if pierced else ())
    except InputError:  # the mean of the points of an odd star may lie outside it
        assert pierced
        return
    assert Selection.parse(str(selection)) == selection
    assert str(Selection.parse(str(selection))) == str(selection)


@given(st.builds(Region, *[st.floats(0, 40)] * 2, *[st.floats(1e-3, 60)] * 2))
def test_rectangles_read_as_they_were_written(region):
    assert Selection.parse(str(Selection(region))) == Selection(region)


@given(st.text(max_size=60) | st.text(alphabet='<>/svg polygon="0123456789,.e-&;!?', max_size=200))
@settings(max_examples=300)
def test_any_text_is_read_or_refused_in_words(text):
    for candidate in (text, HEAD + text + "</svg>", svg(f'points="{text}"')):
        with contextlib.suppress(InputError):
            Selection.parse(candidate)


@given(stars, st.integers(20, 90), st.integers(20, 90))
def test_filled_as_another_library_fills(outline, width, height):
    """scikit-image's test of points in a polygon, asked for the middles of the pixels."""
    ours = Selection(outline).mask(width, height)
    corners = np.array(outline)[:, ::-1] * (height, width) / 100 - 0.5
    theirs = grid_points_in_poly((height, width), corners)
    assert ours.shape == theirs.shape
    # A middle exactly on an edge may fall to either side.
    assert np.count_nonzero(ours != theirs) <= 2


def test_a_star_holds_as_many_pixels_as_its_area():
    """The surveyor's formula: half the sum of the cross products of neighbouring points."""
    outline = star(50, 50, [40, 20] * 9)
    x, y = (np.array(outline) * (12, 9)).T
    area = abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    assert Selection(outline).mask(1200, 900).sum() == pytest.approx(area, rel=1e-3)


def test_holes_are_left_out_even_where_they_overlap():
    other = tuple((x + 10, y + 10) for x, y in SMALL)
    mask = Selection(SQUARE, (SMALL, other)).mask(100, 100)
    assert mask[:10].sum() == 0
    assert not mask[20:40, 20:40].any()
    assert not mask[30:50, 30:50].any()
    assert mask.sum() == 80 * 80 - 400 - 400 + 100


def test_a_rectangle_fills_the_pixels_of_its_region():
    mask = Selection(Region(10, 20, 30, 40)).mask(200, 100)
    assert np.argwhere(mask).min(axis=0).tolist() == [20, 20]
    assert np.argwhere(mask).max(axis=0).tolist() == [59, 79]
    assert mask.sum() == 40 * 60


def test_an_outline_too_small_for_the_picture_is_refused():
    sliver = Selection(((50.1, 50.1), (50.2, 50.1), (50.2, 50.2)))
    assert sliver.mask(4000, 4000).any()
    with pytest.raises(InputError, match="not one pixel of a picture of 40 by 30"):
        sliver.mask(40, 30)


def test_an_outline_with_a_thousand_points_is_taken():
    outline = star(50, 50, [40.0, 39.0] * (MOST_POINTS // 2))
    assert len(Selection.parse(str(Selection(outline))).outline) == MOST_POINTS


SOUND = 'points="10,10 90,10 90,90 10,90"'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (svg('points="10,10 60,12"'), "at least 3 points; got 2"),
        (svg('points="10,10 60,12 10,10"'), "at least 3 points; got 2"),
        (svg('points="10,10 20,20 40,40 30,30"'), "its points lie on one line"),
        (svg('points="10,10 60,60 60,10 10,60"'), "may not cross or touch itself; it does after"),
        (svg('points="10,10 60,10 35,10 35,40"'), "may not cross or touch itself"),
        (svg('points="10,10 90,10 50,50 90,90 10,90 50,50"'), "may not cross or touch itself"),
        (svg('points="10,10 101,10 50,50"'), r"0 to 100 percent each way; got a point at 101"),
        (svg('points="10,10 -1,10 50,50"'), "got a point at -1 percent across and 10 down"),
        (svg('points="10,10 1e999,10 50,50"'), "got a point at inf"),
        (svg('points="10,10 NaN,10 50,50"'), "must be numbers of percent; got “NaN”"),
        (svg('points="10,10 20%,10 50,50"'), "got “20%”"),
        (svg('points="10,10 20,,10 50,50"'), "got “”"),
        (svg('points=""'), "got “”"),
        (svg('class="hole" points="10,10 20,10 20,20"'), "there must be one outline; got 0"),
        (HEAD + "</svg>", "there must be one outline; got 0"),
        (svg(SOUND, SOUND), "there must be one outline; got 2"),
        (svg('points="10,10 20,10 20"'), "two numbers, x and y; got 5 numbers"),
        (svg(SOUND, 'class="hole" points="5,5 20,5 20,20"'), "a hole must lie wholly inside"),
        (svg(SOUND, 'class="hole" points="1,1 2,1 2,2"'), "starts at 1 percent across and 1 down"),
        (svg(SOUND, 'class="hole" points="1,1 99,1 99,99 1,99"'), "a hole must lie wholly inside"),
        (svg(SOUND, 'class="hole" points="10,20 20,20 20,30"'), "a hole must lie wholly inside"),
        (svg(SOUND, 'class="hole" points="20,20 30,20"'), "a hole must have at least 3 points"),
        (svg(SOUND, 'class="island" points="20,20 30,20 30,30"'), 'must be "hole"; got “island”'),
        (svg(SOUND + ' onclick="alert(1)"'), "“onclick” may not stand in an outline"),
        (svg(SOUND + ' style="fill:url(http://a.example)"'), "“style” may not stand"),
        (svg(SOUND + ' transform="scale(2)"'), "“transform” may not stand"),
        (WRITTEN.replace("viewBox", 'onload="alert(1)" viewBox'), "“onload” may not stand"),
        (WRITTEN.replace("<polygon", "<script>alert(1)</script><polygon"), "found “script”"),
        (WRITTEN.replace("<polygon", "<g/><polygon"), "only polygons may stand .* found “g”"),
        (WRITTEN.replace("<polygon", '<image href="http://a.example"/><polygon'), "found “image”"),
        (WRITTEN.replace("/></svg>", "><title>x</title></polygon></svg>"), "found “polygon”"),
        (WRITTEN.replace("<polygon", '<polygon xmlns="http://a.example"'), "only polygons"),
        (WRITTEN.replace("<polygon", "alert(1)<polygon"), "no text may stand"),
        (WRITTEN.replace("</svg>", "alert(1)</svg>"), "no text may stand"),
        ("<!DOCTYPE svg [<!ENTITY a SYSTEM 'file:///etc/passwd'>]>" + WRITTEN, "<! or <?"),
        ('<?xml-stylesheet href="http://a.example"?>' + WRITTEN, "<! or <?"),
        (WRITTEN.replace("<polygon", "<!-- --><polygon"), "<! or <?"),
        (WRITTEN.replace("10,10", "&a;"), "not well-formed XML"),
        (WRITTEN.replace("</svg>", ""), "not well-formed XML"),
        (WRITTEN.replace('viewBox="0 0 100 100"', ""), "no SVG with the viewBox 0 0 100 100"),
        (WRITTEN.replace("0 0 100 100", "0 0 640 480"), "no SVG with the viewBox"),
        (WRITTEN.replace(' xmlns="http://www.w3.org/2000/svg"', ""), "no SVG with the viewBox"),
        (svg(SOUND + " " * LONGEST_TEXT), "64000 characters long; got 641"),
        ("10,10 60,12 30", "each point has two numbers"),
        ("10,10 60,12 30,40 5", "each point has two numbers"),
        ("10,10 60,12 30,here", "must be numbers of percent; got “here”"),
        ("xywh=pixel:1,2,3,4", "four numbers of percent: left, top, width, height"),
        ("", "four numbers of percent: left, top, width, height"),
    ],
)
def test_anything_else_is_refused_in_words(text, message):
    with pytest.raises(InputError, match=message) as refused:
        Selection.parse(text)
    assert refused.value.faults[0].pointer == "/region"


def test_points_alone_are_read_as_somebody_types_them():
    typed = Selection.parse(" 10,10 60,12  30 40\n")
    assert typed.outline == ((10.0, 10.0), (60.0, 12.0), (30.0, 40.0))
    assert Selection.parse(str(typed)) == typed


def test_too_many_points_are_refused():
    outline = star(50, 50, [40.0] * (MOST_POINTS - 2))
    with pytest.raises(InputError, match="1000 points together; got 1002"):
        Selection(outline, (SMALL,))


def test_a_rectangle_has_no_holes():
    with pytest.raises(InputError, match="a rectangle has no holes"):
        Selection(Region(0, 0, 50, 50), (SMALL,))


def test_a_point_that_is_no_number_is_refused():
    with pytest.raises(InputError, match="got a point at nan percent across and 10 down"):
        Selection(((10, 10), (float("nan"), 10), (50, 50)))
