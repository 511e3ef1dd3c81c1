"""The References sheet."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from brief.english import number_of, words
from brief.errors import NotFound, quoted
from brief.photo import CARDS, LIGHTS, MAX_BYTES
from brief.photo.palettes.palette import FEWEST, MOST
from brief.services import nouns
from brief.services.common.colour_view import hue_order
from brief.services.common.paging import FIRST, Leaf, Pager, paged
from brief.services.pages.shared import (
    AGES,
    Along,
    Choices,
    NotesAndComments,
    along,
    grouped,
    said,
    same,
    views,
)
from brief.services.pairing.view_settings import Shown
from brief.services.spec.offers.nearest import NearView, nearest_to_each
from brief.services.theme.motifs import MotifView
from brief.services.theme.palettes import PaletteView, SwatchView
from brief.services.theme.references import MINE, OWN, ReferenceView, own_order, rights_choices
from brief.store.desk import Desk
from brief.store.records import Brief, Palette, Reference

NEAREST_SHOWN = 3  # pieces of the rack beside each named colour
ORDERS: Choices = (("motif", "By motif"), ("own", "My order"), ("colour", "By colour"))
NO_STRAND = "Of no motif yet"
A_PAGE = 120  # pictures and passages
LARGE, MIDDLE = 12, 36  # up to how many references are shown in rows so high


@dataclass(frozen=True)
class ReferenceStrip:
    """Those references of a contact sheet that stand under one name; "" where all are one.
    counted : how many pictures and passages are of that name, on all pages, in words.
    """

    name: str
    references: Sequence[ReferenceView]
    counted: str


@dataclass(frozen=True)
class ReferencesSheet:
    """A page of all references as a contact sheet: strips in the order of one of `orders`, each
    picture with its newest palette by its id. size : how high the rows are, for so many.

    swatches : by id, with nearest : pieces of the rack, nearest first. rights : by the kind of
    reference; mine : how the maker's own are sent.
    """

    strips: Sequence[ReferenceStrip]
    pager: Pager
    order: str
    size: str
    palettes: Mapping[str, PaletteView]
    motifs: Sequence[MotifView]
    swatches: Mapping[str, SwatchView]
    nearest: Mapping[str, Sequence[NearView]]
    rights: Mapping[str, Choices]
    mine: str
    max_bytes: int
    has_stock: bool
    orders: Choices = ORDERS


@dataclass(frozen=True)
class ReferencePage:
    """One reference, large, and what is before and after it in the order of the sheet. asked : that
    order as a query, "" for the usual one.

    palettes : by the id of their reference. rights : by the kind of reference; mine and own : how
    the maker's own are sent and said. ages, cards, lights : of what colours are corrected by.
    counts : of colours in a palette.
    """

    reference: ReferenceView
    before: ReferenceView | None
    after: ReferenceView | None
    place: int
    count: int
    order: str
    asked: str
    motifs: Sequence[MotifView]
    palettes: Mapping[str, Sequence[PaletteView]]
    swatches: Mapping[str, SwatchView]
    along: Along
    rights: Mapping[str, Choices]
    mine: str
    own: Mapping[str, str]
    ages: Choices
    cards: Choices
    lights: Choices
    counts: Choices


@dataclass(frozen=True)
class CreditsPage:
    """Whose each reference is; `own` says the maker's own by kind."""

    references: Sequence[ReferenceView]
    rights: Mapping[str, Choices]
    own: Mapping[str, str]


def references_sheet(
    desk: Desk, brief: Brief, shown: Shown, order: str = "motif", leaf: Leaf = FIRST
) -> tuple[ReferencesSheet, NotesAndComments]:
    """What the References sheet shows, in one of `ORDERS`; any other counts as the first."""
    order = order if order in dict(ORDERS) else "motif"
    motifs = views(desk, nouns.motifs, brief)
    swatches = views(desk, nouns.swatches, brief)
    nearest = nearest_to_each(desk, [one.colour.lab for one in swatches], NEAREST_SHOWN)
    newest = _newest(nouns.palettes.page(desk, brief_id=brief.id))
    named = _in_order(nouns.references.page(desk, brief_id=brief.id), motifs, newest, order)
    ordered = [one for _, those in named for one in those]
    here, pager = paged(ordered, A_PAGE, leaf, {"order": order if order != "motif" else ""})
    shown_ones = {one.id: one for one in nouns.references.show_all(desk, here)}
    of_these = [newest[one.id] for one in here if one.id in newest]
    sheet = ReferencesSheet(
        strips=_strips(named, shown_ones),
        pager=pager,
        order=order,
        size=_size(len(ordered)),
        palettes={one.reference_id: one for one in nouns.palettes.show_all(desk, of_these)},
        motifs=motifs,
        swatches={swatch.id: swatch for swatch in swatches},
        nearest=dict(zip([swatch.id for swatch in swatches], nearest, strict=True)),
        rights=_rights(),
        mine=MINE,
        max_bytes=MAX_BYTES,
        has_stock=nouns.stocks.are_there(desk),
    )
    return sheet, said(desk, brief, sheet.swatches.keys())


