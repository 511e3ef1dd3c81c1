"""The page where a maker looks in a stock: from a colour, from a piece, or for the whole brief."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.english import number_of
from brief.errors import NotFound
from brief.services import nouns
from brief.services.common.paging import Leaf, Pager, paged
from brief.services.pages.shared import Choices
from brief.services.rack.searching import answering
from brief.services.stock.boards import BoardView, board_views, boards_page
from brief.services.stock.filling.rows import has_parquet
from brief.services.stock.looking import (
    MOST,
    Near,
    lifts,
    near_views,
    nearest_to,
    paired_views,
    pairing_with,
)
from brief.services.stock.stocks import StockView
from brief.store.desk import Desk
from brief.store.records import Brief, Stock
from brief.wood import REMINDER

A_PAGE = 12  # boards
EACH = 2  # boards for a part
MOST_OFFERED = 40  # pieces of the rack to look from; of a longer one those that are asked for
MOST_WORDS = 200  # letters
LINE_MM = 1.0
LIFT = "brief"
READ = {"reads": "reads", "doubtful": "borderline"}


@dataclass(frozen=True)
class FoundBoard:
    """A board, and why it is here: how far it is off, or how its line would read."""

    board: BoardView
    note: str


@dataclass(frozen=True)
class FoundBoards:
    """Boards under a heading, with what they are held against. hex : of it, "" without one.
    more : what is to be said of those that were not looked at.
    """

    heading: str
    hex: str
    texture: str
    boards: Sequence[FoundBoard]
    more: str = ""


@dataclass(frozen=True)
class StockPage:
    """stock : the one that is looked in; None if there is none. looks : what can be looked for,
    in groups; look is what now. words : what is looked for among the pieces of a long rack.
    offered : how many of those are, "" where all are. gone : said where what was asked for is not
    there any more.
    """

    stocks: Choices
    stock: StockView | None
    looks: Mapping[str, Choices]
    look: str
    words: str
    offered: str
    gone: str
    found: Sequence[FoundBoards]
    pager: Pager
    reminder: str
    has_parquet: bool


def stock_page(desk: Desk, brief: Brief, asked: Mapping[str, str], leaf: Leaf) -> tuple[StockPage]:
    """What the page shows; `asked`: stock, an id; look, as `looks` have it; words."""
    every = nouns.stocks.page(desk)
    wanted = asked.get("stock", "")
    stock = next((one for one in every if one.id == wanted), next(iter(every), None))
    look, words = asked.get("look", ""), asked.get("words", "")[:MOST_WORDS]
    looks, known, offered = _looks(desk, brief, look, words)
    gone = bool(look and look not in known) or bool(wanted and not (stock and stock.id == wanted))
    look = look if look in known else ""
    shown: StockView | None = None
    found: Sequence[FoundBoards] = ()
    pager = Pager(1, 1, 0)
    if stock:
        shown = nouns.stocks.show(desk, stock)
        found, pager = _found(desk, brief, stock, shown.boards, look, words, leaf)
    page = StockPage(
        stocks=[(one.id, one.name) for one in every],
        stock=shown,
        looks=looks,
        look=look,
        words=words,
        offered=offered,
        gone="What you looked for is not there any more." if gone else "",
        found=found,
        pager=pager,
        reminder=REMINDER,
        has_parquet=has_parquet(),
    )
    return (page,)


def _looks(
    desk: Desk, brief: Brief, look: str, words: str
) -> tuple[dict[str, Choices], set[str], str]:
    """What can be looked for, all that is known beside it, and what is said of a long rack."""
    rack = [one for one in nouns.materials.page(desk) if one.lab is not None]
    swatches = nouns.swatches.page(desk, brief_id=brief.id)
    known = {LIFT, *(f"swatch:{one.id}" for one in swatches)}
    known |= {f"{kind}:{one.id}" for one in rack for kind in ("piece", "pair")}
    pieces, offered = rack, ""
    if len(rack) > MOST_OFFERED:
        found = answering(rack, words)
        chosen = [one for one in rack if one.id == look.partition(":")[2]]
        pieces = [*chosen, *(one for one in found[:MOST_OFFERED] if one not in chosen)]
        offered = f"{min(len(found), MOST_OFFERED)} of {number_of(len(rack), 'piece')} offered"
    looks: dict[str, Choices] = {
        "For this brief": [(LIFT, "nearer to my target colours")],
        "Nearest to a swatch": [(f"swatch:{one.id}", one.name) for one in swatches],
        "Nearest to a piece": [(f"piece:{one.id}", one.label) for one in pieces],
        "For an inlay with": [(f"pair:{one.id}", one.label) for one in pieces],
    }
    return looks, known, offered


def _found(
    desk: Desk, brief: Brief, stock: Stock, count: int, look: str, words: str, leaf: Leaf
) -> tuple[Sequence[FoundBoards], Pager]:
    kind, _, record_id = look.partition(":")
    asked = {"stock": stock.id, "look": look, "words": words}
    if kind == LIFT:
        return _lifted(desk, brief, stock), Pager(1, 1, 0)
    if kind == "swatch":
        swatch = nouns.swatches.show(desk, nouns.swatches.get(desk, record_id))
        near = nearest_to(desk, stock, swatch.colour.lab, MOST)
        some, pager = paged(near, A_PAGE, leaf, asked)
        heading = f"Nearest to {swatch.name}"
        return [FoundBoards(heading, swatch.colour.hex, "", _near(desk, some))], pager
    if kind in ("piece", "pair"):
        record = nouns.materials.get(desk, record_id)
        piece = nouns.materials.show(desk, record)
        if piece.colour is None:
            raise NotFound(f"“{piece.label}” has no colour yet.")
        if kind == "piece":
            near = nearest_to(desk, stock, piece.colour.lab, MOST)
            some, pager = paged(near, A_PAGE, leaf, asked)
            heading, boards = f"Nearest to {piece.label}", _near(desk, some)
        else:
            pairs, pager = paged(
                pairing_with(desk, stock, record, LINE_MM, MOST), A_PAGE, leaf, asked
            )
            heading = f"For an inlay of {LINE_MM:g} mm with {piece.label}"
            boards = [FoundBoard(one.board, READ[one.reading]) for one in paired_views(desk, pairs)]
        return [FoundBoards(heading, piece.colour.hex, piece.texture or "", boards)], pager
    return _every(desk, stock, count, leaf, asked)


def _every(
    desk: Desk, stock: Stock, count: int, leaf: Leaf, asked: Mapping[str, str]
) -> tuple[Sequence[FoundBoards], Pager]:
    """A page of all boards, of which no more is read than that."""
    pages = max(1, -(-count // A_PAGE))
    page = min(max(leaf.page, 1), pages)
    boards = board_views(desk, boards_page(desk, stock, skip=(page - 1) * A_PAGE, limit=A_PAGE))
    found = [FoundBoards("All boards", "", "", [FoundBoard(one, "") for one in boards])]
    return found, Pager(page, pages, count, asked)


def _lifted(desk: Desk, brief: Brief, stock: Stock) -> list[FoundBoards]:
    return [
        FoundBoards(
            f"{one.part.name}: {_now(one.now)}",
            one.target.hex,
            "",
            [FoundBoard(near.board, _off(near.distance)) for near in one.boards],
            _further(one.looked_at),
        )
        for one in lifts(desk, stock, brief, EACH)
    ]


def _near(desk: Desk, found: Sequence[Near]) -> list[FoundBoard]:
    return [FoundBoard(one.board, _off(one.distance)) for one in near_views(desk, found)]


def _further(looked_at: int | None) -> str:
    if looked_at is None:
        return ""
    return f"The {looked_at:,} nearest were looked at; one further off may suit, too."


def _now(off: float | None) -> str:
    return "still open" if off is None else f"now {off:.0f} off its target"


def _off(distance: float) -> str:
    return f"colour difference {distance:.1f}"
