"""What somebody outside may see of a brief: named field by field, so that what is not named here
stays in the house.

Never in it: references marked private and what was said of them, notes unless they were opened,
prices, where a piece comes from, the trip, and the files as they were given.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from html import escape, unescape
from typing import Any
from urllib.parse import unquote

from ulid import ULID

from brief.errors import NotFound
from brief.photo import Region
from brief.services import drawings, nouns
from brief.services.noun import Noun
from brief.services.numbers import instrument_of
from brief.services.pair_pictures import PairPicture, pair_pictures, picture_as_asked
from brief.services.pairings import PairingView
from brief.services.palettes import PaletteView
from brief.services.panel import draw_instrument
from brief.services.pictures import SIZES, PictureView, picture_view, shown_picture
from brief.services.rack import texture_of
from brief.services.references import ReferenceView
from brief.services.schemes import scheme_view
from brief.services.shares import SheetKey
from brief.services.spec import PartView
from brief.services.switches import Switches, shown_as
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Record, Reference

NO_PICTURE = "There is no such picture here."
PLAIN = Switches()  # outsiders see the timber bare and in daylight


@dataclass(frozen=True)
class Named:
    """A thing that can be spoken of: its kind, its id, what it is called."""

    kind: str
    id: str
    label: str

    @property
    def iri(self) -> str:
        return iri_of(self.id)


@dataclass(frozen=True)
class Said:
    """What somebody said, and what was answered."""

    author: str
    text: str
    created_utc: datetime
    state: str
    outcome: str
    region: str | None
    replies: tuple[Said, ...] = ()


@dataclass(frozen=True)
class Plate:
    """A picture or a passage, with its credit, and the colours pulled out of it."""

    about: Named
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

    about: Named
    role: str
    material: str
    finish: str
    sizes: str
    texture: str | None
    hex: str | None
    meant_for: str
    meant_hex: str | None
    motif: str


@dataclass(frozen=True)
class Together:
    """An inlay and a timber, and whether it reads."""

    about: Named
    place: str
    line_mm: float | None
    pictures: tuple[PairPicture, ...]
    reading: str
    words: str
    sentence: str


@dataclass(frozen=True)
class Outside:
    """One brief as an outsider reads it; sheets that are not shown are empty."""

    about: Named
    sheets: tuple[SheetKey, ...]
    instrument: str
    theme: str = ""
    motifs: tuple[tuple[Named, str], ...] = ()
    plates: tuple[Plate, ...] = ()
    front: str = ""
    parts: tuple[MadeOf, ...] = ()
    scheme: tuple[str, ...] = ()
    pairings: tuple[Together, ...] = ()
    drawings: tuple[tuple[str, str], ...] = ()
    notes: dict[str, tuple[str, ...]] = field(default_factory=dict)
    said: dict[str, tuple[Said, ...]] = field(default_factory=dict)


def iri_of(record_id: str) -> str:
    """The name of a record for the world outside: its ULID as a UUID (RFC 9562)."""
    return ULID.from_str(record_id).to_uuid().urn


def things(desk: Desk, brief: Brief, sheets: Collection[SheetKey]) -> dict[str, Named]:
    """All that an outsider can speak of on these sheets, by id."""
    found: list[Named] = [Named("brief", brief.id, brief.title)]
    if "theme" in sheets:
        found += [_named(nouns.motifs, one) for one in nouns.motifs.page(desk, brief_id=brief.id)]
    if "references" in sheets:
        found += [_named(nouns.references, one) for one in open_references(desk, brief)]
    if "spec" in sheets:
        found += [_named(nouns.parts, one) for one in nouns.parts.page(desk, brief_id=brief.id)]
    if "pairings" in sheets:
        pairings = nouns.pairings.page(desk, brief_id=brief.id)
        found += [_named(nouns.pairings, one) for one in pairings]
    return {one.id: one for one in found}


def _named(noun: Noun[Any, Any], record: Record) -> Named:
    return Named(noun.one, record.id, noun.label(record))


def outside(desk: Desk, brief: Brief, sheets: Sequence[SheetKey]) -> Outside:
    """What the brief shows to those outside on these sheets."""
    about = Named("brief", brief.id, brief.title)
    seen = Outside(
        about=about,
        sheets=tuple(sheets),
        instrument=brief.instrument or instrument_of(brief).name,
        **{
            name: value
            for key, fill in _FILLS.items()
            if key in sheets
            for name, value in fill(desk, brief).items()
        },
    )
    shown = things(desk, brief, sheets)
    notes = _by_thing(
        (note.about_id, note.text)
        for note in nouns.notes.page(desk, brief_id=brief.id)
        if not note.private and note.about_id in shown
    )
    said = _said(desk, brief, shown) if "comments" in sheets else {}
    return Outside(**{**vars(seen), "notes": notes, "said": said})


def _theme(desk: Desk, brief: Brief) -> dict[str, Any]:
    motifs = nouns.motifs.page(desk, brief_id=brief.id)
    return {
        "theme": brief.theme,
        "motifs": tuple((Named("motif", one.id, one.name), one.says) for one in motifs),
    }


def _references(desk: Desk, brief: Brief) -> dict[str, Any]:
    records = open_references(desk, brief)
    palettes: dict[str, list[PaletteView]] = {}
    for palette in nouns.palettes.show_all(desk, nouns.palettes.page(desk, brief_id=brief.id)):
        palettes.setdefault(palette.reference_id, []).append(palette)
    views = nouns.references.show_all(desk, records)
    motifs = {one.id: one.name for one in nouns.motifs.page(desk, brief_id=brief.id)}
    return {
        "plates": tuple(
            _plate(record, view, motifs, palettes.get(view.id, ()))
            for record, view in zip(records, views, strict=True)
        ),
    }


def _plate(
    record: Reference,
    view: ReferenceView,
    motifs: dict[str, str],
    palettes: Sequence[PaletteView],
) -> Plate:
    return Plate(
        about=Named("reference", record.id, nouns.references.label(record)),
        passage=view.passage,
        credit=view.credit,
        source=view.source,
        rights=view.rights,
        rights_in_words=view.rights_in_words,
        picture=view.picture,
        motifs=tuple(motifs[one] for one in view.motif_ids if one in motifs),
        palettes=tuple(palettes),
    )


def _spec(desk: Desk, brief: Brief) -> dict[str, Any]:
    records = nouns.parts.page(desk, brief_id=brief.id)
    scheme = scheme_view(desk, brief)
    return {
        "front": draw_instrument(desk, brief, records, prefix="front"),
        "parts": tuple(_made_of(view) for view in nouns.parts.show_all(desk, records)),
        "scheme": tuple(scheme.sentences) if scheme else (),
    }


def _made_of(view: PartView) -> MadeOf:
    material, swatch = view.material, view.swatch
    return MadeOf(
        about=Named("part", view.id, view.name),
        role=view.role,
        material=material.label if material else "",
        finish=view.finish,
        sizes=view.sizes,
        texture=material.texture if material else None,
        hex=material.now.hex if material and material.now else None,
        meant_for=swatch.label if swatch else "",
        meant_hex=swatch.now.hex if swatch and swatch.now else None,
        motif=view.motif_name or "",
    )


def _pairings(desk: Desk, brief: Brief) -> dict[str, Any]:
    records = nouns.pairings.page(desk, brief_id=brief.id)
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    shown = shown_as(PLAIN, viewings)
    views = nouns.pairings.show_all(desk, records)
    return {
        "pairings": tuple(
            _together(view, pair_pictures(desk, record, shown, viewings))
            for record, view in zip(records, views, strict=True)
        )
    }


def _together(view: PairingView, pictures: Sequence[PairPicture]) -> Together:
    verdict = view.verdict
    return Together(
        about=Named("pairing", view.id, f"{view.inlay.label} on {view.ground.label}"),
        place=view.place,
        line_mm=view.line_mm,
        pictures=tuple(pictures),
        reading=verdict.reading if verdict else "",
        words=verdict.bench.words if verdict else "",
        sentence=verdict.sentence if verdict else "",
    )


def _drawing(desk: Desk, brief: Brief) -> dict[str, Any]:
    return {
        "drawings": tuple(
            (f"/api/briefs/{brief.id}/drawings/{name}.svg", title)
            for name, (title, _) in drawings.SHEETS.items()
        )
    }


_FILLS: dict[SheetKey, Callable[[Desk, Brief], dict[str, Any]]] = {
    "theme": _theme,
    "references": _references,
    "spec": _spec,
    "pairings": _pairings,
    "drawing": _drawing,
}


def open_references(desk: Desk, brief: Brief) -> list[Reference]:
    """The references of a brief that are not marked private."""
    return [one for one in nouns.references.page(desk, brief_id=brief.id) if not one.private]


def _said(desk: Desk, brief: Brief, shown: Collection[str]) -> dict[str, tuple[Said, ...]]:
    comments = [
        one for one in nouns.comments.page(desk, brief_id=brief.id) if one.about_id in shown
    ]
    replies = _by_thing((one.reply_to, _as_said(one)) for one in comments if one.reply_to)
    return _by_thing(
        (one.about_id, _as_said(one, replies.get(one.id, ())))
        for one in comments
        if one.reply_to is None
    )


def _as_said(comment: Any, replies: tuple[Said, ...] = ()) -> Said:
    return Said(
        comment.author,
        comment.text,
        comment.created_utc,
        comment.state,
        comment.outcome,
        comment.region,
        replies,
    )


def _by_thing(pairs: Any) -> dict[str, tuple[Any, ...]]:
    found: dict[str, tuple[Any, ...]] = {}
    for about, one in pairs:
        found[about] = (*found.get(about, ()), one)
    return found


# Pictures. A page addresses them as the owner's pages do; for outsiders each address is put in
# terms of their link, or, in a file, of the picture itself.

_ADDRESS = re.compile(
    r'(?<=")/(?:images/[0-9a-f]{64}/|api/pairings/\w{26}/picture|api/briefs/\w{26}/drawings/)[^"]*'
)


def readdressed(page: str, by: Callable[[str], str]) -> str:
    """The page with the address of each picture put through `by`."""
    return _ADDRESS.sub(lambda found: escape(by(unescape(found[0]))), page)


def outside_picture(
    desk: Desk,
    brief: Brief,
    sheets: Collection[SheetKey],
    address: str,
    *,
    within: int | None = None,
) -> tuple[bytes, str]:
    """The picture that a page shown on these sheets has at `address`, and its media type.

    within : the longest side of a photograph, pixels, where that of the owner's pages is too much.
    Raises NotFound for anything else, above all for a file as it was given.
    """
    address = unquote(address)
    match address.partition("?")[0].split("/"):
        case ["", "images", sha256, size] if size in SIZES:
            region, mean = _may_see(desk, brief, sheets, address)
            return shown_picture(desk, sha256, size, region, mean, within=within), "image/jpeg"
        case ["", "api", "pairings", pairing_id, "picture"] if "pairings" in sheets:
            return _pair(desk, brief, pairing_id, address), "image/jpeg"
        case ["", "api", "briefs", brief.id, "drawings", name] if "drawing" in sheets:
            sheet = next((one for one in drawings.SHEETS if name == f"{one}.svg"), None)
            if sheet is not None:
                drawn = drawings.draw(desk, brief, sheet, "svg")
                return drawn.data, drawn.media_type
    raise NotFound(NO_PICTURE)


def _may_see(
    desk: Desk, brief: Brief, sheets: Collection[SheetKey], address: str
) -> tuple[Region | None, Sequence[float] | None]:
    """How the picture at an address is cut and toned, if a page for outsiders has that address."""
    if "references" in sheets:
        for reference in open_references(desk, brief):
            if reference.image_sha256 is not None:
                picture = picture_view(desk, reference.image_sha256)
                if address in (picture.thumb, picture.page):
                    return None, None
    for piece in _pieces(desk, brief, sheets):
        if address == texture_of(piece):
            return Region.parse(piece.region) if piece.region else None, piece.lab
    raise NotFound(NO_PICTURE)


def _pair(desk: Desk, brief: Brief, pairing_id: str, address: str) -> bytes:
    pairing = nouns.pairings.get(desk, pairing_id)
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    shown = shown_as(PLAIN, viewings)
    for one in pair_pictures(desk, pairing, shown, viewings):
        if unquote(one.address) == address and pairing.brief_id == brief.id:
            return picture_as_asked(desk, pairing, shown, one.distance_m)
    raise NotFound(NO_PICTURE)


def _pieces(desk: Desk, brief: Brief, sheets: Collection[SheetKey]) -> list[Material]:
    """The pieces of the rack whose photographs these sheets show."""
    ids: list[str | None] = []
    if "spec" in sheets:
        ids += [one.material_id for one in nouns.parts.page(desk, brief_id=brief.id)]
    if "pairings" in sheets:
        for pairing in nouns.pairings.page(desk, brief_id=brief.id):
            ids += [pairing.ground_id, pairing.inlay_id]
    return [desk.session.get_one(Material, one) for one in dict.fromkeys(ids) if one is not None]
