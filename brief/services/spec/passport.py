"""The instrument's passport: every material by its names, parts, weight and source, how it stands
on the trade list, and the papers to ask about.

It is the maker's own; nothing of it goes out by a link or a mailed file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from pydantic import BaseModel, Field

from brief.english import agree, capital, words
from brief.instrument.model.cut_list import cut_list
from brief.services.common.care import ListingView, listing_view
from brief.services.common.field_types import Id
from brief.services.common.finding import listed
from brief.services.common.naming import public_label
from brief.services.common.noun import etag_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.rack.density import density_of
from brief.services.rack.piece_colours import texture_of
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part
from brief.wood import finish_cautions
from brief.wood.border import DECIDES, border, documents_for, exemption
from brief.wood.names import nearest_latin
from brief.wood.papers import Listing, listing
from brief.wood.table import Standing

WEIGHT_DOUBT = 0.15
"""Of a weight from the drawing and the density of a blank, before finish and shaping: common
practice, no source."""
NOT_KNOWN = "not known"
FIRST: tuple[Standing, ...] = ("listed", "some listed", "not known", "not on the list")


class PassportEntry(BaseModel):
    """One material of the instrument."""

    material_id: Id
    etag: str = Field(description="Of the piece of the rack")
    name: str = Field(description="As others read it")
    botanical: str = Field(description="Its species as written; “not known” where nothing is")
    offered: str = Field(description="A Latin name of the table that the species is nearly, or “”")
    stuff: str
    parts: list[str]
    weight_g: float | None = Field(description="Finished, all its parts; None where not known")
    weight: str = Field(examples=["about 160 g (140 to 180)", "not known"])
    source: str = Field(description="Its origin as written; “not known” where nothing is")
    texture: str | None = Field(description="Where the measured part of its photograph is")
    listing: ListingView
    exemption: str
    keep: str = Field(description="What is still to be found or written down; empty if nothing")


class FinishEntry(BaseModel):
    """One finish of the instrument."""

    name: str
    parts: list[str]
    listing: str
    care: list[str]


class DocumentView(BaseModel):
    """A paper to ask about."""

    name: str
    says: str
    days: int | None = Field(description="To allow for it; None where not known")
    time: str = Field(examples=["allow 21 days", "time not known"])
    source: str


class PassportView(BaseModel):
    """All of it."""

    lead: str
    decides: str
    entries: list[PassportEntry]
    finishes: list[FinishEntry]
    documents: list[DocumentView]
    days: int = Field(description="The longest known time of a paper to ask about")
    ask_by: date | None = Field(description="So many days before it leaves, where that is known")
    listed_g: float | None = Field(
        description="Weight of what is listed or not known; None where that is not known"
    )
    listed_weight: str
    undecided: list[str] = Field(description="Parts without a piece")


def passport_of(desk: Desk, brief: Brief) -> PassportView:
    """The passport of a brief's instrument as the spec has it now."""
    parts = listed(desk, Part, brief_id=brief.id)
    by_piece: dict[str, list[Part]] = {}
    for part in parts:
        if part.material_id:
            by_piece.setdefault(part.material_id, []).append(part)
    pieces = {one: desk.session.get_one(Material, one) for one in by_piece}
    weights = _weights(brief, parts, pieces)
    entries = [_entry(piece, by_piece[key], weights) for key, piece in pieces.items()]
    entries.sort(key=lambda one: FIRST.index(one.listing.standing))
    found = [(piece.stuff, _listing(piece)) for piece in pieces.values()]
    asked = documents_for(found) if found else ()
    documents = [
        DocumentView(
            name=one.name,
            says=one.says,
            days=one.days,
            time=_time(one.days),
            source=border().told(one.source),
        )
        for one in asked
    ]
    open_listed = [one for one in entries if one.listing.standing != "not on the list"]
    known = [one.weight_g for one in open_listed if one.weight_g is not None]
    listed_g = round(sum(known), 1) if len(known) == len(open_listed) else None
    days = max((one.days or 0 for one in asked), default=0)
    return PassportView(
        lead=_lead(entries),
        decides=DECIDES,
        entries=entries,
        finishes=_finishes(parts),
        documents=documents,
        days=days,
        ask_by=_ask_by(brief, days),
        listed_g=listed_g,
        listed_weight=_listed_weight(open_listed),
        undecided=[part.name for part in parts if not part.material_id],
    )


