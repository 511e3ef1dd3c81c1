"""Which pieces of the rack are asked for, and in which order; every sheet looks for them so."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from brief.services.common.colour_view import hue_order
from brief.store.records import Material

ORDERS = (("rack", "as on the rack"), ("light", "lightest first"), ("hue", "by colour"))


@dataclass(frozen=True)
class RackAsked:
    """What of the rack is asked for: words that its label, species or kind hold, a kind, an order;
    another order counts as the first.
    """

    words: str = ""
    stuff: str = ""
    order: str = "rack"


WHOLE_RACK = RackAsked()


def answering(pieces: Iterable[Material], words: str, stuff: str = "") -> list[Material]:
    """Those in which every word is found, in any order, of that kind if one is named."""
    wanted = _plain(words).split()
    return [
        one
        for one in pieces
        if stuff in ("", one.stuff)
        and (not wanted or all(word in _plain(_told(one)) for word in wanted))
    ]


def found_on(rack: Iterable[Material], asked: RackAsked) -> list[Material]:
    """What of the rack is asked for, in its order."""
    found = answering(rack, asked.words, asked.stuff)
    return sorted(found, key=_ORDER.get(asked.order, _as_hung))


def _told(piece: Material) -> str:
    return f"{piece.label} {piece.species} {piece.stuff}"


def _plain(text: str) -> str:
    """Letters as one types them in haste: small, and without their accents."""
    split = unicodedata.normalize("NFD", text)
    return "".join(one for one in split if not unicodedata.combining(one)).casefold()


def _as_hung(piece: Material) -> tuple[bool | float | str, ...]:
    return (piece.id,)


def _by_light(piece: Material) -> tuple[bool | float | str, ...]:
    return (piece.lab is None, -piece.lab[0] if piece.lab else 0.0)


def _by_hue(piece: Material) -> tuple[bool | float | str, ...]:
    """As `hue_order`, then light to dark; without a colour last."""
    if piece.lab is None:
        return True, 0.0, 0.0
    return False, hue_order(piece.lab), -piece.lab[0]


_ORDER: dict[str, Callable[[Material], tuple[bool | float | str, ...]]] = {
    "rack": _as_hung,
    "light": _by_light,
    "hue": _by_hue,
}
