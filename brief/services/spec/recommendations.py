"""Asking the rack: what would serve the open parts best, what a piece could serve, what is near."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np
from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.colour.nearest import Nearest
from brief.colour.notation.notation import parse_colour
from brief.colour.notation.wording import percent
from brief.colour.verdicts.proposals import (
    ENOUGH,
    Choice,
    Scheme,
    Touch,
    distances_from_theme,
    propose,
    weigh,
)
from brief.colour.viewing.conditions import State
from brief.colour.viewing.observer import usual_grain
from brief.english import words
from brief.errors import InputError
from brief.instrument import draw_front
from brief.services.common.care import Careful, ListingView, careful, listing_view, made_cautions
from brief.services.common.colour_view import ColourView
from brief.services.common.finding import listed
from brief.services.drawing.instrument_drawing import fills_of
from brief.services.instrument.brief_inlays import inlays_of, shown_inlays
from brief.services.instrument.dimensions import instrument_of
from brief.services.rack.harmonies import measured_labs
from brief.services.rack.piece_colours import material_colour, texture_of
from brief.services.spec.blanks import blanks_of, is_too_small
from brief.services.spec.schemes import SchemeParts, scheme_parts
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part
from brief.wood import is_usual
from brief.wood.papers import listing
from brief.wood.table import table

MORE = 0.05  # of a figure, from which a change in it is worth a word
NEAREST_MOST = 50


@dataclass(frozen=True)
class Limits:
    """What a proposal has to keep to.

    open : ids of the parts to be chosen anew; every other keeps its material. no_papers : neither
    what is on the CITES list nor what is not known to be off it. most_price : of one piece, in
    whatever currency it was bought; pieces without a price are taken. sized : only pieces large
    enough, as far as their sizes are written down.
    """

    open: frozenset[str]
    no_papers: bool = False
    most_price: Decimal | None = None
    sized: bool = True


class SwapView(Careful):
    """One piece of a proposal, and the part that it would go to."""

    part_id: str
    part: str
    part_etag: str
    material_id: str
    material: str
    texture: str | None
    colour: ColourView | None
    size_known: bool = Field(description="Whether all its sizes are written down")
    listing: ListingView

    @property
    def pair(self) -> tuple[str, str]:
        """The ids of its part and its material."""
        return self.part_id, self.material_id


class ProposalView(BaseModel):
    """One choice for the open parts, and what it comes to."""

    swaps: list[SwapView]
    legibility: float | None = Field(
        ge=0, description="Of the worst line: 1 reads, below 1 it may not; 0 where nothing is sure"
    )
    worst_line: str = Field(description="That in words; empty without a line")
    harmony: float | None
    closeness: float = Field(description="Mean CIEDE2000 from the theme, by area")
    sentence: str
    front: str = Field(description="The instrument so made, SVG")


class AskedView(BaseModel):
    """What the rack could do for the open parts."""

    proposals: list[ProposalView]
    pieces: int = Field(description="How many pieces of the rack came into question")
    left_out: list[str] = Field(description="Why others did not")


class UseView(BaseModel):
    """What a piece would do in one part."""

    part_id: str
    part: str
    now: str | None = Field(description="What that part is made of now")
    legibility: float | None = Field(ge=0)
    harmony: float | None
    closeness: float
    sentence: str


class NearView(BaseModel):
    """A piece of the rack near a colour."""

    id: str
    label: str
    colour: ColourView | None
    texture: str | None
    distance: float = Field(description="CIEDE2000")


@dataclass(frozen=True)
class _Asked:
    """A scheme put as a question, with the records behind its numbers."""

    scheme: Scheme
    parts: tuple[Part, ...]
    materials: tuple[Material, ...]
    present: tuple[int | None, ...]
    left_out: list[str] = field(default_factory=list)

    def now(self) -> Choice | None:
        chosen = [place for place in self.present if place is not None]
        return weigh(self.scheme, chosen) if len(chosen) == len(self.parts) else None


def ask_rack(desk: Desk, brief: Brief, limits: Limits, shown: State = "bare") -> AskedView:
    """The best few choices for the open parts, drawn with the timber in the state `shown`.

    Raises InputError if there is nothing to choose.
    """
    asked = _put(desk, brief, limits)
    now = asked.now()
    pieces = {
        place
        for row, part in zip(asked.scheme.allowed, asked.parts, strict=True)
        if part.id in limits.open
        for place in np.flatnonzero(row).tolist()
    }
    proposals = [
        _proposal(desk, brief, asked, limits, choice, now, f"q{number}", shown)
        for number, choice in enumerate(propose(asked.scheme))
    ]
    return AskedView(proposals=proposals, pieces=len(pieces), left_out=asked.left_out)


def uses_for(desk: Desk, brief: Brief, material: Material) -> list[UseView]:
    """What this piece would do in each part it could be made into, the best first."""
    found, _ = scheme_parts(desk, brief)
    if material.lab is None or len(found.parts) < 2:
        return []
    uses = []
    parts = listed(desk, Part, brief_id=brief.id)
    needed = blanks_of(desk, brief, parts)
    for part in parts:
        if not _fits(part, material) or is_too_small(needed[part.id], material):
            continue
        asked = _put(desk, brief, Limits(frozenset({part.id}), sized=False), only=material)
        place = asked.parts.index(part)
        chosen = [0 if one is None else one for one in asked.present]
        chosen[place] = asked.materials.index(material)
        choice = weigh(asked.scheme, chosen)
        before = asked.now()
        held = asked.present[place]
        if held == chosen[place]:
            continue
        uses.append(
            UseView(
                part_id=part.id,
                part=part.name,
                now=None if held is None else asked.materials[held].label,
                legibility=_bounded(choice.legibility),
                harmony=choice.harmony,
                closeness=choice.closeness,
                sentence=_sentence(choice, before),
            )
        )
    return sorted(uses, key=lambda use: use.closeness)


def nearest_pieces(desk: Desk, colour: str, count: int) -> list[NearView]:
    """The pieces of the rack nearest to a colour, whatever they are.

    Raises InputError for a colour that cannot be read.
    """
    return nearest_to_each(desk, [parse_colour(colour)], count)[0]


def nearest_to_each(
    desk: Desk, labs: Iterable[Sequence[float]], count: int
) -> list[list[NearView]]:
    """The nearest pieces of the rack to each of several colours."""
    measured = measured_labs(desk)
    ids = list(measured)
    rack = Nearest(np.array([*measured.values()], dtype=float).reshape(-1, 3))
    found = [rack.to(lab, count) for lab in labs] if ids else [((), ()) for _ in labs]
    near = {ids[place] for places, _ in found for place in places}
    asked = select(Material).where(Material.id.in_(near))
    pieces = {one.id: one for one in desk.session.scalars(asked)}
    return [
        [
            _near(pieces[ids[place]], float(distance))
            for place, distance in zip(places, distances, strict=True)
        ]
        for places, distances in found
    ]


def _near(piece: Material, distance: float) -> NearView:
    return NearView(
        id=piece.id,
        label=piece.label,
        colour=material_colour(piece),
        texture=texture_of(piece),
        distance=distance,
    )


def _measured(desk: Desk) -> list[Material]:
    """The pieces of the rack that have a colour."""
    return [one for one in listed(desk, Material) if one.lab is not None]


def _put(desk: Desk, brief: Brief, limits: Limits, only: Material | None = None) -> _Asked:
    """The parts that have a colour or are open, and what each may be made of."""
    found, _ = scheme_parts(desk, brief)
    held = {
        part.id: surface.material for part, surface in zip(found.parts, found.surfaces, strict=True)
    }
    parts = tuple(
        part
        for part in listed(desk, Part, brief_id=brief.id)
        if part.id in held or part.id in limits.open
    )
    unknown = limits.open - {part.id for part in parts}
    if unknown:
        raise InputError.at("open", "One of the parts to choose anew is not of this brief.")
    if not limits.open:
        raise InputError.at("open", "Say which parts may be chosen anew; tick at least one.")
    rack = [only] if only else _measured(desk)
    pool, left_out = (rack, []) if only else _within(rack, limits)
    materials = tuple({one.id: one for one in [*held.values(), *pool]}.values())
    places = {one.id: place for place, one in enumerate(materials)}
    needed = blanks_of(desk, brief, parts)
    allowed = np.zeros((len(parts), len(materials)), dtype=bool)
    for row, part in zip(allowed, parts, strict=True):
        if part.id in limits.open:
            for one in pool:
                if _fits(part, one) and not (limits.sized and is_too_small(needed[part.id], one)):
                    row[places[one.id]] = True
        # What an open part is made of now, however small, may stay if it keeps to the limits, too.
        if part.id in held and (part.id not in limits.open or held[part.id] in pool):
            row[places[held[part.id].id]] = True
        if not row.any():
            barred = [one.label for one in rack if one not in pool and _fits(part, one)]
            raise InputError.at(
                "open",
                f"No piece within these limits suits the {part.name.lower()}."
                + (f" Outside the limits: {words(barred)}." if barred else ""),
            )
    scheme = SchemeParts(brief, parts, (), found.swatches, found.shares, found.let_in)
    targets = {swatch.id: np.array(swatch.lab) for swatch in found.swatches}
    labs = np.array([one.lab for one in materials], dtype=float)
    return _Asked(
        Scheme(
            labs=labs,
            doubts=np.array([one.uncertainty or 0.0 for one in materials]),
            grains=usual_grain(
                [math.nan if one.spread is None else one.spread for one in materials]
            ),
            allowed=allowed,
            areas=np.array(scheme.areas),
            touches=tuple(
                Touch(one, other, contact.length_mm, contact.line_mm is not None)
                for one, other, contact in scheme.touching
            ),
            wanted=distances_from_theme(
                labs, [targets.get(part.swatch_id or "") for part in parts], scheme.theme
            ),
        ),
        parts,
        materials,
        tuple(places[held[part.id].id] if part.id in held else None for part in parts),
        left_out,
    )


def _within(rack: Sequence[Material], limits: Limits) -> tuple[list[Material], list[str]]:
    """The pieces within limits that depend on the piece alone, and why others are not."""
    listed, untold, dear = [], [], []
    for one in rack:
        standing = listing(one.stuff, one.species, one.label).standing
        if limits.no_papers and standing in ("listed", "some listed"):
            listed.append(one)
        if limits.no_papers and standing == "not known":
            untold.append(one)
        if limits.most_price is not None and (one.price or 0) > limits.most_price:
            dear.append(one)
    left_out = [
        f"{why}: {words([one.label for one in those])}."
        for why, those in (
            ("May need papers", listed),
            ("Papers not known", untold),
            ("Over the highest price", dear),
        )
        if those
    ]
    if limits.no_papers:
        left_out.append(f"By the CITES list as of {table().as_of}. {table().later}")
    out = {one.id for one in [*listed, *untold, *dear]}
    return [one for one in rack if one.id not in out], left_out


def _fits(part: Part, material: Material) -> bool:
    return is_usual(part.role, material.stuff, material.species, material.label)


def _proposal(
    desk: Desk,
    brief: Brief,
    asked: _Asked,
    limits: Limits,
    choice: Choice,
    now: Choice | None,
    prefix: str,
    shown: State,
) -> ProposalView:
    chosen = [asked.materials[place] for place in choice.materials]
    fills = fills_of(desk, list(zip(asked.parts, chosen, strict=True)), shown)
    swaps = [
        SwapView(
            part_id=part.id,
            part=part.name,
            part_etag=f'"{part.version}"',
            material_id=one.id,
            material=one.label,
            texture=texture_of(one),
            colour=material_colour(one),
            size_known=None not in (one.length_mm, one.width_mm, one.thickness_mm),
            listing=listing_view(one),
            **careful(made_cautions(part.role, part.finish, one)),
        )
        for part, one, held in zip(asked.parts, chosen, asked.present, strict=True)
        if part.id in limits.open and (held is None or asked.materials[held] is not one)
    ]
    made = instrument_of(brief)
    return ProposalView(
        swaps=swaps,
        legibility=_bounded(choice.legibility),
        worst_line=_worst_line(choice.legibility),
        harmony=choice.harmony,
        closeness=choice.closeness,
        sentence=_sentence(choice, now) if swaps else "Nothing beats what you have.",
        front=draw_front(
            made,
            fills,
            title="The instrument as proposed",
            prefix=prefix,
            inlays=shown_inlays(made, inlays_of(desk, brief)),
        ),
    )


def _bounded(legibility: float | None) -> float | None:
    """Never below nought: a doubt that is larger than the difference is no line turned round."""
    return None if legibility is None else max(0.0, legibility)


def _worst_line(legibility: float | None) -> str:
    """How the worst line of a choice reads, as the figure would be told to a maker."""
    if legibility is None:
        return ""
    if legibility >= ENOUGH:
        return "weakest line: reads with room to spare"
    if legibility >= 1:
        return "weakest line: reads"
    if legibility <= 0:
        return "weakest line may not read: the doubt is larger than the contrast"
    return f"weakest line may not read: {percent(min(legibility, 0.99))} of the contrast it needs"


def _sentence(choice: Choice, now: Choice | None) -> str:
    """What a choice gains and gives up against the present one."""
    if now is None:
        if choice.legibility is None:
            return "None of these parts is a thin line in another."
        return f"Its weakest line {'reads' if choice.legibility >= 1 else 'may not read'}."
    gains, losses = [], []
    if choice.legibility is not None and now.legibility is not None:
        then, before = min(choice.legibility, ENOUGH), min(now.legibility, ENOUGH)
        if then >= 1 > before:
            gains.append("fixes a weak line")
        elif then < 1 <= before:
            losses.append("weakens a line that reads now")
        elif abs(then - before) >= MORE:
            (gains if then > before else losses).append(
                f"the weakest line reads {'better' if then > before else 'less well'}"
            )
    if None not in (choice.harmony, now.harmony):
        more = (choice.harmony or 0.0) - (now.harmony or 0.0)
        if abs(more) >= MORE:
            (gains if more > 0 else losses).append(
                f"{'more' if more > 0 else 'less'} harmony between adjoining parts"
            )
    nearer = now.closeness - choice.closeness
    if abs(nearer) >= max(MORE * now.closeness, MORE):  # less would be told as 0.0
        (gains if nearer > 0 else losses).append(
            f"{'nearer to' if nearer > 0 else 'further from'} the theme by {abs(nearer):.1f}"
        )
    if not gains and not losses:
        return "Much the same as now."
    said = [
        f"Better: {words(gains)}." if gains else "",
        f"Worse: {words(losses)}." if losses else "",
    ]
    return " ".join(part for part in said if part)
