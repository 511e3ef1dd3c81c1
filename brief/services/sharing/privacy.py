"""What is private, said once for all that leaves the house: which records, and which fields.

Of records, those that the maker marked, and what was pulled out of a picture that they marked. Of
fields, every one that no function here puts into the model (`seen.py`): prices, notes on pieces,
where they come from, the trip, files as they were given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import select

from brief.colour import PairVerdict
from brief.english import words
from brief.paper.contents import Credit
from brief.services.common.colour_view import colour_view
from brief.services.common.foreign_keys import named
from brief.services.common.naming import kind_of_record, label, public_label
from brief.services.drawing.pair_pictures import PairPicture
from brief.services.drawing.thumbnails import Thumbnail
from brief.services.feedback.questions import QuestionView
from brief.services.pairing.pairings import line_words
from brief.services.sharing.seen import (
    AskedChoice,
    AskedQuestion,
    CommentSaid,
    GivenAnswer,
    InlayTogether,
    MadeOf,
    NamedThing,
    PulledColour,
    ShownColour,
    ShownPalette,
    ShownReference,
    ShownStudioPicture,
)
from brief.services.spec.parts import PartView
from brief.services.studio.studio_pictures import StudioPictureView
from brief.services.theme.palettes import PaletteColourView, PaletteView
from brief.services.theme.references import ReferenceView
from brief.services.theme.rights import standing
from brief.store.desk import Desk
from brief.store.records import (
    Comment,
    Note,
    Pairing,
    Palette,
    Question,
    Record,
    Reference,
    StudioPicture,
    Swatch,
)

MARKED = (Reference, Note, StudioPicture)  # with a field by which the maker keeps one private
Marked = Reference | Note | StudioPicture


# Which records


def kept_with(desk: Desk, record: Record) -> Marked | None:
    """What a record is private with: itself, or the picture that it was pulled out of; None of
    what is never private."""
    if isinstance(record, MARKED):
        return record
    if isinstance(record, Palette):
        return desk.session.get_one(Reference, record.reference_id)  # nothing is open by its lack
    if isinstance(record, Swatch) and record.palette_id is not None:
        return kept_with(desk, desk.session.get_one(Palette, record.palette_id))
    return None


def open_now(live: Desk, brief_id: str) -> frozenset[str]:
    """Of those that can be marked, the ones that are there now and not private, by id.

    An older revision shows no others: who marks or removes a picture, perhaps because it was not
    theirs to show, does not think of the links that were given out before.
    """
    return frozenset(
        record_id
        for record in MARKED
        for record_id in live.session.scalars(
            select(record.id).where(
                record.brief_id == brief_id, record.binned_utc.is_(None), ~record.private
            )
        )
    )


def kept_in(desk: Desk, question: Question) -> str:
    """Why a question is not asked outside, though it may be open; empty if it is.

    What is private, or was removed, leaves the house by a question as little as otherwise.
    """
    for choice in question.choices:
        thing = named(desk, choice["kind"], choice["id"])
        if thing.binned_utc is not None:
            return f"“{label(thing)}” lies in the offcuts bin"
        marked = kept_with(desk, thing)
        if marked is not None and marked.private:
            of = "" if marked is thing else "out of a picture that is "
            return f"“{label(thing)}” is {of}private"
    return ""


# Which fields


def as_named(record: Record) -> NamedThing:
    """What it is called to others."""
    return NamedThing(kind_of_record(type(record)), record.id, public_label(record))


def of_reference(
    record: Reference,
    view: ReferenceView,
    motifs: Mapping[str, str],
    palettes: Sequence[ShownPalette],
) -> ShownReference:
    """A reference. motifs : the names of those of the brief, by id; palettes : its own."""
    rights = standing(record)
    return ShownReference(
        about=as_named(record),
        kind=view.kind,
        title=view.title,
        passage=view.passage,
        credit=view.credit or ("the maker" if view.own else ""),
        source=view.source,
        rights=view.rights,
        rights_in_words=view.rights_in_words,
        printed=Credit(view.title, view.credit, view.source, rights.licence, rights.uri),
        picture=view.picture,
        motifs=tuple(motifs[one] for one in view.motif_ids if one in motifs),
        palettes=tuple(palettes),
    )


def of_palette(view: PaletteView, called: Mapping[str, str]) -> ShownPalette:
    """A palette. called : the names of the swatches of the brief, by id."""

    def pulled(those: Sequence[PaletteColourView]) -> tuple[PulledColour, ...]:
        return tuple(
            PulledColour(
                one.colour,
                one.share,
                words([called[swatch] for swatch in one.swatch_ids if swatch in called])
                or one.colour.words,
            )
            for one in those
        )

    return ShownPalette(view.name, pulled(view.colours), pulled(view.accents))


def of_swatch(record: Swatch) -> ShownColour:
    """A named colour."""
    return ShownColour(record.name, colour_view(record.lab, record.uncertainty), record.motif_id)


def of_studio_picture(view: StudioPictureView) -> ShownStudioPicture:
    """A studio picture."""
    return ShownStudioPicture(view.id, view.name, tuple(view.said), view.is_of_today, view.picture)


def of_part(view: PartView, *, meant: bool, species: str, care: str) -> MadeOf:
    """A part. meant : whether others may see the colour that it is to carry."""
    material, swatch = view.material, view.swatch if meant else None
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
        meant=swatch.now if swatch else None,
        motif=view.motif_name or "",
        species=species,
        care=care,
    )


def of_pairing(
    record: Pairing, verdict: PairVerdict | None, pictures: Sequence[PairPicture]
) -> InlayTogether:
    """A pairing, as it is judged and pictured."""
    return InlayTogether(
        about=as_named(record),
        place=record.place,
        line=line_words(record),
        pictures=tuple(pictures),
        headlines=tuple((one.reading, one.condition.words) for one in verdict.headlines)
        if verdict
        else (),
        sentence=verdict.sentence if verdict else "",
    )


def of_question(view: QuestionView, faces: Sequence[Thumbnail]) -> AskedQuestion:
    """A question as those see it who are asked."""
    return AskedQuestion(
        id=view.id,
        text=view.text,
        state=view.state,
        choices=tuple(
            AskedChoice(choice.id, choice.label, face)
            for choice, face in zip(view.choices, faces, strict=True)
        ),
        result=view.result,
        answers=tuple(
            GivenAnswer(one.author, one.choice_label, one.why) for one in view.answers or ()
        ),
    )


def of_comment(
    record: Comment, *, quote: str, replies: tuple[CommentSaid, ...] = ()
) -> CommentSaid:
    """A comment. quote : as far as its words stand in what is shown."""
    return CommentSaid(
        id=record.id,
        about=record.about_id,
        author=record.author,
        text=record.text,
        created_utc=record.said_utc or record.created_utc,
        state=record.state,
        outcome=record.outcome,
        quote=quote,
        region=record.region,
        replies=replies,
    )
