"""A brief gathered for paper: as a booklet, and as the card beside the piece.

What is private is left out where links leave it out, in `Scope`; nor are there prices, notes,
provenance, or what lies in the offcuts bin.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from itertools import groupby
from typing import Literal

from brief.english import words
from brief.errors import InputError
from brief.instrument import closer
from brief.instrument.model.sizes import PART_TITLES, says_nothing
from brief.instrument.plans.plan import as_line, box_of_all
from brief.letters import lost_letters
from brief.paper.colours import NamedColour
from brief.paper.contents import (
    Booklet,
    BookletPaper,
    Card,
    CardPaper,
    Credit,
    LineDrawing,
    MotifOnPaper,
    PairLine,
    PaletteStrip,
    PartLine,
    Passage,
    PrintedComment,
    PrintedPicture,
    Stroke,
    Timber,
)
from brief.services import nouns
from brief.services.common.foreign_keys import public_label_of
from brief.services.common.formatting import day, length_text, plain
from brief.services.common.naming import public_label
from brief.services.common.typed_numbers import other_unit
from brief.services.drawing.instrument_drawing import draw_instrument, draw_pairing
from brief.services.drawing.plans import PARTS, plan_of
from brief.services.instrument.dimensions import NumberView, instrument_of, numbers_view
from brief.services.outputs.colour_files import colours_of
from brief.services.photos.pictures import drawn_picture, picture_at, shown_picture
from brief.services.rack.surfaces import surfaces_of
from brief.services.sharing.guest_view import open_to_others
from brief.services.sharing.share_scope import Scope
from brief.services.spec.parts import PartView
from brief.services.spec.schemes import scheme_view
from brief.services.studio.shots import COMPUTED, EARLIER
from brief.services.theme.palettes import PaletteView
from brief.services.theme.rights import may_be_published, standing
from brief.store.desk import Desk
from brief.store.records import Brief, Pairing, Reference, StudioPicture
from brief.wood import REMINDER

INSTRUMENT = "instrument"
FRONT_PX, SAMPLE_PX = 840, 500
SAMPLE_LINE_MM = 4.0  # drawn for a pairing that has no width
LONGEST_LINES = 200  # characters of the theme on a card
LeaveOut = Literal["nothing", "unclear"]


def booklet_pdf(
    desk: Desk,
    brief_id: str,
    paper: BookletPaper,
    *,
    leave_out: LeaveOut,
    comments: bool,
    cover: str = INSTRUMENT,
) -> bytes:
    """The brief as a booklet. A picture whose file is lost is an empty frame, and in `desk.lost`.

    Raises as `gather_booklet`.
    """
    from brief.paper import booklet

    return booklet.booklet_pdf(
        gather_booklet(desk, brief_id, leave_out=leave_out, comments=comments, cover=cover), paper
    )


def card_pdf(
    desk: Desk,
    brief_id: str,
    paper: CardPaper,
    *,
    maker: str,
    lines: str | None,
    picture: str,
    leave_out: LeaveOut,
) -> bytes:
    """The card of the brief's piece. Raises as `gather_card`."""
    from brief.paper import card

    gathered = gather_card(
        desk, brief_id, maker=maker, lines=lines, picture=picture, leave_out=leave_out
    )
    return card.card_pdf(gathered, paper)


def gather_booklet(
    desk: Desk, brief_id: str, *, leave_out: LeaveOut, comments: bool, cover: str = INSTRUMENT
) -> Booklet:
    """All that the booklet prints.

    cover : "instrument", or the id of a studio picture that others may see.
    Raises RightsUnclear as `may_be_published`, and InputError at `cover` for any other.
    """
    brief = nouns.briefs.get(desk, brief_id)
    scope = Scope.of(desk, brief)
    shown = may_be_published(scope.references, leave_out_unclear=leave_out == "unclear")
    swatches = scope.page(nouns.swatches)
    palettes = nouns.palettes.show_all(desk, scope.palettes)
    named = [(one.motif_id, _named(one.name, one.lab)) for one in swatches]
    pictures = [one for one in shown if one.image_sha256]
    scheme = scheme_view(desk, brief)
    computed = next((one for one in scope.studio_pictures if one.id == cover), None)
    if computed is None and cover != INSTRUMENT:
        raise InputError.at(
            "cover",
            "A cover shows the instrument as drawn, or one of this brief’s studio pictures that "
            "others may see; choose one of them.",
        )
    return Booklet(
        title=brief.title,
        facts=(
            ("instrument", brief.instrument),
            ("for", brief.show),
            ("ready to ship by", day(brief.wanted_by) if brief.wanted_by else ""),
            ("last change", f"{day(brief.changed_utc)}, change {brief.version}"),
            ("printed", day(date.today())),
            ("picture", _computed(desk, computed) if computed else ""),
        ),
        front=studio_jpeg(desk, computed) if computed else front_jpeg(desk, brief),
        front_alt=computed.name if computed else "the instrument from the front",
        theme=brief.theme,
        motifs=tuple(
            MotifOnPaper(
                one.name, one.says, tuple(colour for motif, colour in named if motif == one.id)
            )
            for one in scope.page(nouns.motifs)
        ),
        passages=tuple(
            Passage(one.passage, credit_of(one)) for one in shown if one.kind == "passage"
        ),
        plates=tuple(_plate(desk, one, palettes) for one in pictures),
        strips=tuple(
            _strip(desk, view)
            for view in palettes
            if view.reference_id not in {one.id for one in pictures}
        ),
        named=tuple(colour for _, colour in named),
        whole=tuple(scheme.sentences) if scheme else (),
        parts=tuple(
            _part(desk, view) for view in nouns.parts.show_all(desk, scope.page(nouns.parts))
        ),
        reminder=REMINDER,
        pairs=_pairs(scope),
        drawing=_drawing(desk, brief),
        numbers=_numbers(brief),
        comments=_comments(scope) if comments else (),
        # The last, for only now is it known which pictures could not be had.
        printed="Colours are as measured; print may differ. "
        f"Set in Source Serif and Noto Sans.{made_without(desk)}",
    )


