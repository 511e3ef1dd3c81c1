"""What the drawing says of the size of each part, in words."""

from __future__ import annotations

from collections.abc import Sequence

from brief.instrument.drawing.part_sizes import Size, part_sizes
from brief.services.common.formatting import plain
from brief.services.instrument.brief_inlays import ROLE, PartInlay, copies_of, inlays_of
from brief.services.instrument.dimensions import instrument_of
from brief.store.desk import Desk
from brief.store.records import Brief, Part


def drawn_sizes(desk: Desk, brief: Brief, parts: Sequence[Part]) -> dict[str, str]:
    """By the id of a part of the brief; empty for one of which the drawing shows no size."""
    made = instrument_of(brief)
    known = part_sizes(made)
    held = [one for one in inlays_of(desk, brief) if copies_of(made, one.record)]
    return {
        part.id: _inlaid([one for one in held if _is_of(one, part)])
        or _in_words(known.get(part.role, ()))
        for part in parts
    }


def _is_of(held: PartInlay, part: Part) -> bool:
    return held.part.id == part.id if held.part else part.role == ROLE


def _inlaid(those: Sequence[PartInlay]) -> str:
    """The designs that make a part, each by its name if there are several."""
    said = []
    for one in those:
        measured = one.record.measured
        sizes = Size("{} wide", measured["width_mm"]), Size("{} high", measured["height_mm"])
        named = f"{one.record.name}: " if len(those) > 1 else ""
        said.append(named + _in_words(sizes))
    return "; ".join(said)


def _in_words(sizes: Sequence[Size]) -> str:
    """ "480 mm long, 333.8 mm wide": to a tenth, which is what a rule shows."""
    return ", ".join(size.words.format(f"{plain(round(size.mm, 1))} mm") for size in sizes)
