"""A cutaway on the treble side: the shoulder, a wall beside the neck, a scoop, and a horn.

Wall, scoop and horn are straight lines and arcs that run into each other, so that a side can be
bent along all of it; a pointed cutaway has one corner, at its point, where two sides meet. What
its three numbers leave open is usual: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from brief.errors import InputError
from brief.instrument.curve import Point, Segment
from brief.instrument.outline.bouts import LEAST_BEND_MM, bouts
from brief.instrument.presets import Preset

POINTED_RISE, ROUND_RISE = math.radians(20), math.radians(10)
"""How steeply the horn runs out from the scoop to its tip."""
WIDEST_SCOOP_MM = 80.0
SCOOP_SHARE = 0.72  # of what is cut away across, is the scoop's radius at the most
WIDEST_SHOULDER_MM = 30.0
CLEAR_MM = 3.0  # of top between the board's edge and the wall; our working figure
DEPTH, LENGTH, ROUND = "cutaway_depth_mm", "cutaway_length_mm", "cutaway_round_mm"


@dataclass(frozen=True)
class CutHalf:
    """The treble half of a body with a cutaway, from the neck joint to the tail.

    `segments` are all of it; `point`, of a pointed one, is how many of them come before its point.
    """

    segments: tuple[Segment, ...]
    point: int | None


def cut_half(preset: Preset, half: Sequence[Segment]) -> CutHalf:
    """The treble half with the preset's cutaway, which must be deeper than 0.

    Parameters
    ----------
    preset : Preset
    half : sequence of Segment
        The same without it.

    Raises
    ------
    InputError
        At the number that leaves no room for it.
    """
    side = _Side(half)
    depth, long, horn = (getattr(preset, name) for name in (DEPTH, LENGTH, ROUND))
    if 0 < horn < LEAST_BEND_MM:
        raise InputError.at(
            ROUND,
            f"a horn is rounded to {LEAST_BEND_MM:g} mm or more, or a side cannot be bent round "
            f"it; got {horn:g} mm. Give more, or 0 for a pointed one.",
        )
    known = bouts(preset.outline)
    widest = known[0].width_mm / 2 if len(known) > 1 else side.at_height(long)[1]
    wall = widest - depth
    beside = preset.fretboard.width_mm(long - preset.nut_y) / 2 + CLEAR_MM
    if wall < beside + LEAST_BEND_MM:
        most = max(0.0, widest - beside - LEAST_BEND_MM)
        raise InputError.at(
            DEPTH,
            f"a cutaway of {depth:g} mm would run into the neck: there are only {widest:.0f} mm "
            f"from the centre line to the side. Make it at most {most:.0f} mm.",
        )
    lowest = known[1].at_mm if len(known) > 1 else known[0].at_mm
    turn = min(wall - beside, WIDEST_SHOULDER_MM)
    shoulder, middle = _shoulder(side, wall, turn)
    outer, beyond = side.at_height(long)
    room = (long - middle[1]) * 0.95
    scoop = min(SCOOP_SHARE * (beyond - wall), room, WIDEST_SCOOP_MM)
    rise = ROUND_RISE if horn else POINTED_RISE
    tip = None
    while scoop >= LEAST_BEND_MM and tip is None:
        low = (wall + scoop * (1 + math.sin(rise)), long - scoop * (1 - math.cos(rise)))
        tip = _horn(side, low, rise, horn, outer)
        scoop *= 1 if tip else 0.95
    if tip is None:
        short = room < LEAST_BEND_MM
        raise InputError.at(
            LENGTH if short else DEPTH,
            f"a cutaway {depth:g} mm deep and {long:g} mm long leaves no room for a scoop that a "
            f"side can be bent into, a radius of {LEAST_BEND_MM:g} mm. Make it "
            f"{'longer' if short else 'deeper, or its horn less round'}.",
        )
    heart = (wall + scoop, long - scoop)
    foot, centre, leaves = tip
    pieces = [
        *side.before(shoulder),
        *_arc(middle, turn, _angle(middle, side.point(shoulder)), 0.0),
        _straight((wall, middle[1]), (wall, heart[1])),
        *_arc(heart, scoop, math.pi, math.pi / 2 - rise),
        _straight(low, leaves),
    ]
    point = None if horn else len(pieces)
    if horn:
        pieces += _arc(centre, horn, _angle(centre, leaves), _angle(centre, side.point(foot)))
    if side.point(foot)[1] > lowest:
        raise InputError.at(
            LENGTH,
            f"the horn of a cutaway {long:g} mm long would end beyond "
            f"{'the waist' if len(known) > 1 else 'the widest place'}, {lowest:.0f} mm from the "
            "neck. Make it shorter.",
        )
    return CutHalf((*pieces, *side.after(foot)), point)


class _Side:
    """The treble half without a cutaway, as one curve; places on it are numbers from 0 up."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self.segments = segments

    def point(self, place: float) -> Point:
        (x, y), _ = self._there(place)
        return x, y

    def inward(self, place: float, by: float) -> Point:
        """The point that lies `by` to the inside of a place, square to the side."""
        (x, y), (dx, dy) = self._there(place)
        long = math.hypot(dx, dy)
        return x - dy / long * by, y + dx / long * by

    def at_height(self, y: float) -> tuple[float, float]:
        """The place at that distance from the joint, and half the width there."""
        place = _found(lambda u: self.point(u)[1] - y, 0.0, float(len(self.segments)))
        return place, self.point(place)[0]

    def before(self, place: float) -> list[Segment]:
        i, t = self._split(place)
        return [*self.segments[:i], _halves(self.segments[i], t)[0]]

    def after(self, place: float) -> list[Segment]:
        i, t = self._split(place)
        return [_halves(self.segments[i], t)[1], *self.segments[i + 1 :]]

    def _split(self, place: float) -> tuple[int, float]:
        i = min(int(place), len(self.segments) - 1)
        return i, place - i

    def _there(self, place: float) -> tuple[Point, Point]:
        """The point and the direction of the curve at a place."""
        i, t = self._split(place)
        p, q, r, s = self.segments[i]
        u = 1 - t
        point, along = (
            [
                u**3 * a + 3 * u * u * t * b + 3 * u * t * t * c + t**3 * d
                for a, b, c, d in zip(p, q, r, s, strict=True)
            ],
            [
                3 * (u * u * (b - a) + 2 * u * t * (c - b) + t * t * (d - c))
                for a, b, c, d in zip(p, q, r, s, strict=True)
            ],
        )
        return (point[0], point[1]), (along[0], along[1])


