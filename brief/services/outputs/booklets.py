"""A brief as a booklet: what others see of it, as a maker hands it over on paper."""

from __future__ import annotations

from datetime import date

from brief.english import words
from brief.errors import InputError
from brief.letters import lost_letters
from brief.paper.colours import NamedColour
from brief.paper.contents import (
    Booklet,
    BookletPaper,
    LineDrawing,
    MotifOnPaper,
    PairLine,
    PaletteStrip,
    PartLine,
    Passage,
    PrintedComment,
    PrintedPicture,
    Timber,
)
from brief.services.common.colour_view import ColourView
from brief.services.common.formatting import day
from brief.services.sharing.guest_view import outside
from brief.services.sharing.printed_pictures import PrintedPictures
from brief.services.sharing.seen import (
    InlayTogether,
    MadeOf,
    Outside,
    PulledColour,
    ShownPalette,
    ShownReference,
    ShownStudioPicture,
)
from brief.services.sharing.share_scope import LeaveOut, Scope
from brief.services.sharing.shares import SheetKey
from brief.wood import REMINDER

INSTRUMENT = "instrument"
SHEETS: tuple[SheetKey, ...] = ("theme", "references", "spec", "pairings", "drawing")
NO_DRAWING = LineDrawing((), 0.0, 0.0)


def booklet_pdf(
    scope: Scope,
    paper: BookletPaper,
    *,
    leave_out: LeaveOut,
    comments: bool,
    cover: str = INSTRUMENT,
) -> bytes:
    """What is handed over as a booklet. A picture whose file is lost is an empty frame, and in
    `lost` of its desk.

    Raises as `gather_booklet`.
    """
    from brief.paper import booklet

    gathered = gather_booklet(scope, leave_out=leave_out, comments=comments, cover=cover)
    return booklet.booklet_pdf(gathered, paper)


def gather_booklet(
    scope: Scope, *, leave_out: LeaveOut, comments: bool, cover: str = INSTRUMENT
) -> Booklet:
    """All that the booklet prints.

    cover : "instrument", or the id of a studio picture that others may see.
    Raises RightsUnclear as `may_be_published`, and InputError at `cover` for any other.
    """
    sheets = (*SHEETS, "comments") if comments else SHEETS
    scope = scope.showing(sheets).published(leave_out)
    seen, pictures = outside(scope), PrintedPictures(scope)
    computed = next((one for one in seen.studio if one.id == cover), None)
    if computed is None and cover != INSTRUMENT:
        raise InputError.at(
            "cover",
            "A cover shows the instrument as drawn, or one of this brief’s studio pictures that "
            "others may see; choose one of them.",
        )
    handed = seen.handed
    return Booklet(
        title=seen.about.label,
        facts=_facts(seen, computed),
        front=pictures.studio(computed) if computed else pictures.front,
        front_alt=computed.name if computed else "the instrument from the front",
        theme=seen.theme,
        motifs=tuple(
            MotifOnPaper(
                about.label,
                strand.says,
                tuple(
                    _named(one.name, one.colour) for one in seen.colours if one.motif_id == about.id
                ),
            )
            for about, strand in seen.motifs
        ),
        passages=tuple(
            Passage(one.passage, one.printed) for one in seen.plates if one.kind == "passage"
        ),
        plates=tuple(_plate(one, pictures) for one in seen.plates if one.picture),
        strips=tuple(_strip(one) for one in seen.strips),
        named=tuple(_named(one.name, one.colour) for one in seen.colours),
        whole=handed.whole if handed else (),
        parts=tuple(_part(one, pictures) for one in seen.parts),
        reminder=REMINDER,
        pairs=tuple(_pair(one, pictures) for one in seen.pairings),
        drawing=handed.line_drawing or NO_DRAWING if handed else NO_DRAWING,
        numbers=handed.numbers if handed else (),
        comments=_comments(seen),
        # The last, for only now is it known which pictures could not be had.
        printed="Colours are as measured; print may differ. "
        f"Set in Source Serif and Noto Sans.{pictures.made_without}",
    )


def unprintable(seen: Outside) -> str:
    """The letters of a brief's own words, each once, that no embedded font has."""
    said = [seen.about.label, seen.theme, seen.called, seen.handed.show if seen.handed else ""]
    for one in seen.plates:
        said += [one.title, one.passage, one.printed.author, one.source]
    for about, strand in seen.motifs:
        said += [about.label, strand.says]
    for part in seen.parts:
        said += [part.about.label, part.finish, part.sizes, part.material]
    return lost_letters("".join(said))


def _facts(seen: Outside, cover: ShownStudioPicture | None) -> tuple[tuple[str, str], ...]:
    handed = seen.handed
    return (
        ("instrument", seen.called),
        ("for", handed.show if handed else ""),
        ("ready to ship by", day(handed.wanted_by) if handed and handed.wanted_by else ""),
        (
            "last change",
            f"{day(seen.changed_utc)}{f', change {handed.version}' if handed else ''}",
        ),
        ("printed", day(date.today())),
        ("picture", cover.printed if cover else ""),
    )


def _plate(one: ShownReference, pictures: PrintedPictures) -> PrintedPicture:
    jpeg, lost = pictures.plate(one)
    motifs = f"For {words(one.motifs)}" if one.motifs else ""
    strips = tuple(_strip(palette) for palette in one.palettes)
    return PrintedPicture(jpeg, one.printed, motifs, strips, lost)


def _strip(palette: ShownPalette) -> PaletteStrip:
    def bar(one: PulledColour, *, is_accent: bool) -> NamedColour:
        return NamedColour(one.called, one.colour.lab, one.share, is_accent=is_accent)

    return PaletteStrip(
        palette.name,
        (
            *(bar(one, is_accent=False) for one in palette.colours),
            *(bar(one, is_accent=True) for one in palette.accents),
        ),
    )


def _named(name: str, colour: ColourView) -> NamedColour:
    return NamedColour(name, colour.lab)


def _part(one: MadeOf, pictures: PrintedPictures) -> PartLine:
    return PartLine(
        name=one.about.label,
        made_of=one.material,
        species=one.species,
        finish=one.finish,
        drawn=one.drawn,
        sizes=one.sizes,
        care=one.care,
        timber=Timber(pictures.timber(one), one.hex) if one.material else None,
        meant_for=_named(one.meant_for, one.meant) if one.meant else None,
        motif=one.motif,
    )


def _pair(one: InlayTogether, pictures: PrintedPictures) -> PairLine:
    width = f"a line of {one.line}" if one.line else ""
    return PairLine(
        one.about.label,
        ", ".join(part for part in (one.place, width) if part),
        one.sentence or "Not judged: a colour is missing.",
        pictures.sample(one) if one.sentence else None,
    )


def _comments(seen: Outside) -> tuple[PrintedComment, ...]:
    """What was said of the things that a link can show, in the order it was said."""
    first = [one for said in seen.said.values() for one in said]
    every = [*first, *(reply for one in first for reply in one.replies)]
    return tuple(
        PrintedComment(one.author, seen.things[one.about].label, one.text, one.outcome)
        for one in sorted(every, key=lambda one: one.id)
    )
