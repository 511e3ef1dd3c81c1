"""Regions as W3C Media Fragments write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.errors import InputError
from brief.photo import Region


def test_media_fragments_example():
    # Media Fragments URI 1.0 (W3C Recommendation, 25 September 2012), 4.2.2:
    # "xywh=percent:25,25,50,50 results in a 50%x50% region at x=25% and y=25%".
    region = Region.parse("xywh=percent:25,25,50,50")
    assert region == Region(25, 25, 50, 50)
    assert region.box(320, 240) == (80, 60, 240, 180)
    assert str(region) == "xywh=percent:25,25,50,50"


def test_as_a_fragment_of_an_address():
    assert Region.parse("#xywh=percent:10,20,30,40") == Region(10, 20, 30, 40)


@given(st.floats(0, 99.9), st.floats(0, 99.9), st.floats(1e-4, 1, width=64), st.floats(1e-4, 1))
def test_written_and_read_again_it_is_the_same(x, y, across, down):
    region = Region(x, y, (100 - x) * across, (100 - y) * down)
    assert Region.parse(str(region)) == region


@given(st.floats(0, 99.99), st.floats(1e-6, 100), st.integers(1, 20_000))
def test_box_is_never_empty_and_never_outside(x, w, size):
    left, _, right, _ = Region(x, 0, min(w, 100 - x), 100).box(size, 1)
    assert 0 <= left < right <= size


def test_neighbours_share_an_edge():
    assert Region(0, 0, 33.3, 100).box(1000, 10)[2] == Region(33.3, 0, 66.7, 100).box(1000, 10)[0]


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ((-1, 0, 10, 10), "must lie inside the picture.*-1 to 9 across"),
        ((0, 95, 10, 10), "must lie inside the picture.*95 to 105 down"),
        ((0, 0, 100.1, 10), "must lie inside the picture.*0 to 100.1 across"),
        ((0, 0, 0, 10), "wider and higher than 0 percent; got 0 by 10"),
        ((50, 50, 10, -10), "wider and higher than 0 percent; got 10 by -10"),
        ((float("nan"), 0, 10, 10), "x must be a number of percent; got nan"),
        ((0, 0, float("inf"), 10), "w must be a number of percent; got inf"),
        ((0, 0, 10, "10"), "h must be a number of percent; got “10”"),
    ],
)
def test_refused(numbers, words):
    with pytest.raises(InputError, match=words) as caught:
        Region(*numbers)
    assert caught.value.faults[0].pointer == "/region"


@pytest.mark.parametrize(
    "fragment",
    ["", "xywh=10,20,30,40", "xywh=pixel:1,2,3,4", "xywh=percent:1,2,3", "t=1,2", "1 2 3 4"],
)
def test_other_fragments_are_refused(fragment):
    with pytest.raises(InputError, match="four numbers of percent: left, top, width, height"):
        Region.parse(fragment)


def test_numbers_alone_are_percent_and_what_is_refused_is_said_as_it_was_typed():
    assert Region.parse("10, 20,30, 40.5") == Region.parse("xywh=percent:10,20,30,40.5")
    with pytest.raises(InputError, match=r"such as 10, 20, 50, 40; got “1,2”"):
        Region.parse("xywh=percent:1,2")


@pytest.mark.parametrize(
    ("other", "overlaps"),
    [
        ((30, 30, 10, 10), True),
        ((49.9, 10, 10, 10), True),
        ((50, 10, 10, 10), False),
        ((60, 20, 10, 10), False),
        ((20, 70, 20, 20), False),
    ],
    ids=["inside", "over an edge", "at an edge", "beside", "below"],
)
def test_overlap(other, overlaps):
    one, two = Region(20, 10, 30, 40), Region(*other)
    assert one.overlaps(two) is two.overlaps(one) is overlaps
