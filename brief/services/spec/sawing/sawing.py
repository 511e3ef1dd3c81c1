"""What each piece of the rack yields, laid out on its own photograph: where to saw, and what is
left."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any

import numpy as np
from sqlalchemy import select

from brief.english import words
from brief.errors import InputError
from brief.instrument.model.sawing import Layout, Missed, Rectangle, Sides, lay_out
from brief.photo import Area
from brief.photo.outline.board_grid import BoardGrid, board_grid
from brief.services.common.formatting import plain
from brief.services.common.typed_numbers import ALength
from brief.services.photos.pictures import picture_view
from brief.services.rack.piece_colours import material_colour
from brief.services.spec.cutting import needed_of, pieces_cut
from brief.services.spec.sawing.sawn_blanks import WantedBlank, wanted_blanks
from brief.services.spec.sawing.sawn_ground import Ground, ground_of, size_notes
from brief.services.spec.sawing.sawn_view import (
    Corners,
    LineView,
    SawnBoardView,
    SawnOffcutView,
    SawnView,
)
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part

# A bandsaw with a thin blade; a circular saw takes some 3 mm. Common practice, no source.
USUAL_KERF_MM, MOST_KERF_MM = 1.0, 10.0
KERF = ALength(0, MOST_KERF_MM, "1")
AT_THE_SAW = (
    "Guard down to the wood, a push stick for the last hand’s width, eyes, ears and lungs covered; "
    "a board that rocks binds the blade. Common practice, no source: your machine’s manual and "
    "local rules decide."
)
Kerf = Annotated[float, KERF]


@dataclass(frozen=True)
class AskedOfSaw:
    """The width of the saw's cut as it was typed."""

    kerf_mm: str = ""


def kerf_of(asked: AskedOfSaw) -> tuple[float, str]:
    """The kerf that was typed, and what is wrong with it; then it is the usual one."""
    try:
        return (float(KERF.read(asked.kerf_mm)) if asked.kerf_mm.strip() else USUAL_KERF_MM), ""
    except InputError as exc:
        return USUAL_KERF_MM, str(exc)


def sawn_boards(desk: Desk, brief: Brief, kerf_mm: float = USUAL_KERF_MM) -> list[SawnBoardView]:
    """Every piece of the rack that a part on the cut list is of, in the order of the parts."""
    by_role = pieces_cut(desk, brief)
    return [
        _sawn(desk, brief, material, by_role, kerf_mm)
        for material in {one.id: one for one in by_role.values()}.values()
        if any(by_role.get(one.of) is material for one in needed_of(brief))
    ]


def sawn_board(
    desk: Desk, brief: Brief, material: Material, kerf_mm: float = USUAL_KERF_MM
) -> SawnBoardView | None:
    """One of them; None where no part on the cut list is of it."""
    by_role = pieces_cut(desk, brief)
    if not any(by_role.get(one.of) is material for one in needed_of(brief)):
        return None
    return _sawn(desk, brief, material, by_role, kerf_mm)


def _sawn(
    desk: Desk, brief: Brief, material: Material, by_role: Mapping[str, Material], kerf_mm: float
) -> SawnBoardView:
    needed = [one for one in needed_of(brief) if by_role.get(one.of) is material]
    wanted = list(wanted_blanks(needed, material, _matches(desk, brief, material), kerf_mm))
    given: dict[str, Any] = {
        "material_id": material.id,
        "label": material.label,
        "kerf_mm": kerf_mm,
    }
    ground = ground_of(desk, material)
    if ground is None:
        return _without_size(given, wanted)
    size_mm, area = ground.size_mm, ground.area
    those = [i for i, one in enumerate(wanted) for _ in range(one.blanks if one.leaves else 0)]
    sides = tuple(wanted[i].sides for i in those)
    grid, layout, tight = _laid(
        area, size_mm, ground.grain_deg, sides, kerf_mm, ground.error, ground.turns
    )
    lines = [_line(i, one, those, layout) for i, one in enumerate(wanted)]
    shot = ground.photograph
    colour = material_colour(material)
    return SawnBoardView(
        **given,
        photograph_id=shot and shot.id,
        picture=shot and picture_view(desk, shot.image_sha256),
        hex=colour and colour.hex,
        shows_mm=size_mm,
        outlines=[_in_mm(one.ring, size_mm) for one in area.selections],
        left_out=[
            _in_mm(ring, size_mm)
            for ring in (*area.without, *(hole for one in area.selections for hole in one.holes))
        ],
        origin=_points(grid, [(0, 0), (grid.sides_mm[0], 0), (0, grid.sides_mm[1])]),
        lines=lines,
        sawn=list(_places(grid, those, layout)),
        offcuts=[
            SawnOffcutView(
                length_mm=one.length_mm, width_mm=one.width_mm, corners=_corners(grid, one)
            )
            for one in layout.left
        ],
        doubt_mm=ground.error * _longest(sides, grid) if shot else None,
        sentence=_sentence(lines),
        notes=[
            *_doubt_notes(ground, _longest(sides, grid), tight, layout),
            *size_notes(material, ground, grid),
            *_grain_notes(ground, grid),
        ],
    )


def _longest(sides: Sequence[Sides], grid: BoardGrid) -> float:
    return max((long for long, _ in sides), default=max(grid.sides_mm))


