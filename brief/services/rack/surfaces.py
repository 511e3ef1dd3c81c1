"""What a piece of the rack looks like once it is wetted, finished or aged, as far as was tested."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from sqlalchemy import Select, bindparam, select
from sqlalchemy.orm import aliased

from brief.colour.viewing.conditions import State
from brief.store.desk import Desk
from brief.store.records import FinishTest, Material, Photograph

TESTED: tuple[State, ...] = ("wetted", "finished", "aged")
UNTESTED: dict[State, str] = {
    "wetted": "No wetting test",
    "finished": "No finish test",
    "aged": "No ageing test",
}
"""How it is said of pieces that they were not tested in a state."""


@dataclass(frozen=True)
class Shift:
    """What a state adds to the bare colour, CIELAB, D65 / 2°, and its uncertainty, CIEDE2000."""

    d_lab: tuple[float, float, float]
    uncertainty: float

    def after(self, first: Shift) -> Shift:
        """This shift on top of another."""
        lightness, a, b = (one + other for one, other in zip(first.d_lab, self.d_lab, strict=True))
        return Shift((lightness, a, b), math.hypot(first.uncertainty, self.uncertainty))


@dataclass(frozen=True)
class Surface:
    """One piece in each state that was tested on it.

    shifts : what each tested state adds to the bare colour. names : the test each comes from.
    """

    material: Material
    shifts: Mapping[State, Shift] = field(default_factory=dict)
    names: Mapping[State, str] = field(default_factory=dict)

    def state(self, wanted: State) -> State:
        """The wanted state, or the nearest before it that was tested."""
        if wanted == "aged" and "aged" not in self.shifts:
            wanted = "finished"
        return wanted if wanted in self.shifts else "bare"

    def lab(self, wanted: State) -> tuple[float, float, float]:
        """Its colour in that state, or in the nearest before it; the piece must have a colour."""
        lightness, a, b = self.material.lab or (0.0, 0.0, 0.0)
        shift = self.shift(wanted)
        if shift is None:
            return lightness, a, b
        d_lightness, d_a, d_b = shift.d_lab
        return min(max(lightness + d_lightness, 0.0), 100.0), a + d_a, b + d_b

    def shift(self, wanted: State) -> Shift | None:
        """The shift to a state of the wood; None where it was not tested."""
        return self.shifts.get(self.state(wanted))

    def doubt(self, wanted: State) -> float:
        """CIEDE2000; of the colour in that state."""
        shift = self.shift(wanted)
        return math.hypot(self.material.uncertainty or 0.0, shift.uncertainty if shift else 0.0)


def surface_of(desk: Desk, material: Material) -> Surface:
    """What the newest test of each state says of the piece."""
    return surfaces_of(desk, [material])[material.id]


def surfaces_of(desk: Desk, materials: Sequence[Material]) -> dict[str, Surface]:
    """The same of several pieces, by id."""
    ids = [material.id for material in materials]
    tests = desk.session.execute(_tests(), {"ids": ids}).all()
    shifts: dict[str, dict[State, Shift]] = {material.id: {} for material in materials}
    names: dict[str, dict[State, str]] = {material.id: {} for material in materials}
    for state in TESTED:  # what is aged may have been finished before
        for test, began, ended in tests:
            if ended == state:
                known, shift = shifts[test.material_id], _shift(test)
                known[state] = shift.after(known[began]) if began in known else shift
                names[test.material_id][state] = test.name
    return {one.id: Surface(one, shifts[one.id], names[one.id]) for one in materials}


@cache  # every page asks for it, and an alias of a table takes longer to make than to ask
def _tests() -> Select[FinishTest, str, str]:
    """Tests of the pieces `ids` that count, each with the states that it began and ended with."""
    before, after = aliased(Photograph), aliased(Photograph)
    return (
        select(FinishTest, before.state, after.state)
        .join(before, FinishTest.before_id == before.id)
        .join(after, FinishTest.after_id == after.id)
        .where(
            FinishTest.material_id.in_(bindparam("ids", expanding=True)),
            FinishTest.binned_utc.is_(None),
        )
        .order_by(FinishTest.id)
    )


def _shift(test: FinishTest) -> Shift:
    lightness, a, b = test.shift["d_lab"]
    return Shift((lightness, a, b), test.shift["uncertainty"])
