"""Where to saw the pieces of the rack, as the Drawing sheet and the page of a piece show it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from brief.services.spec.sawing.sawing import (
    AT_THE_SAW,
    AskedOfSaw,
    kerf_of,
    sawn_board,
    sawn_boards,
)
from brief.services.spec.sawing.sawn_labels import SawnLabel, labels_of
from brief.services.spec.sawing.sawn_view import SawnBoardView
from brief.store.desk import Desk
from brief.store.records import Brief, Material

NO_SAW = AskedOfSaw()


@dataclass(frozen=True)
class Sawing:
    """boards : with something to be cut from them. sawn_labels : of each, by its piece's id.

    saw_asked : as it was typed; saw_fault : what is wrong with it; saw_query : the same for an
    address of a sheet. at_the_saw : what to heed there.
    """

    boards: Sequence[SawnBoardView]
    sawn_labels: Mapping[str, Sequence[SawnLabel]]
    saw_asked: AskedOfSaw
    saw_fault: str
    saw_query: str
    at_the_saw: str = AT_THE_SAW


def sawing(
    desk: Desk, brief: Brief, asked: AskedOfSaw = NO_SAW, material: Material | None = None
) -> Sawing:
    """Of all pieces of a brief, or of one."""
    kerf_mm, fault = kerf_of(asked)
    if material is None:
        boards = sawn_boards(desk, brief, kerf_mm)
    else:
        one = sawn_board(desk, brief, material, kerf_mm)
        boards = [one] if one else []
    labels = {one.material_id: list(labels_of(one)) for one in boards}
    typed = {"kerf_mm": asked.kerf_mm.strip()} if asked.kerf_mm.strip() and not fault else {}
    return Sawing(boards, labels, asked, fault, urlencode(typed))
