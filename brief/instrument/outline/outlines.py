"""The outlines of body, head and bridge as runs of points, and what is measured on them.

Millimetres; the neck joint at the origin, x to the treble side, y down towards the tail.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np

from brief.instrument.curve import Point, Segment, mirrored, smooth
from brief.instrument.frets.fret_lines import lean
from brief.instrument.outline.cutaway import cut_half
from brief.instrument.outline.fair import fair_half, other_half
from brief.instrument.presets import Preset

NUT_MM = 5.0  # how thick a nut is: common practice, no source
LEANING_MM = 40.0  # from a nut that leans, the head is square again
SWELL_MM, CORNER_MM = 6.5, 3.0  # of a bridge that swells behind: common practice, no source
SADDLE_BEYOND_MM = 6.0  # the outer strings, at either end: common practice, no source
SADDLE_SHARE = 0.36  # of the bridge's depth lies before the saddle: common practice, no source
STEPS = 16  # chords to a curved piece; they miss the curve by under 0.02 mm


def body_outline(preset: Preset) -> list[Point]:
    """The body as a closed run of points, the first given once more at the end."""
    return sampled(body_segments(preset))


@lru_cache(maxsize=64)
def body_segments(preset: Preset) -> tuple[Segment, ...]:
    """The body's outline from the joint down the treble side, and up the bass side back to it.

    Raises
    ------
    InputError
        Where a cutaway does not fit.
    """
    treble, bass = halves_of_body(preset)
    if preset.cutaway_depth_mm:
        return (*cut_half(preset, treble).segments, *bass)
    return (*treble, *bass)


def treble_outline(preset: Preset, *, plain: bool = False) -> list[Point]:
    """The treble half from the joint to the tail, with its cutaway, or `plain` without one."""
    treble, bass = halves_of_body(preset)
    return sampled(treble if plain else body_segments(preset)[: -len(bass)])


def halves_of_body(preset: Preset) -> tuple[tuple[Segment, ...], tuple[Segment, ...]]:
    """The treble side from joint to tail, without a cutaway, and the bass side back."""
    half = fair_half(preset.outline)
    return half, other_half(half)


@lru_cache(maxsize=64)
def side_lengths_mm(preset: Preset) -> tuple[tuple[str, float], ...]:
    """Each side to be bent, and its length along the body: two alike, unless there is a cutaway.

    The sides beside a pointed one meet in its point.
    """
    treble, bass = halves_of_body(preset)
    plain = length_of(sampled(bass))
    if not preset.cutaway_depth_mm:
        return ("", plain), ("", plain)
    cut = cut_half(preset, treble)
    if cut.point is None:
        return ("bass", plain), ("treble, with the cutaway", length_of(sampled(cut.segments)))
    return (
        ("bass", plain),
        ("treble, in the cutaway", length_of(sampled(cut.segments[: cut.point]))),
        ("treble, from the point", length_of(sampled(cut.segments[cut.point :]))),
    )


def head_outline(preset: Preset) -> list[Point]:
    """The head as a closed run of points from the nut's treble end round and back."""
    base = preset.nut_y - NUT_MM
    crest = mirrored([(half, base - distance) for distance, half in preset.head.crest])
    treble, bass = head_sides(preset)
    right, top, left = sampled(smooth(treble)), sampled(smooth(crest)), sampled(smooth(bass))
    return [*right, *top[1:], *left[::-1][1:], right[0]]


def head_sides(preset: Preset) -> tuple[list[Point], list[Point]]:
    """The stations of the head's sides, treble and bass, from the nut up.

    They begin at the ends of a nut that leans.
    """
    base, leaning = preset.nut_y - NUT_MM, lean(preset, 0)
    treble, bass = [], []
    for distance, half in preset.head.outline:
        off = leaning * half * max(0.0, 1 - distance / LEANING_MM)
        treble.append((half, base - distance + off))
        bass.append((-half, base - distance - off))
    return treble, bass


def bridge_outline(preset: Preset) -> list[Point]:
    """The bridge as a closed run of points: a bar, or straight in front with a swelling back."""
    bridge = preset.bridge
    half, front = bridge.width_mm / 2, bridge_front_y(preset)
    low = front + bridge.depth_mm
    if bridge.shape != "belly":
        corners = [(-half, front), (half, front), (half, low), (-half, low), (-half, front)]
        return leant(preset, corners)
    wing, swell, turn = low - SWELL_MM, half * 0.28, CORNER_MM
    corner = ((half, wing - turn), (half, wing - 1), (half - 1, wing), (half - turn, wing))
    back = ((half - turn, wing), (half * 0.6, wing), (half * 0.55, low), (swell, low))
    right = [(half, front), *sampled([corner, back])]
    return leant(preset, [*right, *((-x, y) for x, y in reversed(right)), right[0]])


def leant(preset: Preset, points: Sequence[Point]) -> list[Point]:
    """Points of the bridge, which leans as a saddle does that two scales end in."""
    leaning = lean(preset, math.inf)
    return [(x, y + leaning * x) for x, y in points] if leaning else list(points)


def saddle_y(preset: Preset, x: float = 0.0) -> float:
    """The y of the saddle's middle at a distance `x` from the centre line, mm.

    The scale's length from the nut, and beyond it the compensation for the strings' stretch, which
    runs straight from the outer string at the bass to that at the treble.
    """
    bridge = preset.bridge
    share = 0.5 - x / bridge.spread_mm
    return (
        preset.nut_y
        + preset.fretboard.scale_mm
        + lean(preset, math.inf) * x
        + bridge.treble_mm
        + (bridge.bass_mm - bridge.treble_mm) * share
    )


def bridge_front_y(preset: Preset) -> float:
    """The y of the bridge's front edge, mm."""
    return saddle_y(preset) - preset.bridge.depth_mm * SADDLE_SHARE


def sampled(segments: Sequence[Segment]) -> list[Point]:
    """Points along Bezier segments that follow on each other, both ends included."""
    t = np.arange(1, STEPS + 1) / STEPS
    weights = np.stack([(1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3], axis=1)
    # One step after the other of one segment after the other; floats of Python's own.
    after = (weights @ np.array(segments, dtype=float)).reshape(-1, 2)
    return [segments[0][0], *zip(*after.T.tolist(), strict=True)]


def length_of(run: Sequence[Point]) -> float:
    """Length of a run of points, in their unit."""
    return sum(math.dist(a, b) for a, b in pairwise(run))


def area_of(run: Sequence[Point]) -> float:
    """Of a closed run, by Gauss's area formula."""
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(run))) / 2
