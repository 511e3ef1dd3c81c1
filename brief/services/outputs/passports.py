"""The passport of an instrument gathered for paper."""

from __future__ import annotations

from datetime import date

from brief.paper.contents import BookletPaper, Passport, PassportLine, Timber
from brief.services import nouns
from brief.services.common.formatting import day
from brief.services.photos.lost_pictures import made_without
from brief.services.photos.pictures import picture_at
from brief.services.spec.passport import PassportEntry, passport_of
from brief.store.desk import Desk

PICTURE_PX = 400


def passport_pdf(desk: Desk, brief_id: str, paper: BookletPaper) -> bytes:
    """The passport as PDF. A picture whose file is lost is a plain one, and in `desk.lost`."""
    from brief.paper import passport

    return passport.passport_pdf(gather_passport(desk, brief_id), paper)


def gather_passport(desk: Desk, brief_id: str) -> Passport:
    """All that the passport prints."""
    brief = nouns.briefs.get(desk, brief_id)
    found = passport_of(desk, brief)
    lines = tuple(_line(desk, one) for one in found.entries)
    return Passport(
        title=brief.title,
        facts=(
            *((("instrument", brief.instrument),) if brief.instrument else ()),
            ("listed material, finished", found.listed_weight),
            ("printed", day(date.today())),
        ),
        lines=lines,
        finishes=tuple(
            (one.name, f"{', '.join(one.parts)}; listing {one.listing}") for one in found.finishes
        ),
        documents=tuple(
            (one.name, f"{one.says} ({one.time}; {one.source})") for one in found.documents
        ),
        decides=found.decides,
        printed="Weights follow from the drawing and the density of each piece, before "
        f"shaping and finish. {made_without(desk.lost)}".rstrip(),
    )


def _line(desk: Desk, one: PassportEntry) -> PassportLine:
    jpeg = picture_at(desk, one.texture, within=PICTURE_PX) if one.texture else None
    return PassportLine(
        name=one.name,
        botanical=one.botanical,
        facts=(
            ("parts", ", ".join(one.parts)),
            ("weight", one.weight),
            ("source", one.source),
            ("trade list", one.listing.sentence),
            ("finished instrument", one.exemption),
        ),
        timber=Timber(jpeg, None),
    )