def made_without(desk: Desk) -> str:
    """Which pictures could not be had, as the last words of what is printed."""
    if not desk.lost:
        return ""
    named = words([f"“{name}”" for name in desk.lost.values()])
    return f" Picture files that are missing or damaged: {named}."


def gather_card(
    desk: Desk, brief_id: str, *, maker: str, lines: str | None, picture: str, leave_out: LeaveOut
) -> Card:
    """All that the card prints.

    lines : of the theme; its beginning if None. picture : "instrument", "none", or the
    id of a picture among the references or of a studio picture that others may see.
    Raises InputError at `picture` for one that is private or is no picture of this brief, and
    RightsUnclear for one whose rights are not clear, unless that is to be left out.
    """
    brief = nouns.briefs.get(desk, brief_id)
    jpeg, credit = None, None
    if picture == "instrument":
        jpeg = front_jpeg(desk, brief)
    elif computed := next((one for one in studio_of(desk, brief) if one.id == picture), None):
        jpeg = studio_jpeg(desk, computed)
        credit = Credit(_computed(desk, computed), "", "", "", "")
    elif picture != "none":
        reference = next((one for one in pictures_of(desk, brief) if one.id == picture), None)
        if reference is None:
            raise InputError.at(
                "picture",
                "A card shows the instrument, nothing, or one of this brief’s pictures that is "
                "not private; choose one of them.",
            )
        for one in may_be_published([reference], leave_out_unclear=leave_out == "unclear"):
            jpeg, credit = _printed(desk, one), credit_of(one)
    return Card(
        title=brief.title,
        instrument=brief.instrument,
        maker=maker,
        lines=first_lines(brief.theme) if lines is None else lines,
        timber=_timber(nouns.parts.show_all(desk, nouns.parts.page(desk, brief_id=brief.id))),
        picture=jpeg,
        credit=credit,
    )


def pictures_of(desk: Desk, brief: Brief) -> list[Reference]:
    """The pictures of a brief that could be on its card."""
    return [one for one in Scope.of(desk, brief).references if one.image_sha256]


def studio_of(desk: Desk, brief: Brief) -> list[StudioPicture]:
    """The studio pictures of a brief that could be on its card or its cover."""
    return Scope.of(desk, brief).studio_pictures


def _computed(desk: Desk, picture: StudioPicture) -> str:
    is_of_today = nouns.studio_pictures.show(desk, picture).is_of_today
    return COMPUTED if is_of_today else f"{COMPUTED} {EARLIER}"


def studio_jpeg(desk: Desk, picture: StudioPicture) -> bytes:
    """A studio picture as it is printed."""
    return shown_picture(desk, picture.image_sha256, "print", or_stand_in=True)


def first_lines(theme: str) -> str:
    """The first two sentences of a theme, or as much of them as a card has room for."""
    start = " ".join(" ".join(re.split(r"(?<=[.!?…])\s+", theme.strip())[:2]).split())
    if len(start) <= LONGEST_LINES:
        return start
    return start[:LONGEST_LINES].rsplit(" ", 1)[0].rstrip(",;:") + "…"


def credit_of(reference: Reference) -> Credit:
    """What is printed under it."""
    found = standing(reference)
    return Credit(reference.title, reference.credit, reference.source, found.licence, found.uri)


def front_jpeg(desk: Desk, brief: Brief) -> bytes:
    """The front of the brief's instrument in its timber, on white."""
    parts = nouns.parts.page(desk, brief_id=brief.id)

    def drawn(height_px: int | None = None) -> str:
        return draw_instrument(
            desk, brief, parts, prefix="printed", height_px=height_px, shaded=True
        )

    _, _, width, height = closer(instrument_of(brief), "front")["whole"]
    return drawn_picture(desk, drawn(), FRONT_PX, lambda: drawn(round(FRONT_PX * height / width)))


