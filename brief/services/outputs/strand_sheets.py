"""The strands of a theme on paper, and as a picture: as far as a scope shows them.

For others it holds what links hold, less what is not cleared for publication; for the maker's own
wall all that there is, and says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from brief.paper.contents import StrandPaper, StrandRow, StrandSheet, StrandTile
from brief.services.common.formatting import day
from brief.services.drawing.drawing_files import plain_name
from brief.services.drawing.plans import PlanFile
from brief.services.sharing.guest_view import outside
from brief.services.sharing.printed_pictures import PrintedPictures
from brief.services.sharing.seen import Outside
from brief.services.sharing.share_scope import LeaveOut, Scope
from brief.services.sharing.shares import SheetKey
from brief.services.spec.strand import STAGES, Strand, StrandPart, StrandPicture, StrandPiece

StrandForm = Literal["pdf", "png"]
STRAND_MEDIA: dict[StrandForm, str] = {"pdf": "application/pdf", "png": "image/png"}
SHEETS: tuple[SheetKey, ...] = ("theme", "references", "spec")
OWN = "For the maker alone: private items and items without clear rights are included."


def strand_sheet(
    scope: Scope, form: StrandForm, paper: StrandPaper, *, leave_out: LeaveOut = "unclear"
) -> PlanFile:
    """The strands that a scope shows, as a file. A picture whose file is lost is an empty frame,
    and in `lost` of its desk.

    Raises RightsUnclear as `may_be_published`, unless it is for the maker's own eyes.
    """
    from brief.paper.strand_sheet import strand_sheet_pdf, strand_sheet_png  # reportlab

    scope = scope.showing(SHEETS).published(leave_out)
    seen, pictures = outside(scope), PrintedPictures(scope)
    strands = [strand for _, strand in seen.motifs]
    if seen.loose is not None and not seen.loose.is_empty:
        strands.append(seen.loose)
    rows = tuple(_row(one, pictures) for one in strands)
    foot = [OWN] if scope.is_own else list(_credits(seen))
    sheet = StrandSheet(
        title=seen.about.label,
        theme=seen.theme,
        facts="   ·   ".join(_facts(seen)),
        rows=rows,
        foot=" ".join([*map(_sentence, foot), pictures.made_without]),
    )
    made = strand_sheet_pdf(sheet, paper) if form == "pdf" else strand_sheet_png(sheet)
    return PlanFile(f"{plain_name(seen.about.label)}-strands.{form}", STRAND_MEDIA[form], made)


def _sentence(words: str) -> str:
    return words if words.endswith(".") else f"{words}."


def _facts(seen: Outside) -> Iterator[str]:
    """The page of a link names neither the show nor the day to be ready; no more does its sheet."""
    yield seen.instrument
    if seen.handed and seen.handed.show:
        yield f"for {seen.handed.show}"
    if seen.handed and seen.handed.wanted_by:
        yield f"ready to ship by {day(seen.handed.wanted_by)}"
    yield f"last change {day(seen.changed_utc)}"


def _credits(seen: Outside) -> Iterator[str]:
    for one in (plate.printed for plate in seen.plates):
        yield " · ".join(part for part in (one.title, one.author, one.source, one.licence) if part)
    if seen.plates_left_out:
        yield f"Left out, as their rights are not clear: {seen.plates_left_out}"


def _row(strand: Strand, pictures: PrintedPictures) -> StrandRow:
    ends = [
        [*(one.words for one in strand.ends.get(stage, ())), *_more(strand.more[stage])]
        for stage in STAGES
    ]
    first, second, third, last = ("; ".join(one) for one in ends)
    return StrandRow(
        name=strand.name or "Not in a strand yet",
        says=strand.says,
        tall=min(strand.tall, 3),
        pictures=tuple(tuple(_picture(one, pictures) for one in line) for line in strand.pictures),
        colours=tuple((one.name, one.hex) for one in strand.colours),
        pieces=tuple(tuple(_piece(one, pictures) for one in line) for line in strand.pieces),
        parts=tuple(tuple(_part(one, pictures) for one in line) for line in strand.parts),
        ends=(first, second, third, last),
    )


def _more(count: int) -> list[str]:
    return [f"and {count} more"] if count else []


def _picture(one: StrandPicture, pictures: PrintedPictures) -> StrandTile:
    jpeg = pictures.in_strand(one)
    if jpeg is None:
        return StrandTile(words=one.passage, wide=one.wide)
    return StrandTile(jpeg=jpeg, wide=one.wide)


def _piece(one: StrandPiece, pictures: PrintedPictures) -> StrandTile:
    near = f"nearest to {one.near}" if one.near else ""
    return StrandTile(one.label, near, pictures.piece(one), one.hex)


def _part(one: StrandPart, pictures: PrintedPictures) -> StrandTile:
    jpeg = pictures.cut_out(one) or pictures.piece(one)
    return StrandTile(one.name, "" if one.made_of else "still open", jpeg, one.hex)
