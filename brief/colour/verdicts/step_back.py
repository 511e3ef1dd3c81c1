"""What becomes of a line as one steps back from it: where it reads, is borderline, and sinks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import delta_e_2000
from brief.colour.spaces import Array, as_numbers, as_one_colour
from brief.colour.verdicts.pairs import READINGS, Reading, left_of, pair_figures, readings_of
from brief.colour.viewing.colour_vision import through
from brief.colour.viewing.conditions import Condition
from brief.colour.viewing.distance import colour_as_kept, line_as_seen
from brief.colour.viewing.light import under
from brief.colour.viewing.observer import (
    AREA_MM,
    FOUND,
    STANDS_OUT,
    LinePiece,
    grain_about_line,
    noise,
)
from brief.colour.viewing.shape import (
    Shape,
    ShapePatch,
    beside_shape,
    grain_about_shape,
    shape_response,
)
from brief.errors import ColourInputError

Lean = Literal["", "reads", "found", "sinks"]


@dataclass(frozen=True)
class StepBack:
    """The readings of one line from k distances, near to far.

    Attributes
    ----------
    distances_m : tuple of k floats
    readings : tuple of k str
    leans : tuple of k str
        Where a reading is borderline, what it would be without any uncertainty; else "".
    """

    distances_m: tuple[float, ...]
    readings: tuple[Reading, ...]
    leans: tuple[Lean, ...]

    def index(self, distance_m: float) -> int:
        """Which of the distances is the nearest to one."""
        return int(np.abs(np.subtract(self.distances_m, distance_m)).argmin())

    @property
    def zones(self) -> tuple[tuple[int, int, Reading], ...]:
        """First and last place of each run of one reading, near to far."""
        found: list[tuple[int, int, Reading]] = []
        for i, reading in enumerate(self.readings):
            if found and found[-1][2] == reading:
                found[-1] = (found[-1][0], i, reading)
            else:
                found.append((i, i, reading))
        return tuple(found)

    def reads_about(self, distance_m: float) -> tuple[float | None, float | None] | None:
        """From where to where the line reads: where one stands, or else the nearer of such places.

        Returns
        -------
        tuple, or None if it reads at none
            The first distance of the run, None if it begins with the nearest; and the first beyond
            it from which it no longer reads, None if there is none.
        """
        here = self.index(distance_m)
        runs = [zone for zone in self.zones if zone[2] == "reads"]
        if not runs:
            return None
        nearer = [zone for zone in runs if zone[0] <= here]
        first, last, _ = nearer[-1] if nearer else runs[0]
        past = last + 1
        return (
            self.distances_m[first] if first else None,
            self.distances_m[past] if past < len(self.distances_m) else None,
        )


def step_back(
    ground: ArrayLike,
    inlay: ArrayLike,
    condition: Condition,
    distances_m: Sequence[float],
    *,
    line_mm: float | None = None,
    uncertainty: float = 0.0,
    piece: LinePiece | None = None,
    figure: ArrayLike | None = None,
) -> StepBack:
    """Judge one line from many distances at once, by the same rule as `pair_figures`.

    Parameters
    ----------
    ground, inlay : array_like, shape (3,)
        CIELAB, D65 / 2°, in the state of the condition.
    condition : Condition
        Its distance does not count.
    distances_m : sequence of k floats, above 0, near to far
    line_mm : float, above 0, optional
        Without it the inlay is judged as an area.
    uncertainty : float, at least 0
        CIEDE2000, of both colours together.
    piece : LinePiece, optional
        As `pair_figures`.
    figure : array_like, shape (c, 4), optional
        L, a, b less those of the ground, and weight; counts only without a piece.

    Returns
    -------
    StepBack

    Raises
    ------
    ColourInputError
        If a shape is wrong, a number not finite or out of range, or the distances do not grow.
    """
    away = _growing(distances_m)
    below, above = as_one_colour(ground, "ground"), as_one_colour(inlay, "inlay")
    wide = AREA_MM if line_mm is None else line_mm
    beside = below if piece is None else below + piece.beside
    lit_beside, lit_inlay = under(beside, condition.light), under(above, condition.light)
    line = np.broadcast_to(lit_inlay, (away.size, 3))
    if line_mm is not None:
        line = line_as_seen(lit_beside, lit_inlay, line_mm, away)
    if piece is None:
        # The figure fades with the distance only where a scale says how fast.
        grain = _grain_of_figure(below, above, condition, figure)
    else:
        grain = grain_about_line(
            piece, below, above, wide, away, condition.light.matrix, condition.eyes
        )
    told_from = noise(grain, wide, away)
    return _told(below, above, lit_beside, line, told_from, condition, away, uncertainty)


def step_back_from_shape(
    ground: ArrayLike,
    inlay: ArrayLike,
    condition: Condition,
    distances_m: Sequence[float],
    *,
    shape: Shape,
    uncertainty: float = 0.0,
    patch: ShapePatch | None = None,
    figure: ArrayLike | None = None,
) -> StepBack:
    """The same of a shape, such as a dot or a drawing, all of it together.

    Parameters, returns and errors as `step_back`, but for

    shape : Shape
    patch : ShapePatch, optional
        The wood that it lies in, of its scale.
    """
    away = _growing(distances_m)
    below, above = as_one_colour(ground, "ground"), as_one_colour(inlay, "inlay")
    beside = below if patch is None else below + beside_shape(shape, patch)
    lit_beside, lit_inlay = under(beside, condition.light), under(above, condition.light)
    seen = colour_as_kept(lit_beside, lit_inlay, shape_response(shape, away))
    if patch is None:
        grain = _grain_of_figure(below, above, condition, figure)
    else:
        grain = grain_about_shape(
            shape, patch, below, above, away, condition.light.matrix, condition.eyes
        )
    told_from = noise(grain, shape.widths_mm(away), away)
    return _told(below, above, lit_beside, seen, told_from, condition, away, uncertainty)


def _growing(distances_m: Sequence[float]) -> Array:
    away = as_numbers(distances_m, "distances")
    if away.ndim != 1 or not away.size or (np.diff(away) <= 0).any():
        raise ColourInputError("distances must be one row that grows, of one or more")
    return away


def _grain_of_figure(
    below: Array, above: Array, condition: Condition, figure: ArrayLike | None
) -> Array:
    cells = None if figure is None else as_numbers(figure, "figure")[np.newaxis]
    grain: Array = pair_figures([below], [above], [condition], figure=cells).grain[0]
    return grain


def _told(
    below: Array,
    above: Array,
    lit_beside: Array,
    as_seen: Array,
    told_from: Array,
    condition: Condition,
    away: Array,
    uncertainty: float,
) -> StepBack:
    """What is seen of an inlay from each distance, against what it is told from."""
    seen = delta_e_2000(through(lit_beside, condition.eyes), through(as_seen, condition.eyes))
    whole = delta_e_2000(under(below, condition.light), under(above, condition.light))
    doubt = np.hypot(uncertainty, condition.light.uncertainty)
    seen_uncertainty = doubt * left_of(seen, np.broadcast_to(whole, seen.shape))
    found, needed = FOUND * told_from, STANDS_OUT * told_from
    readings = tuple(READINGS[one] for one in readings_of(seen, seen_uncertainty, found, needed))
    without_doubt = np.where(seen >= needed, "reads", np.where(seen < found, "sinks", "found"))
    leans: list[Lean] = [
        lean if reading == "doubtful" else ""
        for reading, lean in zip(readings, without_doubt.tolist(), strict=True)
    ]
    return StepBack(tuple(away.tolist()), readings, tuple(leans))
