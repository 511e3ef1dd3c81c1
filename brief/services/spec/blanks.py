"""Whether a piece of the rack is large enough for a part, by the size that is written down."""

from __future__ import annotations

from collections.abc import Sequence

from brief.instrument.model.contacts import blanks_mm
from brief.services.common.formatting import plain
from brief.services.instrument.brief_inlays import inlay_blanks_mm
from brief.services.instrument.dimensions import instrument_of
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part

Blank = tuple[float, float, float]  # length, width, thickness in millimetres


def blanks_of(desk: Desk, brief: Brief, parts: Sequence[Part]) -> dict[str, Blank | None]:
    """The blank that each part needs, by its id: of an inlay's design, or of its usual size."""
    usual, own = blanks_mm(instrument_of(brief)), inlay_blanks_mm(desk, brief)
    return {part.id: own.get(part.id) or usual.get(part.role) for part in parts}


def is_too_small(needed: Blank | None, material: Material) -> bool:
    """Whether a size that is written down is below the blank that is needed."""
    if needed is None:
        return False
    length, width, thickness = needed
    flat = sorted(filter(None, (material.length_mm, material.width_mm)), reverse=True)
    flat_needed = (max(length, width), min(length, width))
    short = any(have < need for have, need in zip(flat, flat_needed, strict=False))
    return short or (material.thickness_mm is not None and material.thickness_mm < thickness)


def too_small(needed: Blank | None, material: Material) -> str:
    """In the maker's words; empty where the piece is large enough or its size is not known."""
    if needed is None or not is_too_small(needed, material):
        return ""
    have = (material.length_mm, material.width_mm, material.thickness_mm)
    return (
        f"This piece is too small for the part: it needs {_sizes(needed)}; "
        f"{material.label} is {_sizes(have)}."
    )


def _sizes(sizes: Sequence[float | None]) -> str:
    known = ["?" if size is None else plain(round(size, 1)) for size in sizes]
    return " × ".join(known) + " mm"