@lru_cache(maxsize=64)  # a board that nothing was changed of is laid out once
def _laid(
    area: Area,
    size_mm: Sides,
    grain_deg: float | None,
    sides: tuple[Sides, ...],
    kerf_mm: float,
    error: float,
    turns: bool,
) -> tuple[BoardGrid, Layout, Layout]:
    """The board and its layout, and that of blanks larger by the doubt of the scale."""
    grid = board_grid(area, size_mm, grain_deg)
    larger = [(long * (1 + error), wide * (1 + error)) for long, wide in sides]
    layout, tight = (
        lay_out(grid.inside, grid.cell_mm, those, kerf_mm, turns=turns) for those in (sides, larger)
    )
    return grid, layout, tight


def _without_size(given: Mapping[str, Any], wanted: Sequence[WantedBlank]) -> SawnBoardView:
    return SawnBoardView(
        **given,
        photograph_id=None,
        picture=None,
        hex=None,
        shows_mm=None,
        outlines=[],
        left_out=[],
        origin=[],
        lines=[_line(i, one, [], None) for i, one in enumerate(wanted)],
        sawn=[],
        offcuts=[],
        doubt_mm=None,
        sentence="Write down its size, or mark a known length in a photograph of the whole board: "
        "then its cuts are laid out.",
        notes=[],
    )


def _matches(desk: Desk, brief: Brief, material: Material) -> dict[str, str]:
    """How the maker has matched the halves of each part of it, by role; most have not said."""
    asked = select(Part.role, Part.laying).where(
        Part.brief_id == brief.id,
        Part.material_id == material.id,
        Part.binned_utc.is_(None),
        Part.laying.is_not(None),
    )
    return {role: laying["match"] for role, laying in desk.session.execute(asked) if laying}


def _line(i: int, one: WantedBlank, those: Sequence[int], layout: Layout | None) -> LineView:
    mine = [layout.places[at] for at, of in enumerate(those) if of == i] if layout else []
    missed = [place for place in mine if isinstance(place, Missed)]
    said = [one.sentence] if one.sentence else []
    if missed:
        said.append(_why(missed[0], one.sides, len(missed), len(mine)))
    return LineView(
        number=i + 1,
        name=one.needed.name,
        pieces=one.pieces,
        blanks=one.blanks,
        leaves=one.leaves,
        blank_mm=one.blank_mm,
        laid=len(mine) - len(missed),
        sentence=" ".join(said),
    )


def _why(missed: Missed, sides: Sides, count: int, of: int) -> str:
    """By how much a blank does not fit."""
    some = "No room for it" if of == 1 else f"No room for {count} of {of}"
    if missed.alone:
        return f"{some} beside the others. Saw it from another board."
    ways = []
    if missed.longest_mm:
        ways.append(f"{plain(math.ceil(sides[0] - missed.longest_mm))} mm too long at its width")
    if missed.widest_mm:
        ways.append(f"{plain(math.ceil(sides[1] - missed.widest_mm))} mm too wide at its length")
    return f"{some}: {', or '.join(ways) or 'it is too long and too wide'}."


def _sentence(lines: Sequence[LineView]) -> str:
    # A name without the way that a neck is built, which stands beside it.
    lacking = [
        one.name.split(",")[0].lower() for one in lines if one.laid < one.blanks or not one.leaves
    ]
    if not lacking:
        return "It yields all that is to be cut from it."
    return f"It yields too little for the {words(lacking)}."


def _doubt_notes(ground: Ground, longest: float, tight: Layout, layout: Layout) -> Iterator[str]:
    if ground.photograph is None:
        return
    yield (
        f"By the marked length, {plain(round(longest))} mm may be off by "
        f"{ground.error * longest:.1f} mm. Measure on the board before you saw."
    )
    if _fit(tight) < _fit(layout):
        yield "It fits only just: if the photograph is off by its doubt, one has no room."


def _grain_notes(ground: Ground, grid: BoardGrid) -> Iterator[str]:
    if ground.turns or ground.photograph is None:
        return
    if grid.along == "grain":
        yield "The grain runs askew to its edges; blanks are laid along the grain."
    if grid.along == "longer side":
        yield "No clear grain was measured; blanks are laid along its longer side."


def _fit(layout: Layout) -> int:
    return sum(isinstance(place, Rectangle) for place in layout.places)


def _places(grid: BoardGrid, those: Sequence[int], layout: Layout) -> Iterator[SawnView]:
    for of, place in zip(those, layout.places, strict=True):
        if isinstance(place, Rectangle):
            yield SawnView(
                number=of + 1,
                along_mm=place.x_mm,
                across_mm=place.y_mm,
                length_mm=place.length_mm,
                width_mm=place.width_mm,
                corners=_corners(grid, place),
            )


def _corners(grid: BoardGrid, at: Rectangle) -> Corners:
    right, low = at.x_mm + at.length_mm, at.y_mm + at.width_mm
    return _points(grid, [(at.x_mm, at.y_mm), (right, at.y_mm), (right, low), (at.x_mm, low)])


def _points(grid: BoardGrid, board_mm: Sequence[Sides]) -> Corners:
    return [(round(float(x), 2), round(float(y), 2)) for x, y in grid.seen(np.array(board_mm))]


def _in_mm(ring: Sequence[tuple[float, float]], size_mm: tuple[float, float]) -> Corners:
    wide, high = size_mm
    return [(round(x / 100 * wide, 2), round(y / 100 * high, 2)) for x, y in ring]
