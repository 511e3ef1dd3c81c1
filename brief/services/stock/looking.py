"""Looking in a stock: what is nearest to a colour, what pairs with a board, what lifts a brief."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, Field

from brief.colour import delta_e_2000, pair_harmony
from brief.colour.notation.notation import parse_colour
from brief.colour.spaces import Array
from brief.colour.verdicts.pairs import DOUBTFUL, READINGS, READS, Reading, pair_figures
from brief.colour.viewing.conditions import BENCH
from brief.errors import InputError
from brief.services.common.colour_view import ColourView
from brief.services.common.field_types import in_field
from brief.services.common.typed_numbers import ALength
from brief.services.rack.piece_colours import material_colour
from brief.services.spec.blanks import blanks_of, is_too_small
from brief.services.spec.parts import PartView, parts
from brief.services.stock.boards import BoardView, board_views, boards_of, pieces_of
from brief.services.stock.colours import StockColours, colours_of, within
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Stock
from brief.wood import is_usual

MOST = 200  # boards that one question finds
AT_ONCE = 2000  # pairs that are judged in one go
SOME_FIT = 20  # so many are looked at first for each that is wanted, since some are of no use
FURTHER = 5  # times as many, where too few of those were of use
MOST_LOOKED_AT = 2000  # boards for a part
Line = Annotated[float, ALength(0.1, 10, "0.8 mm")]


@dataclass(frozen=True)
class Near:
    """A board by its id, and how far it is off, CIEDE2000."""

    id: str
    distance: float


@dataclass(frozen=True)
class Paired(Near):
    """The same, and how a line would read."""

    reading: Reading


class NearBoardView(BaseModel):
    """A board near a colour."""

    board: BoardView
    distance: float = Field(description="CIEDE2000")


class PairedBoardView(BaseModel):
    """A board that a line of it could be set into, or that could be set into one."""

    board: BoardView
    reading: Reading = Field(description="Of the line, at the bench, without its figure")
    distance: float = Field(description="CIEDE2000 between the two colours")


class LiftView(BaseModel):
    """A part of a brief that a stock has something nearer to its target colour for."""

    part: PartView
    target: ColourView
    now: float | None = Field(description="CIEDE2000 of its piece from the target; None if open")
    lift: float | None = Field(description="How much nearer the best of them is; None if open")
    boards: list[NearBoardView] = Field(description="Nearest first")
    looked_at: int | None = Field(
        description="How many of the nearest were looked at, where one further off may suit, too; "
        "None if all that could were"
    )


def nearest_boards(desk: Desk, stock: Stock, colour: str, count: int) -> list[NearBoardView]:
    """The boards of a stock that are nearest to a colour, exactly, the nearest first.

    Raises InputError at “colour” for one that cannot be read, or that no eye could see.
    """
    with in_field("colour"):
        lab = parse_colour(colour)
    return near_views(desk, nearest_to(desk, stock, lab, count))


def nearest_to(desk: Desk, stock: Stock, lab: Sequence[float], count: int) -> list[Near]:
    """The boards of a stock nearest to a colour, CIELAB, D65 / 2°, the nearest first."""
    kept = colours_of(desk, stock)
    if not len(kept.ids):
        return []
    return _as_near(kept, *kept.nearest.to(_seeable(lab), count))


def near_views(desk: Desk, found: Sequence[Near]) -> list[NearBoardView]:
    """Boards that were found, as they are shown."""
    boards = _shown(desk, found)
    return [
        NearBoardView(board=board, distance=one.distance)
        for board, one in zip(boards, found, strict=True)
    ]


def paired_views(desk: Desk, found: Sequence[Paired]) -> list[PairedBoardView]:
    """Boards that pair, as they are shown."""
    boards = _shown(desk, found)
    return [
        PairedBoardView(board=board, distance=one.distance, reading=one.reading)
        for board, one in zip(boards, found, strict=True)
    ]


def pairing_with(
    desk: Desk, stock: Stock, piece: Material, line_mm: float, count: int
) -> list[Paired]:
    """Boards of a stock for an inlay of that width with a piece of the rack: those whose line
    reads at the bench first, then those where it is borderline; each by how well the colours go
    together (Ou and Luo 2006). Where it sinks is left out.

    Raises InputError where the piece has no colour yet.
    """
    known = material_colour(piece)
    if known is None:
        raise InputError.at(
            "material_id",
            f"“{piece.label}” has no colour yet: photograph it, or type a reading.",
        )
    kept = colours_of(desk, stock)
    ground = np.array(known.lab)
    order = np.argsort(-pair_harmony(kept.labs, ground).total, kind="stable")
    found: dict[int, list[int]] = {READS: [], DOUBTFUL: []}
    for start in range(0, len(order), AT_ONCE):
        some = order[start : start + AT_ONCE]
        reading = pair_figures(
            np.tile(ground, (len(some), 1)),
            kept.labs[some],
            [BENCH],
            widths_mm=np.full(len(some), line_mm),
            uncertainties=np.hypot(kept.uncertainties[some], known.uncertainty),
        ).reading[0]
        for word, places in found.items():
            places.extend(some[reading == word].tolist())
        if len(found[READS]) >= count:
            break
    words = {place: READINGS[word] for word, places in found.items() for place in places}
    best = [*found[READS], *found[DOUBTFUL]][:count]
    apart = delta_e_2000(kept.labs[best], ground) if best else ()
    return [
        Paired(str(kept.ids[place]), float(distance), words[place])
        for place, distance in zip(best, apart, strict=True)
    ]


def lifts(desk: Desk, stock: Stock, brief: Brief, count: int) -> list[LiftView]:
    """The parts of a brief that a stock has something nearer to the target colour for than what
    they are made of, open ones first, then those that it lifts most.

    Left out is what such a part is not usually made of, and what is known to be too small. Where
    few suit, MOST_LOOKED_AT of the nearest boards are looked at and no more, which `looked_at`
    says; such a part is there even if none of them suits.
    """
    kept = colours_of(desk, stock)
    every = parts.page(desk, brief_id=brief.id)
    blanks = blanks_of(desk, brief, every)
    found = []
    for record, part in zip(every, parts.show_all(desk, every), strict=True):
        target = parts.target_of(desk, record)
        if target is None or part.swatch is None or part.swatch.now is None:
            continue

        def suits(piece: Material, role: str = record.role, part_id: str = record.id) -> bool:
            usual = is_usual(role, piece.stuff, piece.species, piece.label)
            return usual and not is_too_small(blanks[part_id], piece)

        now = part.off_target
        near, looked_at = _suiting(desk, stock, kept, target, count, now, suits)
        if near or looked_at:
            lift = now - near[0].distance if near and now is not None else None
            found.append(
                LiftView(
                    part=part,
                    target=part.swatch.now,
                    now=now,
                    lift=lift,
                    boards=near_views(desk, near),
                    looked_at=looked_at,
                )
            )
    return sorted(found, key=lambda one: (not one.boards, one.lift is not None, -(one.lift or 0)))


def _suiting(
    desk: Desk,
    stock: Stock,
    kept: StockColours,
    lab: Sequence[float],
    count: int,
    below: float | None,
    suits: Callable[[Material], bool],
) -> tuple[list[Near], int | None]:
    """The nearest boards that suit, and how many were looked at, if more may be further off.

    below : CIEDE2000 that they must be nearer than.
    """
    found: list[Near] = []
    looked_at, further = 0, min(count * SOME_FIT, MOST_LOOKED_AT)
    while looked_at < len(kept.ids):
        places, distances = kept.nearest.to(_seeable(lab), further)
        within = len(places) if below is None else int(np.searchsorted(distances, below))
        some = _as_near(kept, places[looked_at:within], distances[looked_at:within])
        pieces = pieces_of(desk, stock, [one.id for one in some])
        found += [one for one in some if suits(pieces[one.id])]
        if len(found) >= count or within < len(places):
            break
        looked_at = len(places)
        if looked_at >= MOST_LOOKED_AT and looked_at < len(kept.ids):
            return found, looked_at
        further = min(further * FURTHER, MOST_LOOKED_AT)
    return found[:count], None


def _as_near(kept: StockColours, places: NDArray[np.intp], distances: Array) -> list[Near]:
    ids = kept.ids[places]
    return [Near(str(one), float(far)) for one, far in zip(ids, distances, strict=True)]


def _shown(desk: Desk, found: Sequence[Near]) -> list[BoardView]:
    boards = boards_of(desk, [one.id for one in found])
    return board_views(desk, [boards[one.id] for one in found])


def _seeable(lab: Sequence[float]) -> Sequence[float]:
    """The same, no darker than black and no lighter than white."""
    return within(lab[0]), lab[1], lab[2]
