"""Does the inlay read on this timber: at the bench, finished, aged, in the hall, to other eyes?

What a line is told from, the grain about it and the eye's own noise, is in
`brief.colour.viewing.observer`, with two thresholds: from the one a line is found, from the other
it stands out at a glance. An inlay reads when it stands out, sinks when it would not be found, and
is doubtful in between. All of it as the eye has it: a fine line fades with the distance, and so
does the figure.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import astuple, replace

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import DifferenceParts
from brief.colour.harmony import Harmony
from brief.colour.spaces import Array, as_colours, as_numbers, as_one_colour
from brief.colour.verdicts.pairs import READINGS, PairFigures, pair_figures
from brief.colour.verdicts.sentences import sentence_of
from brief.colour.verdicts.verdict import PairVerdict, Seen
from brief.colour.viewing.colour_vision import NORMAL
from brief.colour.viewing.conditions import BENCH, Condition
from brief.colour.viewing.distance import (
    DISTANCES_M,
    WIDTHS_MM,
    distance_to_read,
    names_colour,
    width_to_read,
)
from brief.colour.viewing.light import under
from brief.colour.viewing.observer import STANDS_OUT, LinePiece, grain_about_line, noise
from brief.errors import ColourInputError

PLACES = 10  # at which the grain about a line is worked out, to find how wide or far one reads
Kept = Callable[[float], float]


def judge_pair(
    ground: ArrayLike,
    inlay: ArrayLike,
    *,
    ground_cells: ArrayLike | None = None,
    uncertainty: ArrayLike = 0.0,
    photographed: bool = False,
    rival_harmonies: ArrayLike | None = None,
    line_mm: float | None = None,
    conditions: Sequence[Condition] = (BENCH,),
    kept: Kept | None = None,
    piece: LinePiece | None = None,
) -> PairVerdict:
    """Judge an inlay against the timber it goes into.

    Parameters
    ----------
    ground, inlay : array_like, shape (3,) or (k, 3)
        CIELAB, D65 / 2°; one for each condition where the state changes them, the bench first.
    ground_cells : array_like, shape (n, 4), optional
        L, a, b and weight: the pixels of the ground's own photograph folded into cells.
    uncertainty : float, or array_like of shape (k,), at least 0
        CIEDE2000; of both colours together, one for each condition where the state changes it.
    photographed : bool, optional
        Whether it comes from a photograph, so that a doubt can say what would settle it.
    rival_harmonies : array_like, shape (n,), optional
        Harmony totals of the other pairs that the rack could make.
    line_mm : float, above 0, optional
        Width of the inlay's line; without it, it is judged as an area.
    conditions : sequence of k Condition
        The first is the bench, which the others are compared with.
    kept : callable, optional
        How much of the figure's contrast is left, 0 to 1, from a distance in metres; all of it
        where that is not known, which makes the verdict a careful one.
    piece : LinePiece, optional
        The piece of the ground that the line is shown in; without it, as `pair_figures`.

    Returns
    -------
    PairVerdict

    Raises
    ------
    ColourInputError
        If a shape is wrong, a value not finite, a weight or the uncertainty below 0, or there
        is no cell with weight.

    Examples
    --------
    >>> judge_pair([36, 9, 9], [84, 4, 20], uncertainty=14).bench.reading
    'reads'
    """
    grounds = _in_each(ground, len(conditions), "ground")
    inlays = _in_each(inlay, len(conditions), "inlay")
    cells = None if ground_cells is None else _cells(ground_cells)
    if cells is not None:
        cells = cells - np.append(grounds[0], 0.0)
    shares = [1.0 if kept is None else kept(one.distance_m) for one in conditions]
    figures = pair_figures(
        grounds[:, np.newaxis],
        inlays[:, np.newaxis],
        conditions,
        widths_mm=None if line_mm is None else [line_mm],
        uncertainties=np.reshape(as_numbers(uncertainty, "uncertainty"), (-1, 1)),
        figure=None if cells is None else cells[np.newaxis],
        kept=np.array(shares)[:, np.newaxis],
        pieces=[piece],
    )
    known = piece is not None or cells is not None
    seen = tuple(
        _seen(figures, i, condition, grounds[i], inlays[i], line_mm, kept, piece, known=known)
        for i, condition in enumerate(conditions)
    )
    verdict = PairVerdict(seen, better_than=None, rivals=0, standing="", sentence="")
    sentence = sentence_of(verdict, line_mm, photographed=photographed)
    return replace(verdict, sentence=sentence).among(rival_harmonies)


def _seen(
    figures: PairFigures,
    i: int,
    condition: Condition,
    ground: Array,
    inlay: Array,
    line_mm: float | None,
    kept: Kept | None,
    piece: LinePiece | None,
    *,
    known: bool,
) -> Seen:
    """The figures of one condition, with what line and what distance would do."""
    whole = float(figures.difference.total[i, 0])
    sure = 1 - float(figures.uncertainty[i, 0]) / whole if whole > 0 else 0.0
    width, reach = None, None
    if line_mm is not None and condition.eyes == NORMAL and sure > 0:
        beside = ground if piece is None else ground + piece.beside
        lit = under(beside, condition.light), under(inlay, condition.light)
        here = float(figures.grain[i, 0])

        def grain(widths: Array, distances: Array) -> Array:
            if piece is None:
                share = np.array([kept(away) if kept and known else 1.0 for away in distances])
                now = kept(condition.distance_m) if kept and known else 1.0
                return here * share / now if now else 0.0 * share
            return grain_about_line(piece, ground, inlay, widths, distances, condition.light.matrix)

        # Every width from here and this width from everywhere, all at once, which is faster.
        widths, distances = np.geomspace(*WIDTHS_MM, PLACES), np.geomspace(*DISTANCES_M, PLACES)
        wide = np.append(widths, np.full(PLACES, line_mm))
        away = np.append(np.full(PLACES, condition.distance_m), distances)
        # With the doubt taken off, as for the reading: it fades with the line.
        needed = STANDS_OUT * noise(grain(wide, away), wide, away) / sure
        by_width, by_distance = np.split(needed, 2)
        width = width_to_read(
            *lit,
            condition.distance_m,
            lambda places: np.interp(np.log(places), np.log(widths), by_width),
        )
        reach = distance_to_read(
            *lit,
            line_mm,
            lambda places: np.interp(np.log(places), np.log(distances), by_distance),
        )
    return Seen(
        condition=condition,
        reading=READINGS[int(figures.reading[i, 0])],
        difference=DifferenceParts(*(float(part[i, 0]) for part in _fields(figures.difference))),
        uncertainty=float(figures.uncertainty[i, 0]),
        seen=float(figures.seen[i, 0]),
        seen_uncertainty=float(figures.seen_uncertainty[i, 0]),
        found=float(figures.found[i, 0]),
        needed=float(figures.needed[i, 0]),
        grain=float(figures.grain[i, 0]) if known else None,
        drowned_share=_number(figures.drowned_share[i, 0]),
        harmony=Harmony(*(float(part[i, 0]) for part in _fields(figures.harmony))),
        width_to_read=width,
        distance_to_read=reach,
        names_colour=None if line_mm is None else names_colour(line_mm, condition.distance_m),
    )


def _number(value: np.floating) -> float | None:
    return None if math.isnan(value) else float(value)


def _fields(parts: DifferenceParts[Array] | Harmony[Array]) -> tuple[Array, ...]:
    return tuple(astuple(parts))


def _in_each(values: ArrayLike, count: int, name: str) -> Array:
    if np.ndim(values) == 1:
        return np.broadcast_to(as_one_colour(values, name), (count, 3))
    labs = as_colours(values, name)
    if labs.shape != (count, 3):
        raise ColourInputError(f"{name} must have shape (3,) or ({count}, 3); got {labs.shape}")
    return labs


def _cells(values: ArrayLike) -> Array:
    cells = as_numbers(values, "ground cells")
    if cells.ndim != 2 or cells.shape[1] != 4:
        raise ColourInputError(f"ground cells must have shape (n, 4); got {cells.shape}")
    as_colours(cells[:, :3], "ground cells")
    weights = cells[:, 3]
    if not (np.isfinite(weights).all() and (weights >= 0).all() and weights.sum() > 0):
        raise ColourInputError("ground cells must have weights of 0 or more, not all of them 0")
    return cells
