"""The observer of shapes against that of lines, and against the observer worked out in space.

Formulae: Burgess (1994), J. Opt. Soc. Am. A 11, 1237-1242; Myers and Barrett (1987), ibid. 4,
2447-2457 (from memory); Zhang and Wandell (1996), SID Symposium Digest 27, 731-734.
"""

from __future__ import annotations

import numpy as np
import pytest

from brief.colour import xyz_to_lab
from brief.colour.spaces import lab_to_xyz
from brief.colour.verdicts.step_back import step_back, step_back_from_shape
from brief.colour.viewing.conditions import BENCH
from brief.colour.viewing.distance import KERNELS, OPPONENT, arc_minutes, line_response
from brief.colour.viewing.observer import LinePiece, eye_filter, grain_about_line
from brief.colour.viewing.shape import (
    SUMMED_MM,
    Shape,
    ShapePatch,
    beside_shape,
    grain_about_shape,
    shape_response,
)
from brief.errors import ColourInputError

MM = 1 / 3
WOOD, INLAY = np.array([45.0, 14, 24]), np.array([60.0, 10, 20])  # invented
AWAY = np.array([0.5, 1.0, 2.0])


def bar(long_mm: float, wide_mm: float) -> Shape:
    cover = np.ones((round(wide_mm / MM), round(long_mm / MM)))
    return Shape(cover, MM, 2 * long_mm)


def disc(across_mm: float) -> Shape:
    at = (np.arange(round(across_mm / MM)) + 0.5) * MM - across_mm / 2
    inside = np.hypot(at[:, None], at) <= across_mm / 2
    return Shape(inside.astype(float), MM, np.pi * across_mm)


def wood(streak_mm: float, seed: int = 3) -> ShapePatch:
    """60 x 40 mm, whose streaks of lightness run from side to side for about so long."""
    rng = np.random.default_rng(seed)
    white = rng.normal(0, 1, (120, 180))
    f = np.hypot(np.fft.fftfreq(120, MM)[:, None] * 1.0, np.fft.fftfreq(180, MM) * streak_mm)
    lightness = np.fft.ifft2(np.fft.fft2(white) / (0.3 + f)).real
    lab = np.zeros((120, 180, 3))
    lab[..., 0] = 2 * (lightness - lightness.mean()) / lightness.std()
    return ShapePatch(lab, MM)


def rows(patch: ShapePatch) -> LinePiece:
    """The same wood as a line meets it."""
    strips = patch.lab.reshape(120, 4, 45, 3).mean(axis=2)
    return LinePiece(np.moveaxis(strips, 1, 0), MM)


@pytest.mark.parametrize("wide_mm", [1.0, 2.0])
def test_a_long_bar_keeps_what_a_line_keeps(wide_mm):
    known = line_response(wide_mm, AWAY)
    assert shape_response(bar(120, wide_mm), AWAY) == pytest.approx(known, abs=0.02)


def test_a_dot_keeps_what_the_kernels_leave_of_a_disc():
    """In its middle, of a kernel exp(-r² / s²) / (π s²): 1 - exp(-R² / s²), in closed form."""
    across = 6.0
    radius = arc_minutes(across / 2, AWAY)[:, None] / 60
    for channel, kernels in enumerate(KERNELS):
        whole = sum(weight for weight, _ in kernels)
        known = sum(w / whole * (1 - np.exp(-((radius / s) ** 2))) for w, s in kernels)
        kept = shape_response(disc(across), AWAY)[:, channel]
        assert kept == pytest.approx(known[:, 0], abs=0.02)


@pytest.mark.parametrize("streak_mm", [1.0, 6.0])
@pytest.mark.parametrize("wide_mm", [1.0, 2.0])
def test_a_bar_of_the_length_that_the_eye_sums_is_troubled_as_a_line_is(streak_mm, wide_mm):
    """Another sum, of waves of the plane and not of rows: as near as one piece of wood lets it."""
    patch = wood(streak_mm)
    line = grain_about_line(rows(patch), WOOD, INLAY, wide_mm, AWAY)
    for long_mm in (SUMMED_MM, 60.0):
        found = grain_about_shape(bar(long_mm, wide_mm), patch, WOOD, INLAY, AWAY)
        assert found == pytest.approx(line, rel=0.35)


def test_streaks_trouble_what_runs_with_them_most():
    patch = wood(8.0)
    along, across = bar(SUMMED_MM, 1.0), Shape(np.ones((45, 3)), MM, 2 * SUMMED_MM)
    found = [grain_about_shape(one, patch, WOOD, INLAY, AWAY) for one in (along, across)]
    assert (found[0] > 1.5 * found[1]).all()
    turned = ShapePatch(np.rot90(patch.lab), MM)
    again = grain_about_shape(along, turned, WOOD, INLAY, AWAY)
    assert again == pytest.approx(found[1], rel=0.3)


