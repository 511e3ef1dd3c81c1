"""Trying the rack on one part: the pieces that suit it, nearest to its target colour first, and how
each would show on the instrument.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import load_only

from brief.colour import delta_e_2000
from brief.errors import InputError
from brief.instrument import Fill, Painted, paint_alone, painted_parts
from brief.services.common.care import Careful, ListingView, careful, listing_view, made_cautions
from brief.services.drawing.instrument_drawing import WornPiece, chosen, fills_of, tried_fills, worn
from brief.services.instrument.brief_inlays import inlays_of, shown_inlays
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.view_settings import Switches
from brief.services.rack.searching import answering
from brief.services.spec.blanks import Blank, blanks_of, is_too_small
from brief.services.spec.parts import PartView, parts
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part
from brief.wood import is_usual

A_PAGE = 24
LONGEST = 100  # letters that are looked for
RANKED = (
    Material.label,
    Material.species,
    Material.stuff,
    Material.lab,
    Material.length_mm,
    Material.width_mm,
    Material.thickness_mm,
)


@dataclass(frozen=True)
class Painting:
    """How a part shows in a piece: patterns and paint, SVG, as `paint_alone` has them."""

    role: str
    patterns: str
    paint: str


@dataclass(frozen=True)
class Try:
    """One piece of the rack tried on a part.

    material_id : "" leaves the part open. note : why not to take it for granted. paintings : of
    the part and those that go along, as far as this side shows them.
    """

    material_id: str
    label: str
    worn: WornPiece
    note: str
    now: bool
    care: Careful
    listing: ListingView | None
    paintings: Sequence[Painting]


@dataclass(frozen=True)
class Tries:
    """What the rack has for a part: one page of it.

    asked : the words that were looked for. count : how many pieces answer, on all pages. others :
    the parts that can be given the same piece, those that share it now first; also : the ids of
    those that are to be.
    """

    part: PartView
    tries: Sequence[Try]
    asked: str
    count: int
    page: int
    pages: int
    others: Sequence[Part]
    also: Sequence[str]


def tries_of(
    desk: Desk,
    brief: Brief,
    part_id: str,
    switches: Switches,
    asked: str = "",
    page: int = 1,
    also: Sequence[str] = (),
) -> Tries:
    """The rack as that part could be made of it.

    asked : words that are all in a piece's label, species or kind. page : from 1; one that is not
    there is the last. also : ids of parts that are to have the same piece. Raises InputError for
    words that nobody types.
    """
    if len(asked) > LONGEST:
        raise InputError.at("words", f"Look for at most {LONGEST} letters, e.g. “walnut”.")
    part = parts.get(desk, part_id)
    every = parts.page(desk, brief_id=brief.id)
    needed = blanks_of(desk, brief, [part])[part.id]
    ranked = _ranked(desk, part, needed, asked)
    pages = max(1, -(-len(ranked) // A_PAGE))
    page = min(max(page, 1), pages)
    shown = ranked[(page - 1) * A_PAGE : page * A_PAGE]
    along = [part, *(one for one in every if one.id in also and one.id != part.id)]
    how = _painted(desk, brief, switches)
    tries = _tries(desk, along, needed, shown, switches, how)
    if page == pages and not asked.strip() and any(one.material_id for one in along):
        tries.append(_left_open(along, how))
    return Tries(
        part=parts.show(desk, part),
        tries=tries,
        asked=asked,
        count=len(ranked),
        page=page,
        pages=pages,
        others=sorted(
            (one for one in every if one.id != part.id),
            key=lambda one: part.material_id is None or one.material_id != part.material_id,
        ),
        also=[one.id for one in along[1:]],
    )


def _ranked(desk: Desk, part: Part, needed: Blank | None, asked: str) -> list[Material]:
    """The pieces that answer: those that suit the part first, then the nearest to its target."""
    rack = desk.session.scalars(
        select(Material)
        .where(Material.binned_utc.is_(None))
        .order_by(Material.id)
        .options(load_only(*RANKED))
    )
    found = answering(rack, asked)
    target = parts.target_of(desk, part)
    far = np.full(len(found), np.inf)
    measured = [place for place, one in enumerate(found) if one.lab is not None]
    if target is not None and measured:
        labs = np.array([found[place].lab for place in measured], dtype=float)
        far[measured] = delta_e_2000(labs, np.array(target))
    distances = dict(zip([one.id for one in found], far.tolist(), strict=True))
    return sorted(found, key=lambda one: (bool(_note(part, needed, one)), distances[one.id]))


def _note(part: Part, needed: Blank | None, material: Material) -> str:
    if not is_usual(part.role, material.stuff, material.species, material.label):
        return "unusual here"
    return "too small" if is_too_small(needed, material) else ""


def _painted(desk: Desk, brief: Brief, switches: Switches) -> Mapping[str, Painted]:
    """How the parts are painted on the side that is shown."""
    made, every = instrument_of(brief), parts.page(desk, brief_id=brief.id)
    fills = fills_of(desk, chosen(desk, every), switches.state)
    return painted_parts(made, fills, switches.view, shown_inlays(made, inlays_of(desk, brief)))


def _tries(
    desk: Desk,
    along: Sequence[Part],
    needed: Blank | None,
    pieces: Sequence[Material],
    switches: Switches,
    how: Mapping[str, Painted],
) -> list[Try]:
    part = along[0]
    seen = worn(desk, [one.id for one in pieces], switches.state)
    fills = {one.id: tried_fills(desk, one, pieces, switches.state) for one in along}
    return [
        Try(
            material_id=piece.id,
            label=piece.label,
            worn=seen[piece.id],
            note=_note(part, needed, piece),
            now=piece.id == part.material_id,
            care=Careful(**careful(made_cautions(part.role, part.finish, piece))),
            listing=listing_view(piece),
            paintings=_paintings(
                along, how, piece.id, {one: fills[one].get(piece.id) for one in fills}
            ),
        )
        for piece in pieces
    ]


def _left_open(along: Sequence[Part], how: Mapping[str, Painted]) -> Try:
    part = along[0]
    return Try(
        material_id="",
        label="still open",
        worn=WornPiece(None, None),
        note="",
        now=part.material_id is None,
        care=Careful(**careful(made_cautions(part.role, part.finish, None))),
        listing=None,
        paintings=_paintings(along, how, "open", {}),
    )


def _paintings(
    along: Sequence[Part],
    how: Mapping[str, Painted],
    name: str,
    fills: Mapping[str, Fill | None],
) -> list[Painting]:
    """`fills` are by the id of the part; one without is open. `name` tells the patterns from those
    of other pieces.
    """
    return [
        Painting(
            part.role,
            *paint_alone(fills.get(part.id), part.role, how[part.role], prefix=f"try-{name}"),
        )
        for part in along
        if part.role in how
    ]
