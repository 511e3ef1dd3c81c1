"""What somebody outside sees of a brief, gathered in one way for links, files by mail, booklets,
cards and sheets of strands alike. What may be shown of a record says `privacy.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from brief.instrument import Face
from brief.services import nouns
from brief.services.common.foreign_keys import named
from brief.services.common.paging import FIRST, Leaf, Pager, paged
from brief.services.drawing import plans
from brief.services.drawing.instrument_drawing import WornPiece, draw_instrument
from brief.services.drawing.pair_pictures import pair_pictures
from brief.services.drawing.thumbnails import face
from brief.services.feedback.annotations import labelled
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.pairings import verdict_of
from brief.services.pairing.sides import sides_of
from brief.services.pairing.view_settings import Switches, shown_as
from brief.services.sharing import privacy
from brief.services.sharing.handed_over import said_besides
from brief.services.sharing.said import by_thing, comments_said, notes_said
from brief.services.sharing.seen import ONE_PAGE, MadeOf, NamedThing, Outside, ShownPalette
from brief.services.sharing.share_scope import Scope
from brief.services.sharing.shares import SheetKey
from brief.services.spec.parts import ChosenView, PartView
from brief.services.spec.strand import Strands
from brief.services.spec.strands import Gathered, own_strands, strands_of
from brief.services.theme.rights import counted
from brief.store.desk import Desk
from brief.store.records import Material, Record

R = TypeVar("R", bound=Record)
PLATES, PAIRINGS = 24, 12  # on a page
PLAIN = Switches()  # outsiders see the timber bare and in daylight


def things(scope: Scope) -> dict[str, NamedThing]:
    """All that an outsider can speak of, by id."""
    return {one.id: privacy.as_named(one) for one in _spoken_of(scope)}


def _spoken_of(scope: Scope) -> list[Record]:
    sheets = scope.sheets
    motifs = scope.page(nouns.motifs) if "theme" in sheets else ()
    references = scope.open_references if "references" in sheets else ()
    parts = scope.page(nouns.parts) if "spec" in sheets else ()
    pairings = scope.page(nouns.pairings) if "pairings" in sheets else ()
    return [scope.brief, *motifs, *references, *parts, *pairings]


def open_to_others(scope: Scope) -> frozenset[str]:
    """What others may hear of in what is said: the things that a link can show, and the questions
    that it can ask, by id."""
    return frozenset({*things(scope), *(one.id for one in scope.questions)})


def spoken_of_in_files(scope: Scope) -> list[dict[str, str]]:
    """The same as a file of comments names them."""
    return labelled([*_spoken_of(scope), *scope.questions])


@dataclass(frozen=True)
class Leaves:
    """Which pages of the long lists are asked for."""

    plates: Leaf = FIRST
    pairings: Leaf = FIRST


def outside(scope: Scope, leaves: Leaves | None = None) -> Outside:
    """What there is to be seen; all of it, unless pages are asked for."""
    brief, shown = scope.brief, things(scope)
    seen = Outside(
        about=shown[brief.id],
        sheets=tuple(scope.sheets),
        instrument=brief.instrument or instrument_of(brief).name,
        called=brief.instrument,
        changed_utc=brief.changed_utc,
        things=shown,
        notes=notes_said(scope, shown),
        handed=said_besides(scope) if scope.by_maker else None,
    )
    for key, fill in _FILLS.items():
        if key in scope.sheets:
            seen = fill(scope, seen, leaves)
    here = shown.keys() - _elsewhere(scope, seen)
    return replace(seen, said=comments_said(scope, here)) if "comments" in scope.sheets else seen


def _elsewhere(scope: Scope, seen: Outside) -> set[str]:
    """The ids of plates and pairings that are on other pages."""
    listed = {one.id for one in (*scope.references, *scope.page(nouns.pairings))}
    return listed - {one.about.id for one in seen.plates} - {one.about.id for one in seen.pairings}


def _page_of(those: Sequence[R], size: int, leaf: Leaf | None) -> tuple[Sequence[R], Pager]:
    """Of a list that is asked for whole there is one page."""
    return paged(those, size, leaf) if leaf else (those, ONE_PAGE)


def _theme(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    strands = _strands(scope)
    others = () if scope.by_maker else [one for one in strands.faces if one != "front"]
    return replace(
        seen,
        theme=scope.brief.theme,
        motifs=tuple(
            (privacy.as_named(one), strand)
            for one, strand in zip(scope.page(nouns.motifs), strands.strands, strict=True)
        ),
        loose=strands.loose,
        faces=strands.faces,
        other_faces=tuple(_drawn(scope, f"whole-{one}", one) for one in others),
    )


def _strands(scope: Scope) -> Strands:
    """The strands as far as the sheets show what they are made of: no colour out of a picture that
    is not shown, and no piece of the rack that nothing is made of. For the maker's own eyes all of
    them, with the nearest pieces.
    """
    desk = scope.desk
    if scope.is_own:
        return own_strands(desk, scope.brief, PLAIN.state)
    views = scope.part_views if "spec" in scope.sheets else []
    shows_colours = "references" in scope.sheets
    return strands_of(
        desk,
        scope.brief,
        Gathered(
            motifs=nouns.motifs.show_all(desk, scope.page(nouns.motifs)),
            references=scope.references if shows_colours else (),
            swatches=nouns.swatches.show_all(desk, scope.swatches) if shows_colours else (),
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
    palettes = by_thing(_palettes(scope, {one.id for one in records}))
    views = nouns.references.show_all(scope.desk, records)
    motifs = {one.id: one.name for one in scope.page(nouns.motifs)}
    return replace(
        seen,
        plates=tuple(
            privacy.of_reference(record, view, motifs, palettes.get(view.id, ()))
            for record, view in zip(records, views, strict=True)
        ),
        plate_pages=pages,
        colours=tuple(privacy.of_swatch(one) for one in scope.swatches),
        plates_left_out=counted([one for one in scope.open_references if one.id in scope.left_out]),
        strips=tuple(one for _, one in _palettes(scope, scope.left_out)),
    )


def _palettes(scope: Scope, reference_ids: Collection[str]) -> list[tuple[str, ShownPalette]]:
    """The palettes of these references, each with its reference's id."""
    views = nouns.palettes.show_all(scope.desk, scope.palettes_of(reference_ids))
    called = {one.id: one.name for one in scope.swatches}
    return [(one.reference_id, privacy.of_palette(one, called)) for one in views]


