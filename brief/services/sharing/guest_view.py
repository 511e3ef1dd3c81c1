"""What somebody outside may see of a brief: named field by field, so that what is not named here
stays in the house.

Never in it: references marked private and what was said of them, notes unless they were opened,
prices, where a piece comes from, the trip, and the files as they were given.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import select

from brief.colour import PairVerdict
from brief.instrument import Face
from brief.services import nouns
from brief.services.common.finding import present
from brief.services.common.foreign_keys import named
from brief.services.common.naming import BY_KIND, public_label
from brief.services.common.noun import Noun
from brief.services.common.paging import FIRST, Leaf, Pager, paged
from brief.services.drawing import plans
from brief.services.drawing.instrument_drawing import WornPiece, draw_instrument
from brief.services.drawing.pair_pictures import PairPicture, pair_pictures
from brief.services.drawing.thumbnails import Thumbnail, face
from brief.services.feedback.annotations import iri_of
from brief.services.feedback.comments import quote_of, words_of
from brief.services.feedback.questions import QuestionView
from brief.services.feedback.quotes import places
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.pairings import line_words, verdict_of
from brief.services.pairing.sides import sides_of
from brief.services.pairing.view_settings import Switches, shown_as
from brief.services.photos.pictures import PictureView
from brief.services.sharing.share_scope import Scope
from brief.services.sharing.shares import SheetKey
from brief.services.spec.parts import ChosenView, PartView
from brief.services.spec.strands import Gathered, Strand, Strands, strands_of
from brief.services.studio.shots import EARLIER
from brief.services.studio.studio_pictures import StudioPictureView
from brief.services.theme.palettes import PaletteView
from brief.services.theme.references import ReferenceView
from brief.store.desk import Desk
from brief.store.records import (
    Comment,
    Pairing,
    Record,
    Reference,
)

R = TypeVar("R", bound=Record)
PLATES, PAIRINGS = 24, 12  # on a page
ONE_PAGE = Pager(1, 1, 0)
PLAIN = Switches()  # outsiders see the timber bare and in daylight


@dataclass(frozen=True)
class NamedThing:
    """A thing that can be spoken of: its kind, its id, what it is called."""

    kind: str
    id: str
    label: str

    @property
    def iri(self) -> str:
        """Its address in a file of comments."""
        return iri_of(self.id)


@dataclass(frozen=True)
class CommentSaid:
    """What somebody said, and what was answered."""

    author: str
    text: str
    created_utc: datetime
    state: str
    outcome: str
    quote: str
    region: str | None
    replies: tuple[CommentSaid, ...] = ()


@dataclass(frozen=True)
class ShownReference:
    """A picture or a passage, with its credit, and the colours pulled out of it."""

    about: NamedThing
    passage: str
    credit: str
    source: str
    rights: str
    rights_in_words: str
    picture: PictureView | None
    motifs: tuple[str, ...]
    palettes: tuple[PaletteView, ...]


@dataclass(frozen=True)
class MadeOf:
    """A part, and what it is to be made of."""

    about: NamedThing
    role: str
    material: str
    finish: str
    drawn: str
    sizes: str
    texture: str | None
    hex: str | None
    meant_for: str
    meant_hex: str | None
    motif: str


@dataclass(frozen=True)
class InlayTogether:
    """An inlay and a timber, and whether it reads. headlines : readings, and where they hold."""

    about: NamedThing
    place: str
    line: str
    pictures: tuple[PairPicture, ...]
    headlines: tuple[tuple[str, str], ...]
    sentence: str


@dataclass(frozen=True)
class AskedQuestion:
    """A question, and what is shown of each thing that it puts side by side."""

    question: QuestionView
    faces: tuple[Thumbnail, ...]

    @property
    def iri(self) -> str:
        """Its address in a file of comments."""
        return iri_of(self.question.id)

    @property
    def iris(self) -> tuple[str, ...]:
        """Of the things it puts side by side."""
        return tuple(iri_of(choice.id) for choice in self.question.choices)


@dataclass(frozen=True)
class Outside:
    """One brief as an outsider reads it; sheets that are not shown are empty. Of plates and
    pairings there may be one page of several.

    motifs : each with its strand, as far as what it is made of is shown; loose : what is in none.
    faces : those that parts are cut out of, each with its viewBox; other_faces : SVG of those that
    are not the front; turned : where the instrument is that can be turned.
    """

    about: NamedThing
    sheets: tuple[SheetKey, ...]
    instrument: str
    theme: str = ""
    motifs: tuple[tuple[NamedThing, Strand], ...] = ()
    loose: Strand | None = None
    faces: Mapping[Face, str] = field(default_factory=dict)
    other_faces: tuple[str, ...] = ()
    plates: tuple[ShownReference, ...] = ()
    plate_pages: Pager = ONE_PAGE
    front: str = ""
    turned: str = ""
    parts: tuple[MadeOf, ...] = ()
    pairings: tuple[InlayTogether, ...] = ()
    pairing_pages: Pager = ONE_PAGE
    questions: tuple[AskedQuestion, ...] = ()
    drawings: tuple[tuple[str, str], ...] = ()
    studio: tuple[StudioPictureView, ...] = ()
    earlier: str = EARLIER  # said of those that are not of today
    notes: dict[str, tuple[str, ...]] = field(default_factory=dict)
    said: dict[str, tuple[CommentSaid, ...]] = field(default_factory=dict)


def things(scope: Scope) -> dict[str, NamedThing]:
    """All that an outsider can speak of, by id."""
    found: list[NamedThing] = [_named(nouns.briefs, scope.brief)]
    if "theme" in scope.sheets:
        found += [_named(nouns.motifs, one) for one in scope.page(nouns.motifs)]
    if "references" in scope.sheets:
        found += [_named(nouns.references, one) for one in scope.references]
    if "spec" in scope.sheets:
        found += [_named(nouns.parts, one) for one in scope.page(nouns.parts)]
    if "pairings" in scope.sheets:
        found += [_named(nouns.pairings, one) for one in scope.page(nouns.pairings)]
    return {one.id: one for one in found}


def open_to_others(scope: Scope) -> frozenset[str]:
    """What others may hear of in what is said: the things that a link can show, and the questions
    that it can ask, by id."""
    return frozenset({*things(scope), *(one.id for one in scope.questions)})


def _named(noun: Noun[Any, Any], record: Record) -> NamedThing:
    return NamedThing(noun.one, record.id, public_label(record))


@dataclass(frozen=True)
class Leaves:
    """Which pages of the long lists are asked for."""

    plates: Leaf = FIRST
    pairings: Leaf = FIRST


def outside(scope: Scope, leaves: Leaves | None = None) -> Outside:
    """What there is to be read; all of it, unless pages are asked for."""
    brief, shown = scope.brief, things(scope)
    seen = Outside(
        about=_named(nouns.briefs, brief),
        sheets=tuple(scope.sheets),
        instrument=brief.instrument or instrument_of(brief).name,
        notes=_by_thing(
            (note.about_id, note.text)
            for note in scope.page(nouns.notes)
            if not note.private and note.id in scope.open and note.about_id in shown
        ),
    )
    for key, fill in _FILLS.items():
        if key in scope.sheets:
            seen = fill(scope, seen, leaves)
    here = shown.keys() - _elsewhere(scope, seen)
    return replace(seen, said=_said(scope, here)) if "comments" in scope.sheets else seen


def _elsewhere(scope: Scope, seen: Outside) -> set[str]:
    """The ids of plates and pairings that are on other pages."""
    listed = {one.id for one in (*scope.references, *scope.page(nouns.pairings))}
    return listed - {one.about.id for one in seen.plates} - {one.about.id for one in seen.pairings}


def _page_of(those: Sequence[R], size: int, leaf: Leaf | None) -> tuple[Sequence[R], Pager]:
    """Of a list that is asked for whole there is one page."""
    return paged(those, size, leaf) if leaf else (those, ONE_PAGE)


def _theme(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    motifs = scope.page(nouns.motifs)
    strands = strands_outside(scope, scope.references)
    return replace(
        seen,
        theme=scope.brief.theme,
        motifs=tuple(
            (_named(nouns.motifs, one), strand)
            for one, strand in zip(motifs, strands.strands, strict=True)
        ),
        loose=strands.loose,
        faces=strands.faces,
        other_faces=tuple(
            _drawn(scope, f"whole-{face}", face) for face in strands.faces if face != "front"
        ),
    )


def strands_outside(scope: Scope, references: Sequence[Reference]) -> Strands:
    """The strands with these references, as far as the sheets show what they are made of: no colour
    out of a picture that is not shown, and no piece of the rack that nothing is made of.
    """
    desk, motifs = scope.desk, scope.page(nouns.motifs)
    references = references if "references" in scope.sheets else ()
    parts = scope.page(nouns.parts) if "spec" in scope.sheets else []
    shown = scope.palette_ids
    swatches = [
        one
        for one in scope.page(nouns.swatches)
        if "references" in scope.sheets and (one.palette_id is None or one.palette_id in shown)
    ]
    views = nouns.parts.show_all(desk, parts)
    return strands_of(
        desk,
        scope.brief,
        Gathered(
            motifs=nouns.motifs.show_all(desk, motifs),
            references=references,
            swatches=nouns.swatches.show_all(desk, swatches),
            parts=views,
            worn={one.material.id: _as_chosen(one.material) for one in views if one.material},
            suggest=False,
            public=True,
        ),
    )


def _as_chosen(material: ChosenView) -> WornPiece:
    return WornPiece(material.texture, material.now.hex if material.now else None)


def _drawn(scope: Scope, prefix: str, face: Face = "front") -> str:
    """A face of the instrument, SVG."""
    parts = scope.page(nouns.parts)
    return draw_instrument(scope.desk, scope.brief, parts, prefix=prefix, face=face, public=True)


def _references(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    records, pages = _page_of(scope.references, PLATES, leaves.plates if leaves else None)
    here = {one.id for one in records}
    of_these = scope.palettes_of(here)
    palettes: dict[str, list[PaletteView]] = {}
    for palette in nouns.palettes.show_all(scope.desk, of_these):
        palettes.setdefault(palette.reference_id, []).append(palette)
    views = nouns.references.show_all(scope.desk, records)
    motifs = {one.id: one.name for one in scope.page(nouns.motifs)}
    plates = tuple(
        _plate(record, view, motifs, palettes.get(view.id, ()))
        for record, view in zip(records, views, strict=True)
    )
    return replace(seen, plates=plates, plate_pages=pages)


def _plate(
    record: Reference,
    view: ReferenceView,
    motifs: dict[str, str],
    palettes: Sequence[PaletteView],
) -> ShownReference:
    return ShownReference(
        about=_named(nouns.references, record),
        passage=view.passage,
        credit=view.credit or ("the maker" if view.own else ""),
        source=view.source,
        rights=view.rights,
        rights_in_words=view.rights_in_words,
        picture=view.picture,
        motifs=tuple(motifs[one] for one in view.motif_ids if one in motifs),
        palettes=tuple(palettes),
    )


def _spec(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    desk, records = scope.desk, scope.page(nouns.parts)
    return replace(
        seen,
        front=_drawn(scope, "whole-front"),
        studio=tuple(nouns.studio_pictures.show_all(desk, scope.studio_pictures)),
        turned=f"/api/briefs/{scope.brief.id}/instrument.glb",
        parts=tuple(_made_of(view) for view in nouns.parts.show_all(desk, records)),
    )


def _made_of(view: PartView) -> MadeOf:
    material, swatch = view.material, view.swatch
    return MadeOf(
        about=NamedThing("part", view.id, view.name),
        role=view.role,
        material=material.in_public if material else "",
        finish=view.finish,
        drawn=view.drawn,
        sizes=view.sizes,
        texture=material.texture if material else None,
        hex=material.now.hex if material and material.now else None,
        meant_for=swatch.label if swatch else "",
        meant_hex=swatch.now.hex if swatch and swatch.now else None,
        motif=view.motif_name or "",
    )


def _pairings(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    desk, every = scope.desk, scope.page(nouns.pairings)
    records, pages = _page_of(every, PAIRINGS, leaves.pairings if leaves else None)
    viewings = scope.page(nouns.viewings)
    shown = shown_as(PLAIN, viewings)
    sides = sides_of(desk, records)
    pairings = tuple(
        _together(
            record,
            verdict_of(record, sides[record.id], viewings) if record.id in sides else None,
            pair_pictures(desk, record, shown, viewings, public=True, sides=sides.get(record.id)),
        )
        for record in records
    )
    return replace(seen, pairings=pairings, pairing_pages=pages)


def _together(
    record: Pairing, verdict: PairVerdict | None, pictures: Sequence[PairPicture]
) -> InlayTogether:
    return InlayTogether(
        about=_named(nouns.pairings, record),
        place=record.place,
        line=line_words(record),
        pictures=tuple(pictures),
        headlines=tuple((one.reading, one.condition.words) for one in verdict.headlines)
        if verdict
        else (),
        sentence=verdict.sentence if verdict else "",
    )


def _questions(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    desk, viewings = scope.live, nouns.viewings.page(scope.live, brief_id=scope.brief.id)
    shown = shown_as(PLAIN, viewings)
    questions = tuple(
        AskedQuestion(
            nouns.questions.as_asked(desk, question),
            tuple(
                face(desk, _thing(desk, choice), shown, f"q{question.id}{place}", public=True)
                for place, choice in enumerate(question.choices)
            ),
        )
        for question in scope.questions
    )
    return replace(seen, questions=questions)


def _thing(desk: Desk, choice: Mapping[str, str]) -> Record:
    return named(desk, choice["kind"], choice["id"])


def _drawing(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    addresses = tuple(
        (f"/api/briefs/{scope.brief.id}/drawings/{name}.svg", title)
        for name, title in plans.sheets_of(scope.desk, scope.brief)
    )
    return replace(seen, drawings=addresses)


_FILLS: dict[SheetKey, Callable[[Scope, Outside, Leaves | None], Outside]] = {
    "theme": _theme,
    "references": _references,
    "spec": _spec,
    "pairings": _pairings,
    "questions": _questions,
    "drawing": _drawing,
}


def _said(scope: Scope, shown: Collection[str]) -> dict[str, tuple[CommentSaid, ...]]:
    comments = scope.live.session.scalars(
        select(Comment)
        .where(
            Comment.brief_id == scope.brief.id,
            Comment.about_id.in_(shown),
            Comment.binned_utc.is_(None),
        )
        .order_by(Comment.id)
    ).all()
    replies = _by_thing((one.reply_to, _as_said(scope, one)) for one in comments if one.reply_to)
    return _by_thing(
        (one.about_id, _as_said(scope, one, replies.get(one.id, ())))
        for one in comments
        if one.reply_to is None
    )


def _as_said(scope: Scope, comment: Comment, replies: tuple[CommentSaid, ...] = ()) -> CommentSaid:
    quote = comment.quote
    if quote and scope.desk is not scope.live:
        # Words quoted from the brief as it is now are not for who reads it as it was.
        about = present(scope.desk, BY_KIND[comment.about_kind], comment.about_id)
        quote = quote if places(words_of(about), quote_of(comment)) else ""
    return CommentSaid(
        comment.author,
        comment.text,
        comment.said_utc or comment.created_utc,
        comment.state,
        comment.outcome,
        quote,
        comment.region,
        replies,
    )


def _by_thing(pairs: Any) -> dict[str, tuple[Any, ...]]:
    found: dict[str, tuple[Any, ...]] = {}
    for about, one in pairs:
        found[about] = (*found.get(about, ()), one)
    return found
