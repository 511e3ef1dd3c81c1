"""The stages that a run-up starts with, by the instrument and what is special about this one.

All of it is common practice without a source (`stages.toml`).
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

TABLE = Path(__file__).with_name("stages.toml")
STEP_H = 0.25  # hours are proposed in quarters


@dataclass(frozen=True)
class InlayPieces:
    """An inlay: of how many pieces altogether, in all its copies, and whether they are dots."""

    name: str
    pieces: int
    dots: bool = False


@dataclass(frozen=True)
class Instrument:
    """What a starting list goes by. family : of its preset; roles : of its parts; finishes : as the
    maker wrote them.
    """

    family: str
    roles: frozenset[str]
    inlays: tuple[InlayPieces, ...] = ()
    finishes: tuple[str, ...] = ()


@dataclass(frozen=True)
class UsualStage:
    """A stage as it is proposed. hours : quick, likely, slow."""

    key: str
    name: str
    after: tuple[str, ...]
    hours: tuple[float, float, float]
    wait_days: float = 0.0
    wait_for: str = ""
    spare: bool = False

    def by(self, factor: float) -> UsualStage:
        """The same with its hours so many times as long, in quarters."""
        low, likely, high = (max(round(one * factor / STEP_H), 1) * STEP_H for one in self.hours)
        return replace(self, hours=(low, likely, high))


def usual_stages(instrument: Instrument) -> tuple[UsualStage, ...]:
    """The starting list of an instrument, each stage behind what must come before it."""
    table = _table()
    factor = table["families"].get(instrument.family, 1.0)
    left_out: dict[str, Sequence[str]] = {}
    found: list[UsualStage] = []
    for row in table["stages"]:
        after = tuple(key for one in row["after"] for key in left_out.get(one, (one,)))
        if "role" in row and row["role"] not in instrument.roles:
            left_out[row["key"]] = after
            continue
        if row["key"] in table["inlay"]["before"]:
            inlays = [_inlay(at, one) for at, one in enumerate(instrument.inlays, 1)]
            found += inlays
            after += tuple(one.key for one in inlays)
        if row["key"] == "finish":
            row = row | _finish(instrument.finishes)
        found.append(_stage(row, tuple(dict.fromkeys(after))).by(factor))
    return tuple(found)


def _stage(row: Mapping[str, Any], after: tuple[str, ...]) -> UsualStage:
    low, likely, high = map(float, row["hours"])
    return UsualStage(
        key=row["key"],
        name=row["name"],
        after=after,
        hours=(low, likely, high),
        wait_days=float(row.get("wait_days", 0)),
        wait_for=row.get("wait_for", ""),
        spare=row.get("spare", False),
    )


def _inlay(number: int, one: InlayPieces) -> UsualStage:
    """Dots are drilled; a drawing is sawn, and each of its pieces has a recess of its own."""
    row = _table()["inlay"]
    each, once = (row["dot"], (0, 0, 0)) if one.dots else (row["piece"], row["design"])
    hours = [first + one.pieces * more for first, more in zip(once, each, strict=True)]
    made = row | {"key": f"inlay-{number}", "name": f"{row['name']}: {one.name}", "hours": hours}
    return replace(_stage(made, tuple(row["after"])), spare=True).by(1.0)


def _finish(finishes: Sequence[str]) -> Mapping[str, Any]:
    """What of the finishes named takes longest to cure; nothing where none is known."""
    written = " ".join(finishes).casefold()
    known = [one for one in _table()["finishes"] if any(word in written for word in one["words"])]
    if not known:
        return {}
    longest = max(known, key=lambda one: int(one["wait_days"]))
    return {name: longest[name] for name in ("hours", "wait_days")}


@lru_cache
def _table() -> Mapping[str, Any]:
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))
