"""How a brief stands today: in time or not, what is next, and what is open."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from brief.services import nouns
from brief.services.cost.bought_parts import BoughtPartDraft
from brief.services.feedback.comments import CommentDraft
from brief.services.pairing.pairings import PairingDraft
from brief.services.run_up.stages import StageDraft
from brief.services.spec.passport import passport_of
from brief.services.theme.briefs import BriefDraft
from brief.services.today import today
from brief.services.trip.itinerary.legs import LegDraft
from brief.services.trip.itinerary.stops import StopDraft
from brief.services.trip.packing_list import ThingToPackDraft
from brief.store.desk import Desk

MONDAY = date(2027, 3, 1)


def _open(desk: Desk, shop) -> dict[str, str]:
    return {one.label: one.words for one in today(desk, shop.brief, MONDAY).open}


def test_a_new_brief_has_its_parts_open_and_says_where_it_stands(desk, shop):
    now = today(desk, shop.brief, MONDAY)
    assert [one.label for one in now.open] == ["Parts"]
    assert (now.word, now.because) == ("Open", "no stages yet.")
    assert (now.next, now.due, now.days_left, now.chance) == (None, None, None, None)


def test_the_next_stage_and_the_days_left(desk, shop):
    brief = nouns.briefs.add(
        desk, BriefDraft(title="Low water", wanted_by=MONDAY + timedelta(days=10))
    )
    hours = {"quick_h": 1, "likely_h": 1, "slow_h": 1}
    first = nouns.stages.add(desk, StageDraft(brief_id=brief.id, name="Bend the sides", **hours))
    after = {"name": "Glue them", "follows": [first.id]}
    nouns.stages.add(desk, StageDraft(brief_id=brief.id, **after, **hours))
    now = today(desk, brief, MONDAY)
    assert now.next is not None
    assert (now.next.name, now.next.begin) == ("Bend the sides", MONDAY)
    assert (now.word, now.days_left, now.chance) == ("In time", 10, 1.0)
    late = today(desk, brief, MONDAY + timedelta(days=20))
    assert (late.word, late.days_left) == ("Late", -10)


def test_a_price_below_the_cost_is_open(desk, shop):
    of = {"brief_id": shop.brief.id}
    nouns.bought_parts.add(desk, BoughtPartDraft(**of, name="Tuners", price="96"))
    terms = nouns.briefs.change_model(asking_price=100)
    nouns.briefs.change(desk, shop.brief.id, "*", terms)
    assert "Cost" not in _open(desk, shop)
    terms = nouns.briefs.change_model(asking_price=80, hour_rate=30)
    nouns.briefs.change(desk, shop.brief.id, "*", terms)
    said = _open(desk, shop)["Cost"].replace("\u00a0", " ")
    assert said == "16.00 EUR short of 80.00 EUR asked, before your hours"


def test_a_run_up_that_cannot_be_worked_out_says_why(desk, shop):
    brief = nouns.briefs.add(desk, BriefDraft(title="Too much", week_h=[0.1] + [0] * 6))
    hours = {"quick_h": 1, "likely_h": 2, "slow_h": 1900}
    nouns.stages.add(desk, StageDraft(brief_id=brief.id, name="Carve", **hours))
    now = today(desk, brief, MONDAY)
    assert now.word == "Open"
    assert "more hours than your week has in ten years" in now.because


def test_what_is_open_goes_away_once_it_is_settled(desk, shop):
    part, *others = nouns.parts.page(desk, brief_id=shop.brief.id)
    picture = shop.reference()
    said = CommentDraft(
        brief_id=shop.brief.id, about_kind="part", about_id=part.id, text="Wide?", author="Ada"
    )
    comment = nouns.comments.add(desk, said)
    found = _open(desk, shop)
    more = len(others) - 2
    assert found["Parts"] == f"{more + 3} without wood: Top, Back, Sides and {more} more"
    assert found["Rights"] == "1 picture not clear"
    assert found["Comments"] == "1 open"
    assert "Papers" not in found

    piece = shop.material(label="mystery")
    _change(desk, nouns.parts, part, material_id=piece.id)
    assert _open(desk, shop)["Papers"] == "1 material to complete: mystery"
    full = {"species": "Juglans regia", "provenance": "a felled garden tree"}
    _change(desk, nouns.materials, piece, stuff="timber", **full)
    _change(desk, nouns.references, picture, permission="the photographer's leave")
    _change(desk, nouns.comments, comment, state="settled")
    found = _open(desk, shop)
    assert "Rights" not in found
    assert "Comments" not in found
    assert found["Parts"].startswith(f"{len(others)} without wood: Back")


@pytest.mark.parametrize(("reading", "weak"), [("Lab 31 9 15", True), ("Lab 85 2 12", False)])
def test_an_inlay_that_may_not_read_is_open(desk, shop, reading, weak):
    ground, inlay = shop.material("Lab 30 9 15"), shop.material(reading, label="line")
    draft = PairingDraft(
        brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id, line_mm=0.8
    )
    nouns.pairings.add(desk, draft)
    assert "Inlay" not in _open(desk, shop)  # nothing is made of them
    for piece in (ground, inlay):
        shop.part(material_id=piece.id)
    said = _open(desk, shop).get("Inlay")
    assert said == ("borderline: line on walnut" if weak else None)


def _change(desk, noun, record, **fields):
    return noun.change(desk, record.id, "*", noun.change_model(**fields))


def test_a_trip_is_open_until_all_is_booked_and_packed(desk, shop):
    of = {"brief_id": shop.brief.id}
    home, hall = (
        nouns.stops.add(desk, StopDraft(**of, name=name, zone="Europe/Berlin"))
        for name in ("home", "hall")
    )
    thing = nouns.things_to_pack.add(desk, ThingToPackDraft(**of, name="Hygrometer"))
    assert "Trip" not in _open(desk, shop)  # nothing to leave for yet
    ends = {"from_id": home.id, "to_id": hall.id}
    leg = nouns.legs.add(desk, LegDraft(**of, **ends, leaves_on=MONDAY + timedelta(days=20)))
    assert _open(desk, shop)["Trip"].startswith("Not booked: ")
    _change(desk, nouns.legs, leg, booked=True)
    assert "Trip" not in _open(desk, shop)  # it is too early to pack
    _change(desk, nouns.legs, leg, leaves_on=MONDAY + timedelta(days=2))
    assert _open(desk, shop)["Trip"] == "1 thing to pack: Hygrometer"
    change = nouns.things_to_pack.change_model(packed=True)
    nouns.things_to_pack.change(desk, thing.id, "*", change)
    assert "Trip" not in _open(desk, shop)


def test_a_day_that_has_passed_is_said_before_there_is_a_run_up(desk, shop):
    draft = BriefDraft(title="Low water", wanted_by=MONDAY - timedelta(days=1))
    now = today(desk, nouns.briefs.add(desk, draft), MONDAY)
    assert (now.word, now.because) == (
        "Late",
        "28 February 2027 has passed, and no stages yet.",
    )


def test_a_piece_too_small_for_its_part_is_open(desk, shop):
    top, *_ = nouns.parts.page(desk, brief_id=shop.brief.id)
    small = shop.material(length_mm=300, width_mm=100, label="short board")
    _change(desk, nouns.parts, top, material_id=small.id)
    assert _open(desk, shop)["Wood"] == "too small for Top"


def test_papers_are_asked_about_in_time(desk, shop):
    top, *_ = nouns.parts.page(desk, brief_id=shop.brief.id)
    piece = shop.material(stuff="timber", species="Dalbergia nigra", provenance="an old stock")
    _change(desk, nouns.parts, top, material_id=piece.id)
    _change(desk, nouns.briefs, shop.brief, wanted_by=MONDAY + timedelta(days=100))
    days = passport_of(desk, shop.brief).days
    said = [one.words for one in today(desk, shop.brief, MONDAY).open if one.label == "Papers"]
    asked = f"{days} days before it leaves"
    assert [one.endswith(asked) for one in said if one.startswith("ask about them by")] == [True]
