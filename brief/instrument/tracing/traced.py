"""A body's outline out of a run of points that was drawn or photographed: its stations.

The line that it is symmetric about is found by turning and moving it until the mirror image lies
on the outline; the two halves are averaged, faired within what they are known to wobble, and
stations are set until the curve through them misses the average by less than they do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from brief.errors import InputError
from brief.instrument.model.own_outline import LEAST_MM, MOST_MM
from brief.instrument.outline.bouts import LEAST_WAIST_MM
from brief.instrument.outline.evened import bumps, evened
from brief.instrument.outline.fair import closed_outline, fair_half
from brief.instrument.outline.outlines import sampled
from brief.instrument.presets import Stations
from brief.instrument.tracing.symmetry import (
    DENSE,
    Axis,
    Half,
    Run,
    apart,
    distances,
    evenly,
    halves_of,
    straight_edge,
)

FEWEST, SAMPLED = 20, 900
MOST_STATIONS = 64
# Of the length: more is a body of another shape, not a mould's own error; our working figure.
MOST_ASYMMETRY = 0.02
HOLLOW_MM = 0.3  # a dip at neck or tail that is worth a word
ALLOWED = 3.0  # times the wobble, by which a fair curve may leave what was found
EVENLY = 36  # of the points that are sampled lie between two stations: some thirty millimetres
# A mould's halves differ by its own wobble, but also by a lean that is no wobble: no more than this
# is smoothed away because of it, our working figure.
MOST_WOBBLE_MM = 0.15


Halves = Literal["both", "left", "right"]


@dataclass(frozen=True)
class Traced:
    """The outline found in a run of points; lengths in millimetres.

    Attributes
    ----------
    stations
        As a preset has them.
    off_mm, off_at_mm, usually_off_mm
        How far the curve through them is from the average of the halves, at the most, how far from
        the neck joint that is, and as a root
        mean square.
    asymmetry_mm
        How far the halves are from each other at the most; 0 if one was given.
    half
        Whether only one counts.
    axis
        Neck joint and tail where the points have them.
    notes
        In words.
    """

    stations: Stations
    off_mm: float
    off_at_mm: float
    usually_off_mm: float
    asymmetry_mm: float
    half: bool
    axis: Axis
    notes: tuple[str, ...]

    @property
    def body_mm(self) -> float:
        """Length of the body from neck joint to tail."""
        return self.stations[-1][0]

    def laid_back(self) -> Run:
        """The curve through the stations, closed, laid where the points were."""
        around = sampled(closed_outline(self.stations))
        (x, y), (x_2, y_2) = self.axis
        long = math.hypot(x_2 - x, y_2 - y)
        along, across = np.array([x_2 - x, y_2 - y]) / long, np.array([y - y_2, x_2 - x]) / long
        run = np.array(around)
        return np.array([x, y]) + run[:, :1] * across + run[:, 1:] * along

    def smoothed(self, run: Run, count: int, larger: float) -> Run:
        """What fairing took away: hairs from the curve towards the points, drawn so much larger.

        Parameters
        ----------
        run : ndarray, shape (n, 2)
            The points that it was traced from.
        count : int
        larger : float

        Returns
        -------
        ndarray, shape (m, 2, 2)
            Where each hair begins and ends; m is `count` or less, for there is none where the
            points do not count.
        """
        from scipy.spatial import cKDTree

        feet = evenly(self.laid_back(), count + 1)[:-1]
        points = evenly(np.vstack([run, run[:1]]), DENSE)
        far, nearest = cKDTree(points).query(feet)
        near = far <= max(1.5 * self.off_mm, 0.5 * self.asymmetry_mm if not self.half else 0.0)
        ends = feet + larger * (points[nearest] - feet)
        return np.stack([feet[near], ends[near]], axis=1)


def trace(
    points: Run, *, waver_mm: float = 0.02, turned: bool = False, halves: Halves = "both"
) -> Traced:
    """Stations of the body that these points go round, or of the half that they show.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        mm, in order, closed or, for a half, open with both ends on the centre line. A half may also
        be closed by a straight edge.
    waver_mm : float
        How far a point may be from where it should be.
    turned : bool
        Take the other end than the narrower one for the neck's.
    halves : "both", "left" or "right"
        Which of them count, with the neck up; of a body with a cutaway, the one without it.

    Returns
    -------
    Traced

    Raises
    ------
    InputError
        For fewer than 20 points, a body shorter than 100 or longer than 1200 mm, one that is not
        symmetric, that turns back on itself, or that does not have one or three places where it is
        widest or narrowest.
    """
    run = np.asarray(points, dtype=np.float64)
    run = run[np.r_[True, np.hypot(*np.diff(run, axis=0).T) > 1e-9]] if len(run) else run
    if len(run) < FEWEST:
        raise InputError(
            f"An outline takes at least {FEWEST} points; got {len(run)}. Draw it as a curve."
        )
    extent = float(np.ptp(run, axis=0).max())
    closed = math.dist(run[0], run[-1]) < 0.05 * extent
    edge = straight_edge(run, extent) if closed else (run[0], run[-1])
    sides = halves_of(run, edge, closed=closed, waver_mm=waver_mm, turned=turned)
    length = max(float(side.run[:, 1].max()) for side in sides)
    if not LEAST_MM <= length <= MOST_MM:
        raise InputError(
            f"This body is {length:.0f} mm long; {LEAST_MM:.0f} to {MOST_MM:.0f} mm can be drawn. "
            "Say how long it really is."
        )
    asymmetry = apart(sides[0].run, sides[1].run) if len(sides) == 2 else 0.0
    if halves == "both" and asymmetry > MOST_ASYMMETRY * length:
        raise InputError(
            f"Its two halves lie up to {asymmetry:.0f} mm apart, which is another shape on either "
            "side and not one body. Choose the half that counts; a cutaway is put in by its "
            "numbers."
        )
    counting = [side for side in sides if halves == "both" or side.left == (halves == "left")]
    average = np.mean([evenly(side.run, SAMPLED) for side in counting or sides], axis=0)
    half, notes = _flattened(average)
    wobble = max(waver_mm, min(_wobble(counting or sides), MOST_WOBBLE_MM))
    stations = _faired(half, ALLOWED * wobble)
    missed = distances(half, _curve(stations))
    return Traced(
        stations,
        float(missed.max()),
        float(half[int(np.argmax(missed)), 1]),
        float(np.sqrt(np.mean(missed**2))),
        asymmetry,
        len(counting or sides) == 1,
        sides[0].axis,
        tuple(notes),
    )


def _wobble(sides: Sequence[Half]) -> float:
    """How far the average of two halves is from its truth where they differ by chance."""
    if len(sides) == 1:
        return 0.0
    one, other = (evenly(side.run, SAMPLED) for side in sides)
    return float(np.sqrt(np.mean(distances(one, other) ** 2))) / 2


def _flattened(half: Run) -> tuple[Run, list[str]]:
    """The half with what dips in at the neck and at the tail drawn straight across."""
    flat, notes = half.copy(), []
    top, tail = int(np.argmin(half[:, 1])), int(np.argmax(half[:, 1]))
    for said, dip in (
        ("neck", half[0, 1] - half[top, 1]),
        ("tail", half[tail, 1] - half[-1, 1]),
    ):
        if dip > HOLLOW_MM:
            notes.append(f"The hollow of {dip:.1f} mm at the {said} is drawn straight across.")
    flat[: top + 1, 1] = half[top, 1]
    flat[tail:, 1] = half[tail, 1]
    flat[:, 1] -= flat[0, 1]
    return flat, notes


def _faired(half: Run, allowed_mm: float) -> Stations:
    """Stations of a curve without bumps that leaves the half by no more than is allowed.

    Of curves ever stiffer the first that, drawn through its stations, has none; else that with
    the fewest. What the stations miss, up to 0.05 mm, comes on top.
    """
    near_mm = min(max(allowed_mm / 4, 0.02), 0.05)
    found: list[tuple[int, Stations]] = []
    turns = 2 if len(_turns(half)) > 1 else 0
    for made in evened(half, allowed_mm, turns):
        even = evenly(made, SAMPLED)
        even[:, 1] = np.clip(even[:, 1], half[0, 1], half[-1, 1])
        even[[0, -1]] = half[[0, -1]] * [0, 1]
        try:
            stations = _stations(even, near_mm)
        except InputError:  # so stiff that it has lost its waist
            continue
        if distances(half, _curve(stations)).max() > allowed_mm + near_mm:
            continue
        found.append((bumps(fair_half(stations), turns), stations))
        if not found[-1][0]:
            break
    if not found:
        return _stations(half, near_mm)  # which says what is wrong with it
    return min(found, key=lambda one: one[0])[1]


def _stations(half: Run, near_mm: float) -> Stations:
    """Stations at the bouts, evenly between them, and where else the curve would miss the half."""
    places = _turns(half)
    made = _one_way(half, places)
    bounds = [0, *places, len(made) - 1]
    chosen = sorted(
        {
            round(i)
            for start, end in pairwise(bounds)
            for i in np.linspace(start, end, max(3, round((end - start) / EVENLY)) + 1)
        }
    )
    while True:
        stations = _rounded(made[chosen])
        missed = distances(made, _curve(stations))
        # A new station not beside an old one.
        free = np.ones(len(made), dtype=bool)
        for i in chosen:
            free[max(0, i - 3) : i + 4] = False
        missed[~free] = 0.0
        worst = int(np.argmax(missed))
        if missed[worst] <= near_mm or len(chosen) >= MOST_STATIONS:
            return stations
        chosen = sorted({*chosen, worst})


def _turns(half: Run) -> list[int]:
    """Where the body is widest and narrowest. Raises InputError unless there are 1 or 3 places."""
    from scipy.signal import find_peaks

    wide = half[:, 0]
    peaks, _ = find_peaks(wide, prominence=LEAST_WAIST_MM / 2)
    hollows, _ = find_peaks(-wide, prominence=LEAST_WAIST_MM / 2)
    between = [i for i in hollows if peaks[0] < i < peaks[-1]] if len(peaks) else []
    if (len(peaks), len(between)) not in ((1, 0), (2, 1)):
        raise InputError(
            "A body has an upper bout, a waist and a lower bout, or a lower bout alone; this "
            f"outline is widest in {len(peaks)} and narrowest in {len(between)} places. Draw the "
            "body alone, without neck, tail or horns."
        )
    return sorted([*map(int, peaks), *map(int, between)])


def _one_way(half: Run, places: list[int]) -> Run:
    """The half growing only wider, or only narrower, between those places; and always onwards."""
    made = half.copy()
    bounds = [0, *places, len(made) - 1]
    for i, (start, end) in enumerate(pairwise(bounds)):
        part = made[start : end + 1, 0]
        wider = i % 2 == 0
        run = np.maximum.accumulate(part) if wider else np.minimum.accumulate(part)
        made[start : end + 1, 0] = np.clip(run, min(part[0], part[-1]), max(part[0], part[-1]))
    onwards = np.maximum.accumulate(made[:, 1])
    back = float((onwards - made[:, 1]).max())
    if back > 1.0:
        raise InputError(
            f"The outline turns back towards the neck by {back:.0f} mm. Bodies that do, by a horn "
            "or a scroll, cannot be drawn from stations; trace the body without it."
        )
    made[:, 1] = onwards
    return made


def _rounded(run: Run) -> Stations:
    """To a thousandth, since hundredths show in a curvature; no two neighbours of one width."""
    kept: list[tuple[float, float]] = []
    for half, at in run:
        station = (round(float(at), 3) + 0.0, round(float(half), 3) + 0.0)
        if not kept or station[1] != kept[-1][1]:
            kept.append(station)
    return tuple(kept)


def _curve(stations: Stations) -> Run:
    """The drawn half through the stations, as it will be drawn: as (half width, place)."""
    return np.array(sampled(fair_half(stations)))
