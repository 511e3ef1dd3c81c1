"""The first verdict: what is made of two pieces before there is a brief."""

from __future__ import annotations

from brief.colour.notation.notation import parse_colour
from brief.colour.notation.wording import colour_words
from brief.services.common.field_types import in_field
from brief.services.pairing.pairings import PairingDraft, pairings
from brief.services.rack.materials import free_label, materials
from brief.services.rack.piece_views import MaterialDraft
from brief.services.theme.briefs import BriefDraft, briefs
from brief.store.desk import Desk
from brief.store.records import Material, Pairing

LONGEST_TITLE = 200
NOT_SAID = "other"  # of what an inlay is, which nobody was asked: no wood, as far as is known


def of_a_colour(desk: Desk, colour: str) -> Material:
    """A piece on the rack that is only a colour yet, as it was typed, and called by it.

    Raises InputError if it is none.
    """
    with in_field("inlay_colour"):
        words = colour_words(parse_colour(colour))
        label = free_label(desk, words[:1].upper() + words[1:])
        return materials.add(desk, MaterialDraft(label=label, stuff=NOT_SAID, reading=colour))


def first_verdict(desk: Desk, ground: Material, inlay: Material, line_mm: float | None) -> Pairing:
    """A pairing of the two in a brief of its own, which is called after them."""
    brief = briefs.add(desk, BriefDraft(title=f"{inlay.label} on {ground.label}"[:LONGEST_TITLE]))
    return pairings.add(
        desk,
        PairingDraft(brief_id=brief.id, ground_id=ground.id, inlay_id=inlay.id, line_mm=line_mm),
    )
