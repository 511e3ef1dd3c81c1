"""Whether the measurements that came with an inlay are those of its drawing."""

from __future__ import annotations

import math
from typing import Any


def alike(one: Any, other: Any) -> bool:
    """Whether two measurements are the same but for rounding, and of the same form."""
    match one:
        case dict():
            return (
                isinstance(other, dict)
                and one.keys() == other.keys()
                and all(alike(one[name], other[name]) for name in one if name != "at")
                and _is_place(other.get("at"), wanted="at" in one)
            )
        case list() | tuple():
            return (
                isinstance(other, list | tuple)
                and len(one) == len(other)
                and all(map(alike, one, other))
            )
        case None:
            return other is None
        case _:
            return isinstance(other, int | float) and math.isclose(one, other, rel_tol=0.02)


def _is_place(at: Any, *, wanted: bool) -> bool:
    """Of two places that are as thin as each other, either may be named."""
    if not wanted:
        return True
    return (
        isinstance(at, list | tuple)
        and len(at) == 2
        and all(isinstance(one, int | float) and abs(one) < 1000 for one in at)
    )
