"""Outlines drawn through new bouts: smooth, simple, and as wide as was asked."""

import math
import os
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.curve import tightest
from brief.instrument.model.sizes import LEAST_SHARE, MOST_SHARE
from brief.instrument.outline.bouts import (
    LEAST_BEND_MM,
    LEAST_STRETCH,
    LEAST_WAIST_MM,
    MOST_STRETCH,
    bouts,
    stretched,
)
from brief.instrument.outline.fair import closed_outline
from brief.instrument.outline.outlines import area_of, body_outline, length_of

KINDS = [kind for kind, _ in presets()]
MANY = int(os.environ.get("BRIEF_TEST_OUTLINES", "200"))
SHARE = st.floats(LEAST_SHARE, MOST_SHARE)


@st.composite
def bodies(draw):
    """A kind and bouts of it anywhere within their limits."""
    one = preset(draw(st.sampled_from(KINDS)))
    known = bouts(one.outline)
    sizes = {f"{bout.name}_mm": bout.width_mm * draw(SHARE) for bout in known}
    if len(known) == 3:
        room = min(sizes["upper_mm"], sizes["lower_mm"]) - LEAST_WAIST_MM
        sizes["waist_mm"] = min(sizes["waist_mm"], room)
    places = [0.0, *(bout.at_mm for bout in known), one.body_mm]
    at = 0.0
    for name, start, end in zip(
        [*(f"{bout.name}_at_mm" for bout in known), "body_mm"], places, places[1:], strict=False
    ):
        at += (end - start) * draw(st.floats(LEAST_STRETCH + 1e-9, MOST_STRETCH - 1e-9))
        sizes[name] = at
    return one, sizes


def radius_through(a, b, c):
    """Of the circle through three points: the product of the sides over four times the area."""
    area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2
    return (
        math.inf if area < 1e-9 else math.dist(a, b) * math.dist(b, c) * math.dist(c, a) / 4 / area
    )


@given(bodies())
@settings(max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_outline_has_a_kink_or_crosses_itself(body):
    one, sizes = body
    try:
        shape = stretched(one, sizes)
    except InputError as refused:
        assume("the side would bend" not in str(refused))
        raise
    run = body_outline(shape)
    assert LineString(run).is_simple
    assert Polygon(run).is_valid
    for a, b, c in zip(run[:-1], run[1:], [*run[2:], run[1]], strict=True):
        assert radius_through(a, b, c) > 0.8 * LEAST_BEND_MM
    segments = closed_outline(shape.outline)
    for before, after in pairwise([*segments, segments[0]]):
        arriving, leaving = (
            math.atan2(q[1] - p[1], q[0] - p[0])
            for p, q in ((before[2], before[3]), (after[0], after[1]))
        )
        assert math.dist(before[2], before[3]) > 1e-3  # a stop would be a corner
        assert math.cos(arriving - leaving) == pytest.approx(1, abs=1e-9)
    # As wide and as long as was asked, there where it was asked.
    for bout in bouts(shape.outline):
        assert bout.width_mm == pytest.approx(sizes[f"{bout.name}_mm"], abs=1e-9)
        assert bout.at_mm == pytest.approx(sizes[f"{bout.name}_at_mm"], abs=1e-9)
    _, top, widest, tail = Polygon(run).bounds
    assert (top, tail) == pytest.approx((0, sizes["body_mm"]), abs=1e-6)
    assert 2 * widest == pytest.approx(shape.width_mm, abs=1e-6)


def test_a_side_that_would_break_is_refused():
    small = {"body_mm": 226.5, "upper_mm": 126.8, "waist_mm": 106.5, "lower_mm": 169.4}
    narrow = {
        "waist_mm": 107.9,
        "upper_mm": 171.2,
        "lower_mm": 127.1,
        "upper_at_mm": 31.9,
        "waist_at_mm": 59.8,
        "lower_at_mm": 164.2,
        "body_mm": 248.2,
    }
    with pytest.raises(InputError, match=r"the side would bend to a radius of \d+ mm") as caught:
        stretched(stretched(preset("tenor-ukulele"), small), narrow)
    assert caught.value.faults[0].pointer == "/waist_mm"


def test_the_tightest_turn_of_a_circle_is_its_radius():
    quarter = 0.5522847498  # the usual cubic for a quarter of a circle, (4/3)(sqrt(2) - 1)
    arc = ((30.0, 0.0), (30.0, 30 * quarter), (30 * quarter, 30.0), (0.0, 30.0))
    assert tightest([arc])[0] == pytest.approx(30, rel=0.03)
    assert tightest([((0, 0), (1, 1), (2, 2), (3, 3))])[0] == math.inf


@pytest.mark.parametrize("kind", KINDS)
def test_area_and_length_of_an_outline_are_those_of_shapely(kind):
    run = body_outline(preset(kind))
    assert area_of(run) == pytest.approx(Polygon(run).area, rel=1e-9)
    assert length_of(run) == pytest.approx(LineString(run).length, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_twice_as_long_and_as_wide_is_four_times_the_area(kind):
    """Similar figures: areas go with the square of a length (Euclid VI.20)."""
    one = preset(kind)
    sizes = {"body_mm": one.body_mm * 1.3}
    sizes |= {f"{bout.name}_mm": bout.width_mm * 1.3 for bout in bouts(one.outline)}
    larger = stretched(one, sizes)
    assert area_of(body_outline(larger)) == pytest.approx(1.69 * area_of(body_outline(one)))
    assert larger.hole.centre_mm == pytest.approx(1.3 * one.hole.centre_mm)


def test_a_teardrop_has_a_lower_bout_alone():
    assert [bout.name for bout in bouts(preset("bouzouki").outline)] == ["lower"]
    assert bouts(preset("parlour-steel-string").outline)[1].width_mm == pytest.approx(207.8)


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"waist_mm": 260.0}, "waist_mm"),
        ({"upper_mm": 210.0}, "upper_mm"),
        ({"lower_mm": 205.0}, "lower_mm"),
    ],
)
def test_a_waist_wider_than_the_bouts_is_refused(sizes, field):
    with pytest.raises(InputError, match="the waist must be at least 6 mm narrower") as caught:
        stretched(preset("parlour-steel-string"), sizes)
    assert caught.value.faults[0].pointer == f"/{field}"


@pytest.mark.parametrize(
    ("sizes", "field", "said"),
    [
        ({"waist_at_mm": 100.0}, "waist_at_mm", "from the upper bout to the waist .* got 13 mm"),
        ({"upper_at_mm": 180.0}, "upper_at_mm", "from the neck joint to the upper bout"),
        ({"lower_at_mm": 440.0}, "lower_at_mm", "from the lower bout to the tail .* got 40 mm"),
    ],
)
def test_bouts_that_leave_no_room_are_refused(sizes, field, said):
    with pytest.raises(InputError, match=said) as caught:
        stretched(preset("parlour-steel-string"), sizes)
    assert caught.value.faults[0].pointer == f"/{field}"