def _ask_by(brief: Brief, days: int) -> date | None:
    """So many days before it leaves; it is ready to ship before that, if papers are waited for."""
    leaves = brief.wanted_by
    if brief.opens_on is not None:
        leaves = brief.opens_on - timedelta(days=brief.travel_days or 0)
    return leaves - timedelta(days=days) if leaves is not None and days else None


def _listing(piece: Material) -> Listing:
    return listing(piece.stuff, piece.species, piece.label)


def _weights(
    brief: Brief, parts: Sequence[Part], pieces: Mapping[str, Material]
) -> dict[str, float]:
    """Grams of finished parts by the part's id, of those that the cut list has and whose piece has
    a density. Of several parts of a role the first is the one that is drawn."""
    first = {part.role: part for part in reversed(parts) if part.material_id}
    densities = {
        role: density
        for role, part in first.items()
        if (density := density_of(pieces[str(part.material_id)])) is not None
    }
    found: dict[str, float] = {}
    for cut in cut_list(instrument_of(brief), densities=densities):
        if cut.weight_g is not None:
            part_id = first[cut.role].id
            found[part_id] = found.get(part_id, 0.0) + cut.weight_g
    return found


def _entry(piece: Material, parts: Sequence[Part], weights: Mapping[str, float]) -> PassportEntry:
    known = [weights[part.id] for part in parts if part.id in weights]
    grams = round(sum(known), 1) if len(known) == len(parts) else None
    found = _listing(piece)
    return PassportEntry(
        material_id=piece.id,
        etag=etag_of(piece),
        name=public_label(piece),
        botanical=piece.species or NOT_KNOWN,
        offered=nearest_latin(piece.species),
        stuff=piece.stuff,
        parts=[part.name for part in parts],
        weight_g=grams,
        weight=_weight(grams),
        source=piece.provenance or NOT_KNOWN,
        texture=texture_of(piece),
        listing=listing_view(piece),
        exemption=exemption(found),
        keep=_keep(piece, grams, found),
    )


def _weight(grams: float | None) -> str:
    if grams is None:
        return NOT_KNOWN
    least, most = grams * (1 - WEIGHT_DOUBT), grams * (1 + WEIGHT_DOUBT)
    return f"about {_figures(grams)} g ({_figures(least)} to {_figures(most)})"


def _figures(grams: float) -> str:
    """Two figures, which is all that a doubt of 15 % leaves."""
    return f"{float(f'{grams:.2g}'):g}"


def _keep(piece: Material, grams: float | None, found: Listing) -> str:
    lacks = [
        what
        for what, there in (("species", piece.species), ("origin", piece.provenance))
        if not there
    ]
    if grams is None and found.standing != "not on the list":
        lacks.append("weight")
    return f"Write down its {words(lacks)}." if lacks else ""


def _finishes(parts: Sequence[Part]) -> list[FinishEntry]:
    """Finishes by their text. The trade list of our table has woods, shells and animals alone."""
    found: dict[str, list[str]] = {}
    for part in parts:
        if part.finish:
            found.setdefault(part.finish, []).append(part.name)
    return [
        FinishEntry(
            name=name,
            parts=those,
            listing=NOT_KNOWN,
            care=[one.short for one in finish_cautions(name)],
        )
        for name, those in found.items()
    ]


def _time(days: int | None) -> str:
    if days is None:
        return "time not known; ask"
    return f"allow {days} days" if days else "no wait"


def _lead(entries: Sequence[PassportEntry]) -> str:
    if not entries:
        return "Choose pieces on Spec; each material then shows here with its papers."
    standings = {
        told: [one.name for one in entries if one.listing.standing in those]
        for told, those in (
            ("listed", ("listed", "some listed")),
            ("not known", ("not known",)),
        )
    }
    said = []
    if standings["listed"]:
        names = standings["listed"]
        said.append(f"{capital(words(names))} {agree(names, 'is', 'are')} or may be listed.")
    if standings["not known"]:
        said.append(f"Not known for {words(standings['not known'])}.")
    if not said:
        said.append("Nothing here is on the list that our table goes by; it may have changed.")
    return f"{' '.join(said)} Ask before you ship."


def _listed_weight(entries: Sequence[PassportEntry]) -> str:
    if not entries:
        return "none that our table knows to be listed"
    known = [one.weight_g for one in entries if one.weight_g is not None]
    unknown = [one.name for one in entries if one.weight_g is None]
    said = [_weight(round(sum(known), 1))] if known else []
    return " and ".join([*said, *([f"{words(unknown)}, not known"] if unknown else [])])
