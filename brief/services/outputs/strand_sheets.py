"""The strands of a theme gathered for paper, and for a picture of them.

For others it holds what links hold, less what is not cleared for publication; for the maker's own
wall all that there is, and says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from brief.colour.viewing.conditions import State
from brief.instrument import Fill
from brief.instrument.rendering.fill import Box
from brief.paper.contents import StrandPaper, StrandRow, StrandSheet, StrandTile
from brief.services import nouns
from brief.services.common.formatting import day
from brief.services.drawing.drawing_files import plain_name
from brief.services.drawing.instrument_drawing import chosen, draw_filled, fills_of
from brief.services.drawing.plans import PlanFile
from brief.services.instrument.dimensions import instrument_of
from brief.services.outputs.booklets import LeaveOut, credit_of, made_without
from brief.services.photos.pictures import drawn_picture, picture_at, shown_picture
from brief.services.sharing.guest_view import strands_outside
from brief.services.sharing.share_scope import Scope
from brief.services.spec.strands import (
    STAGES,
    Strand,
    StrandPart,
    StrandPicture,
    StrandPiece,
    Strands,
    own_strands,
)
from brief.services.theme.rights import counted, may_be_published, unclear
from brief.store.desk import Desk
from brief.store.records import Brief, Reference

ForWhom = Literal["others", "me"]
StrandForm = Literal["pdf", "png"]
STRAND_MEDIA: dict[StrandForm, str] = {"pdf": "application/pdf", "png": "image/png"}
CUT_PX, PICTURE_PX, PIECE_PX = 420, 900, 500
STATE: State = "bare"
OWN = "For the maker alone: private items and items without clear rights are included."


def strand_sheet(
    desk: Desk,
    brief_id: str,
    form: StrandForm,
    paper: StrandPaper,
    *,
    for_whom: ForWhom = "others",
    leave_out: LeaveOut = "nothing",
) -> PlanFile:
    """The strands of a brief as a file. A picture whose file is lost is an empty frame, and in
    `desk.lost`.

    Raises RightsUnclear as `may_be_published`, for others.
    """
    brief = nouns.briefs.get(desk, brief_id)
    if for_whom == "me":
        return _as_file(desk, brief, own_strands(desk, brief, STATE), [OWN], form, paper)
    scope = Scope.of(desk, brief)
    return strand_sheet_outside(scope, form, paper, leave_out=leave_out, by_maker=True)


def strand_sheet_outside(
    scope: Scope,
    form: StrandForm,
    paper: StrandPaper,
    *,
    leave_out: LeaveOut = "unclear",
    by_maker: bool = False,
) -> PlanFile:
    """The same of what a scope shows. by_maker : whether the maker hands it over, with the show and
    the day to be ready; the page of a link names neither, so that its sheet does not.
    """
    references: Sequence[Reference] = ()
    if "references" in scope.sheets:
        references = may_be_published(scope.references, leave_out_unclear=leave_out == "unclear")
    strands = strands_outside(scope, references)
    credits = [
        " · ".join(part for part in (one.title, one.author, one.source, one.licence) if part)
        for one in map(credit_of, references)
    ]
    if "references" in scope.sheets and (stopped := unclear(scope.references)):
        credits.append(f"Left out, as their rights are not clear: {counted(stopped)}")
    brief = scope.brief
    return _as_file(scope.desk, brief, strands, credits, form, paper, public=True, planned=by_maker)


def _as_file(
    desk: Desk,
    brief: Brief,
    strands: Strands,
    foot: Sequence[str],
    form: StrandForm,
    paper: StrandPaper,
    *,
    public: bool = False,
    planned: bool = True,
) -> PlanFile:
    from brief.paper.strand_sheet import strand_sheet_pdf, strand_sheet_png  # reportlab

    cuts = _cut_out(desk, brief, strands, public=public)
    rows = tuple(_row(desk, one, cuts) for one in (*strands.strands, strands.loose))
    plans = [
        ("for ", brief.show),
        ("ready to ship by ", day(brief.wanted_by) if brief.wanted_by else ""),
    ]
    facts = [
        ("", brief.instrument or instrument_of(brief).name),
        *(plans if planned else ()),
        ("last change ", day(brief.changed_utc)),
    ]
    sheet = StrandSheet(
        title=brief.title,
        theme=brief.theme,
        facts="   ·   ".join(f"{label}{words}" for label, words in facts if words),
        rows=rows if not strands.loose.is_empty else rows[:-1],
        foot=" ".join(
            [*(f"{one}." if one[-1] != "." else one for one in foot), made_without(desk)]
        ),
    )
    made = strand_sheet_pdf(sheet, paper) if form == "pdf" else strand_sheet_png(sheet)
    return PlanFile(f"{plain_name(brief.title)}-strands.{form}", STRAND_MEDIA[form], made)


def _row(desk: Desk, strand: Strand, cuts: dict[str, bytes]) -> StrandRow:
    ends = [
        [*(one.words for one in strand.ends.get(stage, ())), *_more(strand.more[stage])]
        for stage in STAGES
    ]
    first, second, third, last = ("; ".join(one) for one in ends)
    return StrandRow(
        name=strand.name or "Not in a strand yet",
        says=strand.says,
        tall=min(strand.tall, 3),
        pictures=tuple(tuple(_picture(desk, one) for one in line) for line in strand.pictures),
        colours=tuple((one.name, one.hex) for one in strand.colours),
        pieces=tuple(tuple(_piece(desk, one) for one in line) for line in strand.pieces),
        parts=tuple(tuple(_part(desk, one, cuts) for one in line) for line in strand.parts),
        ends=(first, second, third, last),
    )


def _more(count: int) -> list[str]:
    return [f"and {count} more"] if count else []


def _picture(desk: Desk, one: StrandPicture) -> StrandTile:
    if one.picture is None:
        return StrandTile(words=one.passage, wide=one.wide)
    jpeg = shown_picture(desk, one.picture.sha256, "page", within=PICTURE_PX, or_stand_in=True)
    return StrandTile(jpeg=jpeg, wide=one.wide)


def _piece(desk: Desk, one: StrandPiece) -> StrandTile:
    jpeg = picture_at(desk, one.texture, within=PIECE_PX) if one.texture else None
    return StrandTile(one.label, f"nearest to {one.near}" if one.near else "", jpeg, one.hex)


def _part(desk: Desk, one: StrandPart, cuts: dict[str, bytes]) -> StrandTile:
    jpeg = cuts.get(one.id)
    if jpeg is None and one.texture:
        jpeg = picture_at(desk, one.texture, within=PIECE_PX)
    return StrandTile(one.name, "" if one.made_of else "still open", jpeg, one.hex)


def _cut_out(desk: Desk, brief: Brief, strands: Strands, *, public: bool) -> dict[str, bytes]:
    """The place of each part on the picture of the instrument, by the part's id."""
    parts = nouns.parts.page(desk, brief_id=brief.id)
    fills = fills_of(desk, chosen(desk, parts), STATE, public=public)
    found = {}
    for strand in (*strands.strands, strands.loose):
        for one in (part for line in strand.parts for part in line if part.face):
            x, y, width, height = (float(side) for side in one.view_box.split())
            found[one.id] = _drawn(desk, brief, fills, one, (x, y, width, height))
    return found


def _drawn(desk: Desk, brief: Brief, fills: dict[str, Fill], part: StrandPart, box: Box) -> bytes:
    def drawn(height_px: int | None = None) -> str:
        face = part.face or "front"
        return draw_filled(desk, brief, fills, face, prefix="cut", box=box, height_px=height_px)

    high = round(CUT_PX * box[3] / box[2])
    return drawn_picture(desk, drawn(), CUT_PX, lambda: drawn(high))
