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
FOOT_SHARE, BLOCK_BEYOND_MM = 0.6, 9.0
"""Of a bridge that stands free: how deep its feet are, of its depth, and how far the block between
them reaches beyond the outer strings; common practice, no source."""
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
    """The bridge as a closed run of points, where it is on the top."""
    return on_top(preset, bridge_shape(preset))


def bridge_shape(preset: Preset) -> list[Point]:
    """The bridge as a closed run of points, square to the centre line.

    A bar; straight in front with a swelling back; or, where it stands free, a block under the
    strings that narrows to a foot at either end.
    """
    bridge = preset.bridge
    half, front = bridge.width_mm / 2, bridge_front_y(preset)
    low = front + bridge.depth_mm
    if bridge.hold == "tailpiece":
        block, middle = free_block_mm(preset), (front + low) / 2
        radius = bridge.depth_mm * FOOT_SHARE / 2
        end, upper = half - radius, middle - radius
        foot, pull = (block + end) / 2, 0.55 * radius  # of a quarter of a circle
        bend = (foot - block) / 2
        flank = ((block, front), (block + bend, front), (foot - bend, upper), (foot, upper))
        round_ = ((end, upper), (end + pull, upper), (half, middle - pull), (half, middle))
        over = [*sampled([flank]), *sampled([round_])]
        right = [*over, *((x, front + low - y) for x, y in over[-2::-1])]
    elif bridge.shape != "belly":
        right = [(half, front), (half, low)]
    else:
        wing, swell, turn = low - SWELL_MM, half * 0.28, CORNER_MM
        corner = ((half, wing - turn), (half, wing - 1), (half - 1, wing), (half - turn, wing))
        back = ((half - turn, wing), (half * 0.6, wing), (half * 0.55, low), (swell, low))
        right = [(half, front), *sampled([corner, back])]
    return [*right, *((-x, y) for x, y in reversed(right)), right[0]]


def free_block_mm(preset: Preset) -> float:
    """Half the length of the block under the strings of a bridge that stands free, mm."""
    bridge = preset.bridge
    return min(bridge.spread_mm / 2 + BLOCK_BEYOND_MM, 0.35 * bridge.width_mm)


def bridge_turn(preset: Preset) -> float:
    """By how much the bridge is turned about its saddle's middle: clockwise on paper, radians.

    A saddle that two scales end in runs aslant, and the bridge along with it. That its two ends are
    compensated apart turns the saddle in the bridge.
    """
    return math.atan(lean(preset, math.inf))


def on_top(preset: Preset, points: Sequence[Point], *, back: bool = False) -> list[Point]:
    """Points of a bridge that is square to the centre line, turned with it; or `back` again."""
    turn, middle = bridge_turn(preset), saddle_y(preset)
    if not turn:
        return list(points)
    cos, sin = math.cos(turn), math.sin(-turn if back else turn)
    return [
        (x * cos - (y - middle) * sin, middle + x * sin + (y - middle) * cos) for x, y in points
    ]


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


def front_on_centre_y(preset: Preset) -> float:
    """Where the front edge of the bridge as it is on the top crosses the centre line, mm."""
    before = preset.bridge.depth_mm * SADDLE_SHARE
    return saddle_y(preset) - before / math.cos(bridge_turn(preset))


def bridge_front_y(preset: Preset) -> float:
    """The y of the bridge's front edge, mm, as long as it is square to the centre line."""
    return saddle_y(preset) - preset.bridge.depth_mm * SADDLE_SHARE


def behind_saddle_mm(preset: Preset) -> float:
    """How far behind the saddle's middle a bridge reaches that does not swell, mm."""
    return preset.bridge.depth_mm * (1 - SADDLE_SHARE)


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