def reference_page(
    desk: Desk, brief: Brief, reference_id: str, order: str
) -> tuple[ReferencePage, NotesAndComments]:
    """One reference of a brief, large. Raises NotFound if the brief has none of that id."""
    motifs = views(desk, nouns.motifs, brief)
    palettes = nouns.palettes.page(desk, brief_id=brief.id)
    every = nouns.references.page(desk, brief_id=brief.id)
    named = _in_order(every, motifs, _newest(palettes), order)
    ordered = [one for _, those in named for one in those]
    at = next((i for i, one in enumerate(ordered) if one.id == reference_id), None)
    if at is None:
        raise NotFound(f"This brief has no reference {quoted(reference_id[:40])}.")
    reference = nouns.references.show(desk, ordered[at])
    its_palettes = nouns.palettes.show_all(
        desk, [one for one in palettes if one.reference_id == reference_id]
    )
    pulled = {one.id for one in its_palettes}
    swatches = [one for one in views(desk, nouns.swatches, brief) if one.palette_id in pulled]
    page = ReferencePage(
        reference=reference,
        before=nouns.references.show(desk, ordered[at - 1]) if at else None,
        after=nouns.references.show(desk, ordered[at + 1]) if at + 1 < len(ordered) else None,
        place=at + 1,
        count=len(ordered),
        order=order,
        asked=f"?order={order}" if order in dict(ORDERS) and order != "motif" else "",
        motifs=motifs,
        palettes={reference_id: its_palettes} if its_palettes else {},
        swatches={swatch.id: swatch for swatch in swatches},
        along={
            **along(desk, nouns.references, [reference]),
            **along(desk, nouns.palettes, its_palettes),
            **along(desk, nouns.swatches, swatches),
        },
        rights=_rights(),
        mine=MINE,
        own=OWN,
        ages=AGES,
        cards=same(CARDS),
        lights=same(LIGHTS),
        counts=same(str(count) for count in range(FEWEST, MOST + 1)),
    )
    about = {reference_id, *pulled}
    return page, said(desk, brief, about, [reference])


def credits_page(desk: Desk, brief: Brief) -> CreditsPage:
    """Whose each reference of a brief is."""
    return CreditsPage(views(desk, nouns.references, brief), _rights(), OWN)


def _in_order(
    references: Sequence[Reference],
    motifs: Sequence[MotifView],
    newest: Mapping[str, Palette],
    order: str,
) -> list[tuple[str, Sequence[Reference]]]:
    """All of them under the names of strips, "" where all are one. By motif each stands once: with
    the first motif of the brief that it is for. newest : palettes by the id of their reference.
    """
    if order == "colour":
        return [("", sorted(references, key=lambda one: _hue(newest.get(one.id))))]
    first = {}
    for one in references:
        its = {motif.id for motif in one.motifs}
        first[one.id] = next((motif.id for motif in motifs if motif.id in its), "")
    if order == "own" or not any(first.values()):
        return [("", sorted(references, key=own_order))]
    groups = grouped(references, lambda one: first[one.id])
    named = [(motif.name, groups.get(motif.id, [])) for motif in motifs]
    rest = (NO_STRAND, groups.get("", []))
    return [(name, those) for name, those in (*named, rest) if those]


def _strips(
    named: Sequence[tuple[str, Sequence[Reference]]], shown: Mapping[str, ReferenceView]
) -> list[ReferenceStrip]:
    """Those of them that are shown on this page, each strip with what it has on all pages."""
    strips = []
    for name, those in named:
        here = [shown[one.id] for one in those if one.id in shown]
        pictures = sum(one.image_sha256 is not None for one in those)
        counts = ((pictures, "picture"), (len(those) - pictures, "passage"))
        counted = words([number_of(count, what) for count, what in counts if count])
        if here:
            strips.append(ReferenceStrip(name, here, counted))
    return strips


def _hue(palette: Palette | None) -> tuple[bool, float, float]:
    """As `hue_order`, then dark to light; without a palette last.

    Of a palette the colour counts that is most of it by share and chroma.
    """
    if palette is None:
        return True, 0.0, 0.0
    chosen = max(palette.colours, key=lambda one: one["share"] * math.hypot(*one["lab"][1:]))
    return False, hue_order(chosen["lab"]), chosen["lab"][0]


def _size(count: int) -> str:
    return "large" if count <= LARGE else "middle" if count <= MIDDLE else "small"


def _newest(palettes: Iterable[Palette]) -> dict[str, Palette]:
    return {one.reference_id: one for one in palettes}  # the last of each is the newest


def _rights() -> dict[str, Choices]:
    return {kind: rights_choices(kind) for kind in OWN}
