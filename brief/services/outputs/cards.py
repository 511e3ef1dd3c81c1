"""The card beside the piece at a show: what others see of a brief, in a few lines."""

from __future__ import annotations

import re
from collections.abc import Sequence

from brief.english import words
from brief.errors import InputError
from brief.paper.contents import Card, CardPaper, Credit
from brief.services.sharing.guest_view import outside
from brief.services.sharing.printed_pictures import PrintedPictures
from brief.services.sharing.seen import MadeOf, Outside
from brief.services.sharing.share_scope import LeaveOut, Scope
from brief.services.sharing.shares import SheetKey

INSTRUMENT, NONE = "instrument", "none"
SHEETS: tuple[SheetKey, ...] = ("theme", "references", "spec")
LONGEST_LINES = 200  # characters of the theme


def card_pdf(
    scope: Scope,
    paper: CardPaper,
    *,
    maker: str,
    lines: str | None,
    picture: str,
    leave_out: LeaveOut,
) -> bytes:
    """The card of the brief's piece. Raises as `gather_card`."""
    from brief.paper import card

    gathered = gather_card(scope, maker=maker, lines=lines, picture=picture, leave_out=leave_out)
    return card.card_pdf(gathered, paper)


def gather_card(
    scope: Scope, *, maker: str, lines: str | None, picture: str, leave_out: LeaveOut
) -> Card:
    """All that the card prints.

    lines : of the theme; its beginning if None. picture : "instrument", "none", or the
    id of a picture among the references or of a studio picture that others may see.
    Raises InputError at `picture` for one that is private or is no picture of this brief, and
    RightsUnclear for one whose rights are not clear, unless that is to be left out.
    """
    scope = scope.showing(SHEETS)
    seen = outside(scope)
    jpeg, credit = _pictured(scope, seen, picture, leave_out)
    return Card(
        title=seen.about.label,
        instrument=seen.called,
        maker=maker,
        lines=first_lines(seen.theme) if lines is None else lines,
        timber=_timber(seen.parts),
        picture=jpeg,
        credit=credit,
    )


def _pictured(
    scope: Scope, seen: Outside, picture: str, leave_out: LeaveOut
) -> tuple[bytes | None, Credit | None]:
    pictures = PrintedPictures(scope)
    if picture == NONE:
        return None, None
    if picture == INSTRUMENT:
        return pictures.front, None
    for computed in seen.studio:
        if computed.id == picture:
            return pictures.studio(computed), Credit(computed.printed, "", "", "", "")
    for plate in seen.plates:
        if plate.picture and plate.about.id == picture:
            if not scope.cleared(leave_out, [picture]):
                return None, None
            return pictures.plate(plate)[0], plate.printed
    raise InputError.at(
        "picture",
        "A card shows the instrument, nothing, or one of this brief’s pictures that is not "
        "private; choose one of them.",
    )


def first_lines(theme: str) -> str:
    """The first two sentences of a theme, or as much of them as a card has room for."""
    start = " ".join(" ".join(re.split(r"(?<=[.!?…])\s+", theme.strip())[:2]).split())
    if len(start) <= LONGEST_LINES:
        return start
    return start[:LONGEST_LINES].rsplit(" ", 1)[0].rstrip(",;:") + "…"


def _timber(parts: Sequence[MadeOf]) -> tuple[tuple[str, str], ...]:
    """Each material once, with the parts that are made of it, in the order of the spec."""
    made: dict[str, list[str]] = {}
    for part in parts:
        if part.material:
            made.setdefault(part.material, []).append(part.about.label)
    return tuple(
        (label, words([one.lower() if place else one for place, one in enumerate(names)]))
        for label, names in made.items()
    )
