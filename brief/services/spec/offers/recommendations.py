"""What would serve the open parts best, and what a piece could serve."""

from __future__ import annotations

import numpy as np
from pydantic import BaseModel, Field

from brief.colour.verdicts.proposals import Choice, propose, weigh
from brief.colour.viewing.conditions import State
from brief.instrument import draw_front
from brief.services.common.care import Careful, ListingView, careful, listing_view, made_cautions
from brief.services.common.colour_view import ColourView
from brief.services.common.finding import listed
from brief.services.drawing.instrument_drawing import fills_of
from brief.services.instrument.brief_inlays import inlays_of, shown_inlays
from brief.services.instrument.dimensions import instrument_of
from brief.services.rack.piece_colours import material_colour, texture_of
from brief.services.spec.blanks import blanks_of, is_too_small
from brief.services.spec.offers.asking import Limits, RackQuestion, fits, question_to_rack
from brief.services.spec.offers.wording import bounded, gain_words, worst_line_words
from brief.services.spec.schemes import scheme_parts
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part


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


def ask_rack(desk: Desk, brief: Brief, limits: Limits, shown: State = "bare") -> AskedView:
    """The best few choices for the open parts, drawn with the timber in the state `shown`.

    Raises InputError if there is nothing to choose.
    """
    asked = question_to_rack(desk, brief, limits)
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
        if not fits(part, material) or is_too_small(needed[part.id], material):
            continue
        asked = question_to_rack(
            desk, brief, Limits(frozenset({part.id}), sized=False), only=material
        )
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
                legibility=bounded(choice.legibility),
                harmony=choice.harmony,
                closeness=choice.closeness,
                sentence=gain_words(choice, before),
            )
        )
    return sorted(uses, key=lambda use: use.closeness)


def _proposal(
    desk: Desk,
    brief: Brief,
    asked: RackQuestion,
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
        legibility=bounded(choice.legibility),
        worst_line=worst_line_words(choice.legibility),
        harmony=choice.harmony,
        closeness=choice.closeness,
        sentence=gain_words(choice, now) if swaps else "Nothing beats what you have.",
        front=draw_front(
            made,
            fills,
            title="The instrument as proposed",
            prefix=prefix,
            inlays=shown_inlays(made, inlays_of(desk, brief)),
        ),
    )
