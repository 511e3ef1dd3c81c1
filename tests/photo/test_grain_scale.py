"""Millimetres from two taps or a known width."""

import math

import pytest

from brief.errors import InputError
from brief.photo.wood.scale import TAP_MISS, Scale

NAN = float("nan")
SIZE = (1200, 800)


def test_two_taps_on_a_rule():
    scale = Scale.from_taps((10, 20), (60, 20), 150, SIZE)
    assert scale.width_mm == pytest.approx(300)
    assert scale.height_mm == pytest.approx(200)
    assert scale.between((0, 0), (100, 0)) == pytest.approx(300)
    assert scale.between((50, 25), (50, 75)) == pytest.approx(100)


def test_taps_at_a_slant_know_that_percents_are_not_square():
    """3, 4, 5: 30 % of 1200 pixels across and 60 % of 800 down."""
    scale = Scale.from_taps((10, 20), (40, 80), 50, (1200, 800))
    assert scale.between((10, 20), (40, 80)) == pytest.approx(50)
    assert scale.between((10, 20), (40, 20)) == pytest.approx(30)
    assert scale.between((10, 20), (10, 80)) == pytest.approx(40)


def test_a_width_that_is_known():
    scale = Scale.from_width(205, (1120, 1600))
    assert scale.height_mm == pytest.approx(205 * 1600 / 1120)
    assert scale.error == 0


def test_the_error_is_that_of_two_taps_and_falls_with_their_distance():
    near = Scale.from_taps((40, 50), (60, 50), 30, SIZE)
    far = Scale.from_taps((0, 50), (100, 50), 150, SIZE)
    assert far.error == pytest.approx(math.sqrt(2) * TAP_MISS)
    assert near.error == pytest.approx(5 * far.error)


@pytest.mark.parametrize(
    ("first", "second", "length", "message"),
    [
        ((10, 10), (10, 10), 50, "too near to each other"),
        ((10, 10), (10.5, 10), 50, "at least a tenth of the picture apart"),
        ((10, 10), (60, 10), 0, "a length above 0 mm; got 0"),
        ((10, 10), (60, 10), -5, "a length above 0 mm; got -5"),
        ((10, 10), (60, 10), NAN, "a length above 0 mm; got nan"),
        ((10, 10), (60, 10), math.inf, "a length above 0 mm; got inf"),
        ((NAN, 10), (60, 10), 50, r"0 to 100 percent each way; got \(nan, 10\)"),
        ((10, 10), (60, 101), 50, r"got \(60, 101\)"),
        ((-1, 10), (60, 10), 50, r"got \(-1, 10\)"),
    ],
)
def test_taps_that_make_no_scale_are_refused(first, second, length, message):
    with pytest.raises(InputError, match=message) as refused:
        Scale.from_taps(first, second, length, SIZE)
    assert refused.value.faults[0].pointer == "/scale"


@pytest.mark.parametrize("width", [0, -1, NAN, math.inf])
def test_a_width_that_is_none_is_refused(width):
    with pytest.raises(InputError, match=f"a length above 0 mm; got {width}"):
        Scale.from_width(width, SIZE)


def test_a_picture_without_size_is_refused():
    with pytest.raises(InputError, match=r"at least 1 pixel each way; got \(0, 800\)"):
        Scale.from_width(100, (0, 800))


@pytest.mark.parametrize("error", [-0.1, 1, NAN])
def test_an_error_that_is_no_share_is_refused(error):
    with pytest.raises(InputError, match=f"0 up to below 1; got {error}"):
        Scale(100, 100, error)


@pytest.mark.parametrize(("width", "height"), [(0, 100), (100, -1), (NAN, 100)])
def test_a_size_that_is_none_is_refused(width, height):
    with pytest.raises(InputError, match="a length above 0 mm"):
        Scale(width, height)
