"""Nouns know each other by import and type; what a noun is given to settle, it leaves as it was."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import brief
from brief.services import nouns
from brief.services.common.naming import BY_ADDRESS, BY_KIND, label, public_label
from brief.services.common.noun import Noun
from brief.services.cost.bought_parts import BoughtPartDraft
from brief.services.cost.pieces_used import PieceUsedDraft
from brief.services.feedback.comments import CommentDraft
from brief.services.feedback.questions import AnswerDraft, QuestionDraft
from brief.services.history.revisions import RevisionDraft
from brief.services.instrument.inlays.draft import InlayDraft
from brief.services.instrument.kinds import KindDraft
from brief.services.pairing.pairings import PairingDraft
from brief.services.pairing.viewings import ViewingDraft
from brief.services.rack.finish_tests import FinishTestDraft
from brief.services.run_up.absences import AbsenceDraft
from brief.services.run_up.stages import StageDraft
from brief.services.sharing.calendar_links import CalendarLinkDraft
from brief.services.sharing.shares import ShareDraft
from brief.services.spec.movement.climates import ClimateDraft
from brief.services.stock.stocks import StockDraft
from brief.services.studio.shots import StudioAsked, planned
from brief.services.theme.notes import NoteDraft
from brief.services.trip.contacts import ContactDraft
from brief.services.trip.itinerary.legs import LegDraft
from brief.services.trip.itinerary.stays import StayDraft
from brief.services.trip.itinerary.stops import StopDraft
from brief.services.trip.packing_list import ThingToPackDraft
from brief.store.records import Base, Record

# What has a record or a noun by the name of its kind: for data that says the kind, not for code.
TABLES = {"BY_KIND", "BY_ADDRESS"}
LOOK_UPS = {"noun_named", "named", "label_of", "public_label_of"}
DRAWING = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H10V4H0Z"/></svg>'


def _by_literal(tree: ast.AST) -> Iterator[int]:
    """The lines in which a kind of record is looked up by a text that stands in the code."""
    for node in ast.walk(tree):
        match node:
            case ast.Subscript(value=ast.Name(id=name), slice=ast.Constant()) if name in TABLES:
                yield node.lineno
            case ast.Call(func=ast.Attribute(value=ast.Name(id=name), attr="get")) if (
                name in TABLES and isinstance(node.args[0], ast.Constant)
            ):
                yield node.lineno
            case ast.Call(func=ast.Name(id=name), args=args) if name in LOOK_UPS and any(
                isinstance(one, ast.Constant) for one in args
            ):
                yield node.lineno


def test_no_code_looks_a_noun_up_by_a_text() -> None:
    assert [*_by_literal(ast.parse('BY_KIND["part"]; named(desk, "part", one)'))] == [1, 1]
    package = Path(brief.__file__).parent
    files = sorted(package.rglob("*.py"))
    assert files
    found = [f"{one}:{at}" for one in files for at in _by_literal(ast.parse(one.read_text()))]
    assert found == []
    assert not hasattr(Noun, "registry")


def test_every_record_has_a_noun_and_a_name_for_its_kind() -> None:
    records = {one.class_ for one in Base.registry.mappers if issubclass(one.class_, Record)}
    assert {noun.record for noun in nouns.NOUNS} == records == {*BY_KIND.values()}
    assert [nouns.noun_named(one) for one in BY_KIND] == list(nouns.NOUNS)
    assert [*BY_KIND] == [noun.one for noun in nouns.NOUNS]
    assert [*BY_ADDRESS] == [noun.many for noun in nouns.NOUNS]


def _all_made(shop) -> None:
    """One of every noun."""
    desk, of = shop.desk, {"brief_id": shop.brief.id}
    palette = shop.palette()
    swatch = shop.swatch(palette, name="")
    piece = shop.piece((120, 80, 50))
    first = nouns.photographs.page(desk)[0]
    second = shop.photograph(piece, (90, 60, 40))
    other = shop.material()
    pairing = nouns.pairings.add(desk, PairingDraft(**of, ground_id=piece.id, inlay_id=other.id))
    shop.part(material_id=piece.id, swatch_id=swatch.id, motif_id=shop.motif().id)
    nouns.finish_tests.add(
        desk,
        FinishTestDraft(material_id=piece.id, name="oil", before_id=first.id, after_id=second.id),
    )
    nouns.stocks.add(desk, StockDraft(name="Guild store"))
    nouns.tracings.add_file(desk, shop.brief.id, "mould.svg", DRAWING.encode())
    nouns.kinds.add(desk, KindDraft(**of, name="Marsh parlour"))
    nouns.notes.add(
        desk, NoteDraft(about_kind="part", about_id=nouns.parts.page(desk)[0].id, text="thin")
    )
    nouns.viewings.add(desk, ViewingDraft(**of, name="hall", distance_m=3, light="LED-B1"))
    nouns.climates.add(desk, ClimateDraft(**of, name="hall", humidity="45 %"))
    nouns.inlays.add(
        desk, InlayDraft(**of, name="reed", shape="dot", lies_on="fretboard", frets=[12])
    )
    hours = {"quick_h": 2, "likely_h": 3, "slow_h": 5}
    nouns.stages.add(desk, StageDraft(**of, name="Close the box", **hours))
    nouns.absences.add(desk, AbsenceDraft(**of, name="Easter", last_on="2027-03-29"))
    home, hall = (
        nouns.stops.add(desk, StopDraft(**of, name=name, zone="Europe/Berlin"))
        for name in ("home", "hall")
    )
    nouns.legs.add(desk, LegDraft(**of, from_id=home.id, to_id=hall.id, leaves_on="2027-05-14"))
    nouns.stays.add(desk, StayDraft(**of, stop_id=hall.id, from_on="2027-05-14"))
    nouns.contacts.add(desk, ContactDraft(**of, name="The fair’s office"))
    nouns.things_to_pack.add(desk, ThingToPackDraft(**of, name="Hygrometer"))
    nouns.attachments.add_file(desk, shop.brief.id, "ticket.png", shop._picture((90, 60, 40)))
    nouns.bought_parts.add(desk, BoughtPartDraft(**of, name="Tuners", price="96,50"))
    nouns.pieces_used.add(desk, PieceUsedDraft(**of, material_id=piece.id, share="40 %"))
    plan = planned(desk, shop.brief, StudioAsked())
    nouns.studio_pictures.keep(desk, plan, shop._picture((120, 120, 120)))
    nouns.comments.add(
        desk, CommentDraft(**of, about_kind="brief", about_id=shop.brief.id, text="calm")
    )
    choices = [pairing.id, piece.id]
    question = nouns.questions.add(desk, QuestionDraft(**of, text="Which?", choices=choices))
    nouns.answers.add(desk, AnswerDraft(question_id=question.id, choice=0))
    nouns.revisions.add(desk, RevisionDraft(**of))
    nouns.shares.add(desk, ShareDraft(**of, name="a friend"))
    nouns.calendar_links.add(desk, CalendarLinkDraft(**of, name="my phone"))


# By noun: a change of something from which something else follows.
CHANGES: dict[str, dict[str, Any]] = {
    "brief": {"numbers": {"scale_mm": 640.0}},
    "kind": {"name": "Marsh parlour, small"},
    "tracing": {"name": "Another mould"},
    "reference": {"rights": "mine"},
    "swatch": {"name": ""},
    "material": {"reading": "Lab 40 9 15"},
    "photograph": {"state": None},
    "stock": {"source": "the guild’s loft"},
    "part": {"name": "", "laying": None},
    "inlay": {"width_mm": 7.0},
    "stage": {"slow_h": 6, "follows": []},
    "absence": {"first_on": "2027-03-26"},
    "stop": {"zone": "London"},
    "leg": {"leaves_at": "9:40"},
    "stay": {"until_at": "18:00"},
    "contact": {"reach": "at the harbour"},
    "thing to pack": {"packed": True},
    "attachment": {"name": "Ticket there"},
    "bought part": {"price": "98"},
    "piece used": {"cost": "30"},
    "studio picture": {"private": False},
    "comment": {"quote": ""},
    "question": {"state": "closed"},
    "share": {"withdrawn": True},
    "calendar link": {"name": "the bench tablet"},
}


@pytest.fixture
def as_given(monkeypatch: pytest.MonkeyPatch) -> set[tuple[str, bool]]:
    """Which nouns have settled a draft (False) or a change (True), and left it as it was."""
    seen: set[tuple[str, bool]] = set()

    def watched(noun: Noun[Any, Any]) -> Any:
        settle = noun.settle

        def settle_as_given(desk: Any, fields: Any, record: Any) -> Any:
            before = dict(fields)
            kept = settle(desk, fields, record)
            assert dict(fields) == before, noun.one
            assert kept is not fields, noun.one
            seen.add((noun.one, record is not None))
            return kept

        return settle_as_given

    for noun in nouns.NOUNS:
        monkeypatch.setattr(noun, "settle", watched(noun), raising=True)
    return seen


def test_what_is_settled_is_returned_and_what_was_given_stays(shop, as_given) -> None:
    _all_made(shop)
    for kind, fields in CHANGES.items():
        noun = nouns.noun_named(kind)
        first = noun.page(shop.desk)[0]
        noun.change(shop.desk, first.id, "*", noun.change_model(**fields))
    by_file = {"photograph", "tracing", "attachment", "studio picture"}
    assert as_given >= {(one, False) for one in BY_KIND if one not in by_file | {"brief"}}
    assert as_given >= {(one, True) for one in CHANGES}


def test_every_record_is_called_something(shop) -> None:
    _all_made(shop)
    for noun in nouns.NOUNS:
        (first, *_) = noun.page(shop.desk)
        assert label(first)
        assert public_label(first)
