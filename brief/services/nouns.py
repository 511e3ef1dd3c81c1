"""All the nouns, for whoever needs many; each is made once, at the end of its own module."""

from __future__ import annotations

from typing import Any

from brief.services.common.naming import BY_KIND
from brief.services.common.noun import Noun
from brief.services.cost.bought_parts import bought_parts as bought_parts
from brief.services.cost.pieces_used import pieces_used as pieces_used
from brief.services.feedback.comments import comments as comments
from brief.services.feedback.questions import answers as answers
from brief.services.feedback.questions import questions as questions
from brief.services.history.revisions import revisions as revisions
from brief.services.instrument.inlays.noun import inlays as inlays
from brief.services.instrument.kinds import kinds as kinds
from brief.services.instrument.tracings import tracings as tracings
from brief.services.pairing.pairings import pairings as pairings
from brief.services.pairing.viewings import viewings as viewings
from brief.services.rack.finish_tests import finish_tests as finish_tests
from brief.services.rack.materials import materials as materials
from brief.services.rack.photographs import photographs as photographs
from brief.services.run_up.absences import absences as absences
from brief.services.run_up.stages import stages as stages
from brief.services.sharing.calendar_links import calendar_links as calendar_links
from brief.services.sharing.shares import shares as shares
from brief.services.spec.movement.climates import climates as climates
from brief.services.spec.parts import parts as parts
from brief.services.stock.stocks import stocks as stocks
from brief.services.studio.studio_pictures import studio_pictures as studio_pictures
from brief.services.theme.briefs import briefs as briefs
from brief.services.theme.motifs import motifs as motifs
from brief.services.theme.notes import notes as notes
from brief.services.theme.palettes import palettes as palettes
from brief.services.theme.palettes import swatches as swatches
from brief.services.theme.references import references as references
from brief.services.trip.attachments import attachments as attachments
from brief.services.trip.contacts import contacts as contacts
from brief.services.trip.itinerary.legs import legs as legs
from brief.services.trip.itinerary.stays import stays as stays
from brief.services.trip.itinerary.stops import stops as stops
from brief.services.trip.packing_list import things_to_pack as things_to_pack
from brief.store.records import Record

NOUNS: tuple[Noun[Any, Any], ...] = (
    briefs,
    kinds,
    tracings,
    motifs,
    notes,
    references,
    palettes,
    swatches,
    materials,
    photographs,
    finish_tests,
    stocks,
    viewings,
    climates,
    pairings,
    parts,
    inlays,
    stages,
    absences,
    stops,
    legs,
    stays,
    contacts,
    things_to_pack,
    attachments,
    bought_parts,
    pieces_used,
    studio_pictures,
    comments,
    questions,
    answers,
    shares,
    calendar_links,
    revisions,
)
_BY_RECORD = {noun.record: noun for noun in NOUNS}


def noun_of(record: Record) -> Noun[Any, Any]:
    """The noun that a record belongs to."""
    return _BY_RECORD[type(record)]


def noun_named(kind: str) -> Noun[Any, Any]:
    """The noun of what data names by this kind."""
    return _BY_RECORD[BY_KIND[kind]]
