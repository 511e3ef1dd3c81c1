"""The measured pieces of the rack as boards, to choose one by eye: a page of those asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.english import number_of
from brief.services import nouns
from brief.services.common.paging import Leaf, Pager, paged
from brief.services.drawing.instrument_drawing import WornPiece, worn
from brief.services.pairing.view_settings import Switches
from brief.services.rack.piece_views import MaterialView
from brief.services.rack.searching import RackAsked, found_on
from brief.store.desk import Desk
from brief.store.records import Brief, Material

A_PAGE = 48


@dataclass(frozen=True)
class Boards:
    """materials : a page of the boards; worn : how each shows, by id. ground : the piece that each
    is to be set into, which is none of them. counted : how many were found, in words.
    """

    materials: Sequence[MaterialView]
    worn: Mapping[str, WornPiece]
    ground: Material | None
    pager: Pager
    counted: str


def boards(
    desk: Desk, brief: Brief, switches: Switches, asked: RackAsked, page: int, ground_id: str
) -> Boards:
    """The boards that are asked for, seen as the switches have it."""
    rack = [one for one in nouns.materials.page(desk) if one.lab is not None]
    others = [one for one in rack if one.id != ground_id]
    found = found_on(others, asked)
    here, pager = paged(found, A_PAGE, Leaf(page))
    ground = next((one for one in rack if one.id == ground_id), None)
    shown = [*here, *([ground] if ground else [])]
    return Boards(
        materials=nouns.materials.show_all(desk, here),
        worn=worn(desk, [one.id for one in shown], switches.state),
        ground=ground,
        pager=pager,
        counted=_counted(len(found), len(others)),
    )


def _counted(found: int, every: int) -> str:
    # A ground that is alone on the rack has nothing to be set into it.
    if not every:
        return "No other piece is on the rack"
    pieces = number_of(every, "piece")
    if not found:
        return f"No match among {pieces}"
    return pieces if found == every else f"{found} of {pieces}"