def _shoulder(side: _Side, wall: float, turn: float) -> tuple[float, Point]:
    """Where the shoulder begins to turn into the wall by a radius of `turn`.

    And the middle of the arc that it turns along.
    """
    place = _found(lambda u: side.inward(u, turn)[0] - (wall - turn), 0.0, _outermost(side))
    return place, side.inward(place, turn)


def _outermost(side: _Side) -> float:
    """The first place where the side grows no wider."""
    places = [i / 8 for i in range(8 * len(side.segments) + 1)]
    for place, further in pairwise(places):
        if side.point(further)[0] <= side.point(place)[0]:
            return place
    return places[-1]


def _horn(
    side: _Side, low: Point, rise: float, radius: float, outer: float
) -> tuple[float, Point, Point] | None:
    """The place on the side that a tip of that radius runs into, and the middle of its arc.

    And where the line that runs out from `low` begins to turn; None where it would begin before
    that.
    """
    along, below = (math.cos(rise), -math.sin(rise)), (math.sin(rise), math.cos(rise))

    def under(place: float) -> float:
        """How far an arc that touches the side there lies below that line."""
        x, y = side.inward(place, radius)
        return (x - low[0]) * below[0] + (y - low[1]) * below[1] - radius

    # A little round the bend of the horn; farther on the side leads away from the line again.
    place = _found(under, 0.0, min(float(len(side.segments)), outer + 4))
    x, y = side.inward(place, radius)
    run = (x - low[0]) * along[0] + (y - low[1]) * along[1]
    if run < 0 or abs(under(place)) > 1e-6:
        return None
    return place, (x, y), (low[0] + along[0] * run, low[1] + along[1] * run)


def _found(of: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that grows from below 0 to above it is 0, by halving."""
    for _ in range(60):
        middle = (low + high) / 2
        if of(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _angle(middle: Point, point: Point) -> float:
    return math.atan2(point[1] - middle[1], point[0] - middle[0])


def _straight(start: Point, end: Point) -> Segment:
    one, other = (
        (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
        for share in (1 / 3, 2 / 3)
    )
    return start, one, other, end


def _arc(middle: Point, radius: float, start: float, end: float) -> list[Segment]:
    """An arc from one angle to another, in pieces of a quarter at the most.

    They miss a circle by less than 3 in 10 000 of its radius (the usual cubic).
    """
    count = max(1, math.ceil(abs(end - start) / (math.pi / 2)))
    step = (end - start) / count
    reach = 4 / 3 * math.tan(step / 4) * radius
    pieces = []
    for i in range(count):
        one, other = start + i * step, start + (i + 1) * step
        a, b = (
            (middle[0] + radius * math.cos(turn), middle[1] + radius * math.sin(turn))
            for turn in (one, other)
        )
        pieces.append(
            (
                a,
                (a[0] - reach * math.sin(one), a[1] + reach * math.cos(one)),
                (b[0] + reach * math.sin(other), b[1] - reach * math.cos(other)),
                b,
            )
        )
    return pieces


def _halves(segment: Segment, t: float) -> tuple[Segment, Segment]:
    """A piece parted in two (de Casteljau)."""

    def between(a: Point, b: Point) -> Point:
        return a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t

    p, q, r, s = segment
    pq, qr, rs = between(p, q), between(q, r), between(r, s)
    one, other = between(pq, qr), between(qr, rs)
    middle = between(one, other)
    return (p, pq, one, middle), (middle, other, rs, s)
