"""Fair outlines: how often they turn, how their curvature runs on, and how large they are."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import BPoly

from brief.instrument import preset, presets
from brief.instrument.outline.bouts import bouts, stretched
from brief.instrument.outline.fair import bends, closed_outline, fair_half
from brief.instrument.outline.outlines import area_of, body_outline

KINDS = [kind for kind, _ in presets()]
STRAIGHT = 1 / 5000  # 1/mm: flatter than this is neither hollow nor round


def turns_of(values):
    """How often a run of numbers changes its sign."""
    return int((np.diff(np.sign(values)) != 0).sum())


def inflections(half):
    curvature = np.array([bend.curvature for bend in bends(half, 32)])
    return turns_of(curvature[np.abs(curvature) > STRAIGHT])


def extrema(half):
    curvature = np.array([bend.curvature for bend in bends(half, 32)])
    return turns_of(np.diff(curvature))


@pytest.mark.parametrize("kind", KINDS)
def test_a_half_turns_twice_at_its_waist_and_has_few_extrema_of_curvature(kind):
    half = fair_half(preset(kind).outline)
    assert inflections(half) == (0 if kind == "bouzouki" else 2)
    assert extrema(half) <= 8


@pytest.mark.parametrize("kind", KINDS)
def test_curvature_runs_on_without_a_jump_across_joints_and_the_centre_line(kind):
    """By scipy's Bernstein polynomials and their derivatives, another library than draws it."""
    around = closed_outline(preset(kind).outline)

    def curvature(segment, t):
        curve = BPoly(np.array(segment)[:, None, :], [0, 1])
        (dx, dy), (ax, ay) = curve(t, 1), curve(t, 2)
        return (dx * ay - dy * ax) / math.hypot(dx, dy) ** 3

    for before, after in pairwise([*around, around[0]]):
        assert before[3] == pytest.approx(after[0], abs=1e-9)
        assert curvature(before, 1) == pytest.approx(curvature(after, 0), abs=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_sizes_are_exactly_those_that_the_preset_states(kind):
    one = preset(kind)
    points = np.array([bend.point for bend in bends(fair_half(one.outline), 32)])
    for bout in bouts(one.outline):
        near = points[np.abs(points[:, 1] - bout.at_mm) < 30, 0]
        widest = near.min() if bout.name == "waist" else near.max()
        assert 2 * widest == pytest.approx(bout.width_mm, abs=1e-9)
    assert points[:, 1].min() == pytest.approx(0, abs=1e-9)
    assert points[:, 1].max() == pytest.approx(one.body_mm, abs=1e-9)


@given(
    st.sampled_from(KINDS),
    *[st.floats(0.85, 1.2)] * 3,
)
@settings(max_examples=40, deadline=None)
def test_with_other_numbers_it_is_nearly_as_fair(kind, wide, long, upper):
    one = preset(kind)
    sizes = {"body_mm": one.body_mm * long}
    sizes |= {f"{bout.name}_mm": bout.width_mm * wide for bout in bouts(one.outline)}
    if "upper_mm" in sizes:
        sizes["upper_mm"] *= max(upper, 0.95)
    half = fair_half(stretched(one, sizes).outline)
    assert inflections(half) == (0 if kind == "bouzouki" else 2)
    assert extrema(half) <= 10  # at the joints of the widest bodies there are small ones


def test_a_round_body_comes_near_to_an_ellipse():
    """Curvature at the ends of an ellipse's axes is a/b^2 and b/a^2 (analytic geometry)."""
    a, b = 160.0, 200.0
    angles = np.linspace(0, math.pi, 33)
    outline = tuple((b - b * math.cos(turn), a * math.sin(turn)) for turn in angles)
    outline = ((0.0, 0.0), *outline[1:-1], (2 * b, 0.0))
    found = bends(fair_half(outline))
    assert found[0].curvature == pytest.approx(b / a**2, rel=0.01)
    middle = min(found, key=lambda bend: abs(bend.point[1] - b))
    assert middle.curvature == pytest.approx(a / b**2, rel=0.01)


def test_how_far_along_is_the_length_of_the_curve():
    half = fair_half(preset("classical").outline)

    def speed(t, segment):
        return math.hypot(*BPoly(np.array(segment)[:, None, :], [0, 1])(t, 1))

    whole = sum(quad(speed, 0, 1, args=(segment,))[0] for segment in half)
    assert bends(half, 32)[-1].at_mm == pytest.approx(whole, rel=1e-5)


@pytest.mark.parametrize(
    ("kind", "before_mm2"),
    [
        ("auditorium-steel-string", 145_367),
        ("classical", 138_163),
        ("parlour-steel-string", 120_734),
        ("tenor-ukulele", 52_206),
        ("bouzouki", 108_515),
    ],
)
def test_the_area_is_within_three_in_a_hundred_of_the_outline_before_it_was_faired(
    kind, before_mm2
):
    """What it was through 23 stations, up to commit 021255d."""
    assert area_of(body_outline(preset(kind))) == pytest.approx(before_mm2, rel=0.03)
