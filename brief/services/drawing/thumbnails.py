"""What is shown of a thing where things are put side by side: a picture, a colour, or words."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from brief.colour.viewing.conditions import State
from brief.services.common.colour_view import colour_view
from brief.services.drawing.instrument_drawing import draw_instrument, worn
from brief.services.drawing.pair_pictures import pair_pictures
from brief.services.history.revision_view import as_frozen
from brief.services.pairing.view_settings import Shown
from brief.services.photos.pictures import picture_view
from brief.store.desk import Desk
from brief.store.records import (
    Brief,
    Material,
    Pairing,
    Part,
    Record,
    Reference,
    Revision,
    Swatch,
    Viewing,
)


@dataclass(frozen=True)
class Thumbnail:
    """One of these: where a picture is served, a drawing as SVG, a colour, words of a passage.

    All of them are empty where nothing has been photographed or measured yet.
    """

    address: str = ""
    drawn: str = ""
    hex: str = ""
    passage: str = ""


def face(
    desk: Desk, thing: Record, shown: Shown, prefix: str, *, public: bool = False
) -> Thumbnail:
    """What to show of a pairing, piece, reference, swatch or brief, as the switches have it, or of
    a revision as it was.

    prefix : begins every id in a drawing. public : whether its timber is named for others.
    """
    match thing:
        case Reference(image_sha256=str(sha256)):
            return Thumbnail(address=picture_view(desk, sha256).page)
        case Reference():
            return Thumbnail(passage=thing.passage)
        case Swatch():
            return Thumbnail(hex=colour_view(thing.lab, thing.uncertainty).hex)
        case Material():
            piece = worn(desk, [thing.id], shown.switches.state)[thing.id]
            return Thumbnail(address=piece.texture or "", hex=piece.hex or "")
        case Pairing():
            viewings = desk.session.scalars(
                select(Viewing).where(
                    Viewing.brief_id == thing.brief_id, Viewing.binned_utc.is_(None)
                )
            ).all()
            close_up = next(iter(pair_pictures(desk, thing, shown, viewings, public=public)), None)
            return Thumbnail(close_up.address, close_up.drawn) if close_up else Thumbnail()
        case Brief():
            return Thumbnail(drawn=_front(desk, thing, shown.switches.state, prefix, public))
        case Revision():
            with as_frozen(desk, thing) as frozen:
                brief = frozen.session.get_one(Brief, thing.brief_id)
                return Thumbnail(drawn=_front(frozen, brief, "bare", prefix, public))
    return Thumbnail()


def _front(desk: Desk, brief: Brief, state: State, prefix: str, public: bool) -> str:
    parts = desk.session.scalars(
        select(Part).where(Part.brief_id == brief.id, Part.binned_utc.is_(None))
    ).all()
    return draw_instrument(desk, brief, parts, prefix=prefix, state=state, public=public)