def unprintable(desk: Desk, brief: Brief) -> str:
    """The letters of a brief's own words, each once, that no embedded font has."""
    said, scope = [brief.title, brief.theme, brief.instrument, brief.show], Scope.of(desk, brief)
    for one in scope.references:
        said += [one.title, one.passage, one.credit, one.source]
    for motif in scope.page(nouns.motifs):
        said += [motif.name, motif.says]
    for part in nouns.parts.show_all(desk, scope.page(nouns.parts)):
        said += [part.name, part.finish, part.sizes]
        said += [part.material.in_public] if part.material else []
    return lost_letters("".join(said))


def _plate(desk: Desk, reference: Reference, palettes: Sequence[PaletteView]) -> PrintedPicture:
    motifs = [one.name for one in reference.motifs if one.binned_utc is None]
    return PrintedPicture(
        _printed(desk, reference),
        credit_of(reference),
        f"For {words(motifs)}" if motifs else "",
        tuple(_strip(desk, one) for one in palettes if one.reference_id == reference.id),
        desk.lost.get(reference.image_sha256 or "", ""),
    )


def _printed(desk: Desk, reference: Reference) -> bytes:
    return shown_picture(desk, reference.image_sha256 or "", "print", or_stand_in=True)


def _strip(desk: Desk, palette: PaletteView) -> PaletteStrip:
    return PaletteStrip(palette.name, tuple(colours_of(desk, palette)))


def _named(name: str, lab: Sequence[float]) -> NamedColour:
    lightness, a, b = lab
    return NamedColour(name, (lightness, a, b))


def _part(desk: Desk, view: PartView) -> PartLine:
    chosen, meant = view.material, view.swatch
    piece = nouns.materials.get(desk, chosen.id, binned=True) if chosen else None
    return PartLine(
        name=view.name,
        made_of=public_label(piece) if piece else "",
        species=piece.species if piece else "",
        finish=view.finish,
        drawn=view.drawn,
        sizes=view.sizes,
        care=view.care,
        timber=Timber(
            picture_at(desk, chosen.texture) if chosen.texture else None,
            chosen.now.hex if chosen.now else None,
        )
        if chosen
        else None,
        meant_for=_named(meant.label, meant.now.lab) if meant and meant.now else None,
        motif=view.motif_name or "",
    )


def _pairs(scope: Scope) -> tuple[PairLine, ...]:
    desk, pairings = scope.desk, scope.page(nouns.pairings)
    lines = []
    for pairing, view in zip(pairings, nouns.pairings.show_all(desk, pairings), strict=True):
        width = "" if view.line_mm is None else f"a line of {length_text(view, 'line_mm')}"
        lines.append(
            PairLine(
                public_label(pairing),
                ", ".join(part for part in (pairing.place, width) if part),
                view.verdict.sentence if view.verdict else "Not judged: a colour is missing.",
                _sample(desk, pairing) if view.verdict else None,
            )
        )
    return tuple(lines)


def _sample(desk: Desk, pairing: Pairing) -> bytes:
    surfaces = surfaces_of(desk, [pairing.ground, pairing.inlay])
    drawn = draw_pairing(
        desk,
        surfaces[pairing.ground_id],
        surfaces[pairing.inlay_id],
        pairing.line_mm or SAMPLE_LINE_MM,
        "bare",
    )
    return drawn_picture(desk, drawn, SAMPLE_PX)


def _drawing(desk: Desk, brief: Brief) -> LineDrawing:
    """Front, side and back as the overview has them, without what is written on it."""
    plan = plan_of(desk, brief, "overview")
    lines = [one for shape in plan.drawing if (one := as_line(shape)) is not None]
    left, top, right, low = box_of_all(lines)
    strokes = tuple(
        Stroke(tuple((x - left, y - top) for x, y in one.points), one.closed) for one in lines
    )
    return LineDrawing(strokes, right - left, low - top)


def _numbers(brief: Brief) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    every = numbers_view(brief).numbers
    nothing = says_nothing({one.name: one.value for one in every})
    told = [one for one in every if one.name not in nothing]
    view = sorted(told, key=lambda one: PARTS.index(one.part))
    return tuple(
        (PART_TITLES[part], tuple((one.label, _value(one)) for one in those))
        for part, those in groupby(view, key=lambda one: one.part)
    )


def _value(one: NumberView) -> str:
    """In millimetres, which the heading says; and as it was typed, if that was in another unit."""
    typed = other_unit(one.typed)
    return f"{plain(one.value)} ({typed})" if typed else plain(one.value)


def _timber(parts: Sequence[PartView]) -> tuple[tuple[str, str], ...]:
    """Each material once, with the parts that are made of it, in the order of the spec."""
    made: dict[str, list[PartView]] = {}
    for part in parts:
        if part.material:
            made.setdefault(part.material.in_public, []).append(part)
    return tuple(
        (label, words([one.name.lower() if place else one.name for place, one in enumerate(those)]))
        for label, those in made.items()
    )


def _comments(scope: Scope) -> tuple[PrintedComment, ...]:
    """What was said of the things that a link can show."""
    desk, shown = scope.desk, open_to_others(scope)
    return tuple(
        PrintedComment(
            one.author, public_label_of(desk, one.about_kind, one.about_id), one.text, one.outcome
        )
        for one in scope.page(nouns.comments)
        if one.about_id in shown
    )
