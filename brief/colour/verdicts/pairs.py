"""The figures of many pairs under many conditions, in one call."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.colour.difference import DifferenceParts, delta_e_2000, delta_e_2000_parts
from brief.colour.harmony import Harmony, pair_harmony
from brief.colour.spaces import Array, as_colours, as_numbers, lab_through
from brief.colour.viewing.colour_vision import through
from brief.colour.viewing.conditions import Condition
from brief.colour.viewing.distance import line_as_seen
from brief.colour.viewing.light import seen_matrix, under
from brief.colour.viewing.observer import (
    AREA_MM,
    FOUND,
    STANDS_OUT,
    LinePiece,
    grain_about_line,
    noise,
    usual_grain,
)
from brief.errors import ColourInputError, quoted

NEAR_DELTA_E = 5.0  # grain this close to the inlay is of much the same colour: our working figure
SINKS, DOUBTFUL, READS = range(3)
Reading = Literal["sinks", "doubtful", "reads"]
READINGS: tuple[Reading, ...] = ("sinks", "doubtful", "reads")


@dataclass(frozen=True)
class PairFigures:
    """The figures of n pairs under k conditions: arrays of shape (k, n), differences in CIEDE2000.

    Attributes
    ----------
    difference, uncertainty
        Of the two colours, as large patches; inlay less ground.
    seen, seen_uncertainty
        What the eye keeps of the inlay's line against the wood beside it, the wood of `pieces`
        where there is one; of all of the inlay where no width is given.
    grain
        How far the bare wood strays under the template of the line, see `grain_about_line`.
    found, needed
        The difference from which the line is found, and from which it stands out at a glance.
    drowned_share
        The part of the figure within 5 of the line as seen, NaN where the figure is not known; no
        verdict follows from it.
    harmony
        Of the two colours as these eyes have them in this light.
    reading
        SINKS, DOUBTFUL or READS.
    """

    difference: DifferenceParts[Array]
    uncertainty: Array
    seen: Array
    seen_uncertainty: Array
    grain: Array
    found: Array
    needed: Array
    drowned_share: Array
    harmony: Harmony[Array]
    reading: NDArray[np.int8]


def pair_figures(
    grounds: ArrayLike,
    inlays: ArrayLike,
    conditions: Sequence[Condition],
    *,
    widths_mm: ArrayLike | None = None,
    uncertainties: ArrayLike = 0.0,
    figure: ArrayLike | None = None,
    kept: ArrayLike = 1.0,
    pieces: Sequence[LinePiece | None] | None = None,
) -> PairFigures:
    """Work out the figures of every pair under every condition.

    Parameters
    ----------
    grounds, inlays : array_like, shape (n, 3) or (k, n, 3)
        CIELAB, D65 / 2°, in the state that each condition asks for.
    conditions : sequence of k Condition
    widths_mm : array_like, shape (n,), optional
        Of the inlay's line, above 0; NaN for an area instead of a line, as all are without it.
    uncertainties : array_like, 0 or more, broadcast to (k, n)
        CIEDE2000, of both colours together. What a light leaves uncertain is added to it: of two
        colours no more than of one, since it sends both astray alike (95 in 100 pairs of the 123
        surfaces are within 1.1 times the uncertainty of the light, pairs of woods within 0.6).
    figure : array_like, shape (n, c, 4), optional
        The ground's own figure as c cells: L, a, b less those of the ground, and weight. Cells of
        no weight do not count; a pair without any weight has no figure known. Finish, age and
        light are assumed to shift it as they shift the ground.
    kept : array_like, 0 to 1, broadcast to (k, n)
        How much of the figure's contrast is left at the distance of each condition.
    pieces : sequence of n LinePiece or None, optional
        The piece of each board that its line is shown and judged in. Without one, the grain about
        the line is taken from the spread of the figure, and without that for a usual one.

    Returns
    -------
    PairFigures

    Raises
    ------
    ColourInputError
        If there is no condition, a shape does not fit or a number is not finite or out of range.

    Notes
    -----
    The eyes come after the distance, as behind the optics they are. What distance and eyes take
    from a difference they take from its uncertainty, too. A line sinks where it would not be found
    even with the uncertainty added, and reads where it stands out with it taken off.
    """
    if not conditions:
        raise ColourInputError("there must be at least one condition; got none")
    count = len(conditions)
    ground = _each(grounds, count, "grounds")
    inlay = _each(inlays, count, "inlays")
    if ground.shape != inlay.shape:
        raise ColourInputError(
            f"grounds and inlays must be as many; got {ground.shape[1]} and {inlay.shape[1]}"
        )
    shape = ground.shape[:2]
    widths = _widths(widths_mm, shape[1])
    doubts = _spread(uncertainties, shape, "uncertainties", np.inf)
    contrast = _spread(kept, shape, "kept", 1.0)
    offsets, weights = _figure(figure, shape[1])
    shown = [None] * shape[1] if pieces is None else list(pieces)
    if len(shown) != shape[1]:
        raise ColourInputError(f"there must be {shape[1]} pieces, or None; got {len(shown)}")
    rows = [
        _under(
            condition, ground[i], inlay[i], widths, doubts[i], offsets, weights, contrast[i], shown
        )
        for i, condition in enumerate(conditions)
    ]
    parts = DifferenceParts(*np.stack([astuple(row.difference) for row in rows], axis=1))
    harmony = Harmony(*np.stack([astuple(row.harmony) for row in rows], axis=1))
    rest = {
        name: np.stack([getattr(row, name) for row in rows])
        for name in PairFigures.__dataclass_fields__
        if name not in ("difference", "harmony")
    }
    return PairFigures(difference=parts, harmony=harmony, **rest)


def _under(
    condition: Condition,
    ground: Array,
    inlay: Array,
    widths: Array,
    doubts: Array,
    offsets: Array,
    weights: Array,
    contrast: Array,
    pieces: Sequence[LinePiece | None],
) -> PairFigures:
    """One row: n pairs under one condition."""
    beside = ground.copy()
    for i, piece in enumerate(pieces):
        if piece is not None:
            beside[i] += piece.beside

    def lit(labs: Array) -> Array:
        return under(labs, condition.light)

    def minded(labs: Array) -> Array:
        return through(labs, condition.eyes)

    lit_ground, lit_inlay, lit_beside = lit(ground), lit(inlay), lit(beside)
    line = lit_inlay.copy()
    drawn = ~np.isnan(widths)
    line[drawn] = line_as_seen(
        lit_beside[drawn], lit_inlay[drawn], widths[drawn], condition.distance_m
    )
    ground_seen, line_seen, inlay_seen = minded(lit_ground), minded(line), minded(lit_inlay)
    difference = delta_e_2000_parts(ground_seen, inlay_seen)
    seen = delta_e_2000(minded(lit_beside), line_seen)
    whole = delta_e_2000(lit_ground, lit_inlay)
    doubt = np.hypot(doubts, condition.light.uncertainty)
    uncertainty = doubt * left_of(difference.total, whole)
    seen_uncertainty = doubt * left_of(seen, whole)

    spread = np.full(len(ground), np.nan)
    drowned = np.full(len(ground), np.nan)
    known = weights.sum(axis=1) > 0
    if known.any():
        cells = ground[known, np.newaxis] + offsets[known] * contrast[known, np.newaxis, np.newaxis]
        cells = lab_through(cells, seen_matrix(condition.light, condition.eyes))
        astray = delta_e_2000(cells, ground_seen[known, np.newaxis])
        close = delta_e_2000(cells, line_seen[known, np.newaxis]) <= NEAR_DELTA_E
        share = weights[known] / weights[known].sum(axis=1, keepdims=True)
        spread[known] = np.sqrt((share * astray**2).sum(axis=1))
        drowned[known] = np.minimum((share * close).sum(axis=1), 1.0)
    grain, wide = usual_grain(spread), np.where(drawn, widths, AREA_MM)
    for i, piece in enumerate(pieces):
        if piece is not None:
            grain[i : i + 1] = grain_about_line(
                piece, ground[i], inlay[i], wide[i], condition.distance_m,
                condition.light.matrix, condition.eyes,
            )  # fmt: skip
    told_from = noise(grain, wide, condition.distance_m)
    found, needed = FOUND * told_from, STANDS_OUT * told_from
    return PairFigures(
        difference=difference,
        uncertainty=uncertainty,
        seen=seen,
        seen_uncertainty=seen_uncertainty,
        grain=grain,
        found=found,
        needed=needed,
        drowned_share=drowned,
        harmony=pair_harmony(ground_seen, inlay_seen),
        reading=readings_of(seen, seen_uncertainty, found, needed),
    )


def readings_of(
    seen: Array, seen_uncertainty: Array, found: Array, needed: Array
) -> NDArray[np.int8]:
    """SINKS, DOUBTFUL or READS of each; all four as `PairFigures`, of one shape."""
    reads = seen - seen_uncertainty >= needed
    sinks = seen + seen_uncertainty < found
    return np.where(sinks, SINKS, np.where(reads, READS, DOUBTFUL)).astype(np.int8)


def left_of(part: Array, whole: Array) -> Array:
    """What share of a difference is left, 1 at most."""
    share = np.divide(part, whole, out=np.ones_like(part), where=whole > 0)
    return np.minimum(share, 1.0)


def _each(values: ArrayLike, count: int, name: str) -> Array:
    """Labs for each condition, shape (k, n, 3)."""
    labs = as_colours(values, name)
    if labs.ndim == 2:
        labs = np.broadcast_to(labs, (count, *labs.shape))
    if labs.ndim != 3 or labs.shape[0] != count:
        raise ColourInputError(
            f"{name} must have shape (n, 3) or ({count}, n, 3); got {np.shape(values)}"
        )
    return labs


def _widths(values: ArrayLike | None, count: int) -> Array:
    widths = np.full(count, np.nan) if values is None else as_numbers(values, "widths")
    if widths.shape != (count,) or not (np.isnan(widths) | (widths > 0)).all():
        raise ColourInputError(f"widths must be {count} numbers above 0 mm, or NaN for no line")
    return widths


def _spread(values: ArrayLike, shape: tuple[int, ...], name: str, most: float) -> Array:
    given = as_numbers(values, name)
    if not (np.isfinite(given) & (given >= 0) & (given <= most)).all():
        up_to = "" if np.isinf(most) else f" and {most:g} at most"
        raise ColourInputError(f"{name} must be numbers of 0 or more{up_to}; got {quoted(values)}")
    try:
        return np.broadcast_to(given, shape)
    except ValueError as exc:
        raise ColourInputError(f"{name} must fit {shape}; got shape {given.shape}") from exc


def _figure(values: ArrayLike | None, count: int) -> tuple[Array, Array]:
    """Offsets, shape (n, c, 3), and weights, shape (n, c)."""
    cells = np.zeros((count, 0, 4)) if values is None else as_numbers(values, "figure")
    if cells.ndim != 3 or cells.shape[0] != count or cells.shape[2] != 4:
        raise ColourInputError(f"figure must have shape ({count}, c, 4); got {cells.shape}")
    offsets, weights = cells[..., :3], cells[..., 3]
    if not np.isfinite(cells).all() or (weights < 0).any():
        raise ColourInputError("figure must be finite, with weights of 0 or more")
    return offsets, weights