def test_template_by_hand():
    """The waves are those of a template laid over the wood one place after the other, in space.

    About a middle grey, where CIEDE2000 is the length of (L, 1.5 a, b) for small steps; lightness
    alone, so that one channel would do; far from the edges of a wide field.
    """
    away, shape = 1.0, disc(5.0)
    patch = ShapePatch(wood(2.0).lab * 0.5, MM)
    ground, inlay = np.array([50.0, 0, 0]), np.array([56.0, 0, 0])
    lit = lab_to_xyz(ground + patch.lab) @ OPPONENT.T
    mean = lab_to_xyz(ground + beside_shape(shape, patch)) @ OPPONENT.T
    found = float(grain_about_shape(shape, patch, ground, inlay, [away])[0])

    def step(values):
        back = np.linalg.inv(OPPONENT).T
        slopes = [
            (xyz_to_lab((mean + e) @ back) - xyz_to_lab((mean - e) @ back)) / 2e-5
            for e in 1e-5 * np.eye(3)
        ]
        return values @ np.array(slopes) * [1, 1.5, 1]

    size = 1024
    px_per_degree = 60 / float(arc_minutes(MM, away))
    f = np.hypot(*np.meshgrid(*[np.fft.fftfreq(size) * px_per_degree] * 2))
    seen = np.stack(
        [
            sum(
                weight / sum(one for one, _ in kernels) * np.exp(-((np.pi * f * s) ** 2))
                for weight, s in kernels
            )
            for kernels in KERNELS
        ]
    )

    def blurred(plane, times):
        waves = np.fft.fft2(plane, axes=(0, 1), s=(size, size))
        return np.fft.ifft2(waves * np.moveaxis(times, 0, -1), axes=(0, 1)).real

    gap = lab_to_xyz(inlay) @ OPPONENT.T - mean
    drawn = np.zeros((size, size, 3))
    high, wide = shape.cover.shape
    drawn[:high, :wide] = shape.cover[..., None] * gap
    signal = step(blurred(drawn, seen))
    template = step(blurred(drawn, seen * eye_filter(f) ** 2))
    given = (signal * template).sum()
    # The wood, weighed as near to the shape; what the template says of it wherever it is laid.
    offs = [
        np.maximum(np.abs(np.arange(n) + 0.5 - n / 2) - side / 2, 0) * MM / 12
        for n, side in zip((120, 180), shape.cover.shape, strict=True)
    ]
    weights = np.exp(-(offs[0][:, None] ** 2 + offs[1] ** 2) / 2)
    weights /= weights.mean()
    field = np.zeros((size, size, 3))
    field[:120, :180] = (lit - np.average(lit, axis=(0, 1), weights=weights)) * np.sqrt(weights)[
        ..., None
    ]
    bare = step(blurred(field, seen))
    said = np.fft.ifft2(
        (np.conj(np.fft.fft2(template, axes=(0, 1))) * np.fft.fft2(bare, axes=(0, 1))).sum(axis=-1)
    ).real
    strays = np.sqrt((said**2).sum() / weights.size)
    height = np.linalg.norm(step(shape_response(shape, [away])[0] * gap))
    assert found == pytest.approx(height * strays / given, rel=0.03)


def test_a_dot_is_harder_to_see_than_a_line_as_wide():
    """As the method page says: what it is told from is more, on the same wood."""
    patch = wood(2.0)
    line = step_back(WOOD, WOOD + np.array([3, 0, 0]), BENCH, AWAY, line_mm=2.0, piece=rows(patch))
    dot = step_back_from_shape(
        WOOD, WOOD + np.array([3, 0, 0]), BENCH, AWAY, shape=disc(2.0), patch=patch
    )
    order = ("sinks", "doubtful", "reads")
    pairs = list(zip(line.readings, dot.readings, strict=True))
    assert all(order.index(one) >= order.index(other) for one, other in pairs)
    assert any(one != other for one, other in pairs)


def test_nothing_is_told_of_a_shape_of_the_colour_of_its_wood():
    patch = wood(2.0)
    for given in (patch, None):
        steps = step_back_from_shape(WOOD, WOOD, BENCH, AWAY, shape=disc(8.0), patch=given)
        assert set(steps.readings) == {"sinks"}
    bold = step_back_from_shape(WOOD, [90, 0, 5], BENCH, AWAY, shape=disc(8.0), patch=patch)
    assert set(bold.readings) == {"reads"}


@pytest.mark.parametrize(
    ("cover", "mm", "edge"),
    [
        (np.zeros((3, 3)), MM, 4.0),
        (np.ones((3, 3, 3)), MM, 4.0),
        (np.full((3, 3), np.nan), MM, 4.0),
        (np.ones((3, 3)), 0.0, 4.0),
        (np.ones((3, 3)), MM, 0.0),
    ],
)
def test_what_is_no_shape_is_refused(cover, mm, edge):
    with pytest.raises(ColourInputError, match=r"shape|mm_per_px"):
        Shape(cover, mm, edge)


def test_another_scale_and_no_distance_are_refused():
    with pytest.raises(ColourInputError, match="one scale"):
        grain_about_shape(disc(4.0), ShapePatch(np.zeros((9, 9, 3)), 0.5), WOOD, INLAY, AWAY)
    with pytest.raises(ColourInputError, match="grows"):
        step_back_from_shape(WOOD, INLAY, BENCH, [2.0, 1.0], shape=disc(4.0))
    with pytest.raises(ColourInputError, match="above 0"):
        shape_response(disc(4.0), [0.0])
