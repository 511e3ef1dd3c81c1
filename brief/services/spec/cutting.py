"""The cut list to buy from: every part and what goes with it, finished and as a blank, rounded up,
and which piece of the rack yields which.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pydantic import BaseModel, Field

from brief.english import words
from brief.instrument.model.also_needed import Needed, also_needed, of_cut
from brief.instrument.model.cut_list import board_share, cut_list
from brief.services.common.finding import listed
from brief.services.common.formatting import plain
from brief.services.common.table_cells import cell
from brief.services.instrument.dimensions import instrument_of
from brief.services.spec.blanks import is_too_small
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part

FINE_MM = 20.0  # sizes below it are rounded up to a tenth, others to a whole millimetre
HEADS = (
    "part", "pieces", "length", "width", "thickness", "finished length", "finished width",
    "finished thickness", "from",
)  # fmt: skip


class CutView(BaseModel):
    """One line of the cut list: so many pieces alike, in millimetres."""

    name: str = Field(examples=["Binding"])
    pieces: int
    blank_mm: list[float] = Field(description="Length, width, thickness, rounded up")
    finished_mm: list[float] = Field(description="The same as it ends")
    way: str = Field(description="One of several ways to build it; empty where there is one")
    piece: str = Field(description="The piece of the rack that it is of; empty where none is")
    too_small: bool = Field(description="Whether that piece is, by the size that is written down")


class CutListView(BaseModel):
    """All of it, and in sentences what each piece of the rack yields."""

    cuts: list[CutView]
    yields: list[str]


@dataclass(frozen=True)
class Cutting:
    """What the Drawing sheet shows of it: the parts, what else is needed, and weights by name.

    Weights are of blanks and finished, g.
    """

    cut_rows: Sequence[CutView]
    also_rows: Sequence[CutView]
    weighed: Mapping[str, tuple[float | None, float | None]]


def cut_list_view(desk: Desk, brief: Brief) -> CutListView:
    """The cut list of a brief's instrument, with the pieces that its parts have now."""
    pieces = pieces_cut(desk, brief)
    rows = [_row(one, pieces.get(one.of)) for one in needed_of(brief)]
    return CutListView(cuts=rows, yields=_yields(brief, pieces))


def needed_of(brief: Brief) -> list[Needed]:
    """Every line of the cut list, as it is before it is rounded."""
    made = instrument_of(brief)
    cuts = [cut for cut in cut_list(made) if cut.role != "neck"]
    return [*(of_cut(made, cut) for cut in cuts), *also_needed(made)]


def cutting(desk: Desk, brief: Brief, densities: Mapping[str, float]) -> Cutting:
    """The same for its page; densities : kg/m³ by role, where they are known."""
    view = cut_list_view(desk, brief)
    weighed = {
        cut.name: (cut.blank_g, cut.weight_g)
        for cut in cut_list(instrument_of(brief), densities=densities)
    }
    parts = [one for one in view.cuts if one.name in weighed]
    others = [one for one in view.cuts if one.name not in weighed]
    return Cutting(parts, others, weighed)


def as_csv(view: CutListView) -> str:
    """The cut list as a table that any program for tables opens; blanks first, in millimetres."""
    text = io.StringIO()
    write = csv.writer(text)
    write.writerow(HEADS)
    for one in view.cuts:
        write.writerow([cell(one.name), one.pieces, *one.blank_mm, *one.finished_mm,
                        cell(one.piece)])  # fmt: skip
    return text.getvalue()


def _row(needed: Needed, material: Material | None) -> CutView:
    blank = rounded_up(needed.blank_mm)
    small = material is not None and is_too_small((blank[0], blank[1], blank[2]), material)
    return CutView(
        name=needed.name,
        pieces=needed.pieces,
        blank_mm=blank,
        finished_mm=[round(size, 1) for size in needed.finished_mm],
        way=needed.way,
        piece=material.label if material else "",
        too_small=small,
    )


def rounded_up(sizes: Sequence[float]) -> list[float]:
    """Sizes of a blank as they are bought by: never smaller, mm."""
    steps = [10.0 if size < FINE_MM else 1.0 for size in sizes]
    return [
        math.ceil(round(size * step, 6)) / step for size, step in zip(sizes, steps, strict=True)
    ]


def pieces_cut(desk: Desk, brief: Brief) -> dict[str, Material]:
    """The piece of each part that has one, by the part's role; the first of several parts."""
    found: dict[str, Material] = {}
    for part in listed(desk, Part, brief_id=brief.id):
        if part.material_id is not None:
            found.setdefault(part.role, desk.session.get_one(Material, part.material_id))
    return found


def _yields(brief: Brief, pieces: Mapping[str, Material]) -> list[str]:
    """What each piece gives, and how much of its face that takes, in sentences."""
    made, said = instrument_of(brief), []
    cuts = cut_list(made)
    for material in {one.id: one for one in pieces.values()}.values():
        its = [cut for cut in cuts if pieces.get(cut.role) is material]
        if not its:
            continue
        gives = words([f"{cut.pieces} × {cut.name.lower()}" for cut in its])
        if not material.length_mm or not material.width_mm:
            said.append(f"{material.label}: {gives}. Its size is not written down.")
            continue
        share = board_share((material.length_mm, material.width_mm, material.thickness_mm), its)
        took = f"{plain(math.ceil(share * 100))} % of its face, without the kerf"
        short = [
            cut.name.lower()
            for cut in its
            if is_too_small((cut.length_mm, cut.width_mm, cut.thickness_mm), material)
        ]
        if short:
            said.append(f"{material.label}: {gives}. It is too small for the {words(short)}.")
        elif share > 1:
            said.append(
                f"{material.label}: {gives}. One board of its size is too little for that: {took}."
                " A set of several may do."
            )
        else:
            said.append(f"{material.label}: {gives}, {took}.")
    return said
