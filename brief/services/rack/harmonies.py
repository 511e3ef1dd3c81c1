"""The harmony of every pair that the rack could make, to rank one pair among."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import select

from brief.colour import pair_harmony
from brief.store.desk import Desk
from brief.store.records import Material


def measured_labs(desk: Desk) -> dict[str, tuple[float, float, float]]:
    """The colours of the pieces of the rack that have one, CIELAB, D65 / 2°, by id and in order."""
    rows = desk.session.execute(
        select(Material.id, Material.lab).where(Material.binned_utc.is_(None)).order_by(Material.id)
    )
    return {one_id: (lab[0], lab[1], lab[2]) for one_id, lab in rows if lab is not None}


class RackHarmonies:
    """The harmony of every pair that the rack could make, to rank one pair among."""

    def __init__(self, desk: Desk) -> None:
        measured = measured_labs(desk)
        self._places = {one_id: place for place, one_id in enumerate(measured)}
        self._totals = _harmonies(tuple(measured.values()))

    def others(self, ground_id: str, inlay_id: str) -> NDArray[np.float64]:
        """The totals of all pairs of two different pieces but this one, shape (n,)."""
        if ground_id not in self._places or inlay_id not in self._places:
            return self._totals
        i, j = sorted((self._places[ground_id], self._places[inlay_id]))
        before = i * len(self._places) - i * (i + 1) // 2  # pairs of the pieces before the first
        return np.delete(self._totals, before + j - i - 1)


@lru_cache(2)
def _harmonies(labs: tuple[tuple[float, float, float], ...]) -> NDArray[np.float64]:
    """Of each two of these, the pairs of the first one first, shape (n (n - 1) / 2,). A large rack
    takes a fifth of a second, and changes seldom."""
    rack = np.array(labs, dtype=float).reshape(-1, 3)
    one, other = np.triu_indices(len(rack), 1)
    totals = pair_harmony(rack[one], rack[other]).total
    totals.flags.writeable = False  # it is handed to many
    return totals
