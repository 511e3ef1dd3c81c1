"""What a piece's blanks are laid out on: its whole board in a photograph with a scale, else the
rectangle of its written size."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import select

from brief.instrument.model.sawing import Sides
from brief.photo import Area, Scale, Selection
from brief.photo.outline.board_grid import BoardGrid, board_grid
from brief.photo.wood.figure import STRAIGHT
from brief.services.common.formatting import plain
from brief.services.photos.measured_area import WhereView, where_view
from brief.services.photos.pictures import existing_image
from brief.services.photos.shot_correction import known_length
from brief.store.desk import Desk
from brief.store.records import Material, Photograph
from brief.wood.cautions import stuff_row

NO_GRAIN = ("mineral", "made", "animal")  # natures whose blanks may lie either way
WHOLE_SHARE = 0.9  # of its written sides, from which a photograph counts as one of all the board
SIZES_AGREE = 0.01  # beyond the doubt: a rule that was read slightly wrong
LOOKED_UP_MM = 4.0  # squares in which it is told how large what a photograph shows is


@dataclass(frozen=True)
class Ground:
    """A board to lay blanks out on. error : of its scale, as a share; 0 of a written size.

    photograph, where : the photograph it is seen in and what of that is wood; None of a size alone.
    turns : whether blanks may lie either way. unlike : whether there is a photograph with a scale
    that shows less of it, or more than it.
    """

    area: Area
    size_mm: Sides
    error: float
    grain_deg: float | None
    turns: bool
    photograph: Photograph | None = None
    where: WhereView | None = None
    unlike: bool = False


def ground_of(desk: Desk, material: Material) -> Ground | None:
    """Of a piece; None where neither its size nor a scale is known."""
    seen = list(_seen(desk, material))
    written = written_mm(material)
    whole = [one for one in seen if written is None or _shows_all(one, written)]
    if whole:
        return min(whole, key=_worth)
    if written is None:
        return None
    return Ground(Area(), written, 0.0, None, _turns(material), unlike=bool(seen))


def written_mm(material: Material) -> Sides | None:
    """Length and width of a piece as they are written down."""
    if not material.length_mm or not material.width_mm:
        return None
    return material.length_mm, material.width_mm


def size_notes(material: Material, ground: Ground, grid: BoardGrid) -> Iterator[str]:
    """What is to be said of how large it is, and of how it is known."""
    if ground.photograph is None:
        yield (
            "Drawn by the size you wrote: what the photograph shows is of another size."
            if ground.unlike
            else "Drawn by the size you wrote. Photograph the whole board and mark a known length: "
            "then its edges and knots count."
        )
        return
    if ground.where is not None and ground.where.by == "whole":
        yield "The wood is not outlined: the whole photograph counts as board."
    written, seen = written_mm(material), sorted(grid.sides_mm, reverse=True)
    if written and any(
        abs(side - found) > (ground.error + SIZES_AGREE) * side
        for side, found in zip(sorted(written, reverse=True), seen, strict=True)
    ):
        yield (
            f"By the photograph it is {plain(round(seen[0]))} × {plain(round(seen[1]))} mm; you "
            f"wrote {plain(written[0])} × {plain(written[1])}. Measure it again."
        )


def _seen(desk: Desk, material: Material) -> Iterator[Ground]:
    """In each photograph with a scale that is not of its end grain."""
    asked = (
        select(Photograph)
        .where(
            Photograph.material_id == material.id,
            Photograph.binned_utc.is_(None),
            Photograph.scale_mm.is_not(None),
            Photograph.scale_points.is_not(None),
            Photograph.state != "end grain",
        )
        .order_by(Photograph.id)
    )
    turns = _turns(material)
    for one in desk.session.scalars(asked):
        known = known_length({"scale_points": one.scale_points, "scale_mm": one.scale_mm})
        if known is None:
            continue
        image = existing_image(desk, one.image_sha256)
        scale = Scale.from_taps(*known, (image.width_px, image.height_px))
        where = where_view(one.selections, one.findings)
        area = Area(
            tuple(Selection.parse(text) for text in where.selections),
            tuple(tuple(ring) for ring in where.without),
        )
        size = scale.width_mm, scale.height_mm
        grain = None if turns else _grain_deg(one)
        yield Ground(area, size, scale.error, grain, turns, one, where)


def _worth(one: Ground) -> tuple[bool, bool]:
    """An outlined board before a whole photograph, bare wood before finished."""
    whole = one.where is not None and one.where.by == "whole"
    return whole, one.photograph is not None and one.photograph.state != "bare"


def _shows_all(one: Ground, written: Sides) -> bool:
    grid = board_grid(one.area, one.size_mm, one.grain_deg, cell_mm=LOOKED_UP_MM)
    sides = sorted(grid.sides_mm), sorted(written)
    sure = one.where is not None and one.where.by == "drawn"  # so the size may be written wrong
    most = math.inf if sure else 1 / WHOLE_SHARE
    return all(
        WHOLE_SHARE * side <= found <= most * side for found, side in zip(*sides, strict=True)
    )


def _turns(material: Material) -> bool:
    return stuff_row(material.stuff).nature in NO_GRAIN


def _grain_deg(photograph: Photograph) -> float | None:
    figure = photograph.findings["figure"]
    direction: float | None = figure["direction_deg"]
    return direction if figure["strength"] >= STRAIGHT else None
