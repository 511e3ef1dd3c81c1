"""The upright faces of a plate: along its outline, round its pockets, and its rolled edge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brief.instrument.solid.making.surface import EDGE_DEG, Floats, Ints

Height = Callable[[Floats, Floats], Floats]
"""The height over the drawing's plane at x and y, mm."""
ROLL_STEPS = 3
MOST_OUT = 0.4  # the cosine at which a corner stops going out farther than its sides


@dataclass(frozen=True, eq=False)
class Faces:
    """Faces, and the normals of their corners: (m, 3) and (m, 3, 3) arrays."""

    faces: Ints
    normals: Floats


def borders(faces: Ints, area: Ints) -> tuple[Ints, Ints, Ints]:
    """The directed sides of faces that border another area or nothing.

    With the areas within and beside, -1 for none.
    """
    sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    of = np.tile(area, 3)
    count = faces.max() + 1
    key, back = sides[:, 0] * count + sides[:, 1], sides[:, 1] * count + sides[:, 0]
    order = np.argsort(key)
    found = np.minimum(np.searchsorted(key[order], back), len(key) - 1)
    beside = np.where(key[order][found] == back, of[order][found], -1)
    border = beside != of
    return sides[border], of[border], beside[border]


class Wall:
    """The wall on directed edges of a plan, which has what it encloses on their left."""

    def __init__(self, flat: Floats, edges: Ints) -> None:
        self._flat = flat
        self._edges = edges
        ahead = flat[edges[:, 1]] - flat[edges[:, 0]]
        right = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)
        self._right: Floats = right / np.linalg.norm(right, axis=1, keepdims=True)
        count = edges.max() + 1
        ends, starts = np.full(count, -1), np.full(count, -1)
        index = np.arange(len(edges))
        ends[edges[:, 1]], starts[edges[:, 0]] = index, index
        self._before, after = ends[edges[:, 0]], starts[edges[:, 1]]
        self._normals = self._smooth(self._before), self._smooth(after)

    def _smooth(self, beside: Ints) -> Floats:
        """Of an end of each edge, where it meets another: one for both if they turn by little."""
        other = self._right[np.maximum(beside, 0)]
        turns = np.einsum("ij,ij->i", self._right, other)
        smooth = (beside >= 0) & (turns > np.cos(np.radians(EDGE_DEG)))
        summed = self._right + np.where(smooth[:, None], other, self._right)
        unit: Floats = summed / np.linalg.norm(summed, axis=1, keepdims=True)
        return unit

    def upright(self, low: int | Ints, high: int | Ints, *, inward: bool = False) -> Faces:
        """Faces between two levels, each given as what is added to the number of a plan's point.

        `inward` ones are those of a pocket, seen from within.
        """
        first, second = (
            np.column_stack([-one if inward else one, np.zeros(len(one))]) for one in self._normals
        )
        a, b = self._edges.T
        made = _quads((a + low, b + low, b + high, a + high), (first, second, second, first))
        return Faces(made.faces[:, ::-1], made.normals[:, ::-1]) if inward else made

    def rolled(self, low: Height, high: Height, roll: float, start: int) -> tuple[Floats, Faces]:
        """The rolled edge out from here, the wall below it, and the underside back to here.

        Returns
        -------
        (array, Faces)
            Their points, the first of which has the number `start`; the faces.
        """
        ring = self._edges[:, 0]  # each point of the outline starts one edge
        summed = self._right + self._right[self._before]
        summed /= np.maximum(np.linalg.norm(summed, axis=1, keepdims=True), 1e-9)
        # A corner goes out farther than the sides that meet in it.
        cosine = np.einsum("ij,ij->i", summed, self._right)
        out = roll * summed / np.maximum(cosine, MOST_OUT)[:, None]
        flat = self._flat[ring]
        turns = np.pi / 2 * np.arange(ROLL_STEPS + 1) / ROLL_STEPS
        rows = []
        for turn in turns:
            at = flat + out * np.sin(turn)
            rows.append(np.column_stack([at, high(*at.T) - roll * (1 - np.cos(turn))]))
        rows += [np.column_stack([at, low(*at.T)]) for at in (flat + out, flat)]
        number = np.full(len(self._flat), -1)
        number[ring] = np.arange(len(ring))
        a, b = number[self._edges.T]
        made = []
        for step in range(len(rows) - 1):
            upper, lower = start + step * len(ring), start + (step + 1) * len(ring)
            corners = (a + lower, b + lower, b + upper, a + upper)
            leans = turns[step : step + 2] if step < ROLL_STEPS else turns[[-1, -1]]
            if step == len(rows) - 2:
                leans = np.array([np.pi, np.pi])
            (up_a, up_b), (down_a, down_b) = (self._tilted(turn) for turn in leans)
            made.append(_quads(corners, (down_a, down_b, up_b, up_a)))
        return np.concatenate(rows), Faces(
            np.concatenate([one.faces for one in made]),
            np.concatenate([one.normals for one in made]),
        )

    def _tilted(self, turn: float) -> tuple[Floats, Floats]:
        """The normals at both ends, leaning out from straight up by an angle."""
        first, second = (
            np.column_stack([np.sin(turn) * one, np.full(len(one), np.cos(turn))])
            for one in self._normals
        )
        return first, second


def _quads(corners: tuple[Ints, ...], normals: tuple[Floats, ...]) -> Faces:
    """Two triangles for each four corners in order round them."""
    halves = ([0, 1, 2], [0, 2, 3])
    return Faces(
        np.concatenate([np.stack([corners[i] for i in half], axis=1) for half in halves]),
        np.concatenate([np.stack([normals[i] for i in half], axis=1) for half in halves]),
    )