def _spec(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    colours = {one.id for one in scope.swatches}
    return replace(
        seen,
        front="" if scope.by_maker else _drawn(scope, "whole-front"),
        studio=tuple(
            privacy.of_studio_picture(one)
            for one in nouns.studio_pictures.show_all(scope.desk, scope.studio_pictures)
        ),
        turned=f"/api/briefs/{scope.brief.id}/instrument.glb",
        parts=tuple(_made_of(scope, view, colours) for view in scope.part_views),
    )


def _made_of(scope: Scope, view: PartView, colours: Collection[str]) -> MadeOf:
    """colours : the ids of those that are shown."""
    species = care = ""
    if scope.by_maker:
        care = view.care
        if view.material:
            species = scope.desk.session.get_one(Material, view.material.id).species
    meant = view.swatch is not None and view.swatch.id in colours
    return privacy.of_part(view, meant=meant, species=species, care=care)


def _pairings(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    desk, every = scope.desk, scope.page(nouns.pairings)
    records, pages = _page_of(every, PAIRINGS, leaves.pairings if leaves else None)
    viewings = scope.page(nouns.viewings)
    shown = shown_as(PLAIN, viewings)
    sides = sides_of(desk, records)
    pairings = tuple(
        privacy.of_pairing(
            record,
            verdict_of(record, sides[record.id], viewings) if record.id in sides else None,
            ()
            if scope.by_maker
            else pair_pictures(
                desk, record, shown, viewings, public=True, sides=sides.get(record.id)
            ),
        )
        for record in records
    )
    return replace(seen, pairings=pairings, pairing_pages=pages)


def _questions(scope: Scope, seen: Outside, leaves: Leaves | None) -> Outside:
    desk, viewings = scope.live, nouns.viewings.page(scope.live, brief_id=scope.brief.id)
    shown = shown_as(PLAIN, viewings)
    questions = tuple(
        privacy.of_question(
            nouns.questions.as_asked(desk, question),
            [
                face(desk, _thing(desk, choice), shown, f"q{question.id}{place}", public=True)
                for place, choice in enumerate(question.choices)
            ],
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
