"""A run-up as a maker keeps it: its list, its order, its days."""

from datetime import date, timedelta

import icalendar
import pytest

from brief.errors import InputError
from brief.services import nouns, offcuts
from brief.services.instrument.inlays.draft import InlayDraft
from brief.services.run_up.absences import AbsenceDraft
from brief.services.run_up.expected import calendar, run_up
from brief.services.run_up.stages import StageDraft
from brief.services.run_up.starting_list import fill

MONDAY = date(2027, 3, 1)
DRAWING = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H10V4H0Z M20 0H30V4H20Z"/></svg>'


HOURS = {"quick_h": 1, "likely_h": 2, "slow_h": 4}


@pytest.fixture
def stage(shop):
    def made(name, *before, hours=6.0, **more):
        return nouns.stages.add(
            shop.desk,
            StageDraft(
                brief_id=shop.brief.id,
                name=name,
                follows=[one.id for one in before],
                **{"quick_h": hours, "likely_h": hours, "slow_h": hours, **more},
            ),
        )

    return made


def _change(desk, noun, record, **fields):
    return noun.change(desk, record.id, "*", noun.change_model(**fields))


def _turn(view, name):
    return next(turn for turn in view.turns if turn.name == name)


def test_the_starting_list_has_what_is_special_about_this_brief(shop):
    nouns.inlays.add(
        shop.desk,
        InlayDraft(brief_id=shop.brief.id, name="Reeds", lies_on="headplate", drawing=DRAWING),
    )
    dots = InlayDraft(
        brief_id=shop.brief.id, name="Dots", shape="dot", lies_on="fretboard", frets=[3, 5, 7]
    )
    nouns.inlays.add(shop.desk, dots)
    shop.part(role="soundboard", finish="nitro lacquer")
    made = {one.usual: one for one in fill(shop.desk, shop.brief)}
    assert made["inlay-1"].name == "Inlay: Reeds"
    assert made["inlay-1"].likely_h == 4  # two pieces, and what a design takes
    assert made["inlay-2"].likely_h < 1  # three dots
    assert made["finish"].wait_days == 28
    assert made["inlay-1"].id in made["joint"].follows


def test_a_list_is_not_filled_twice(shop):
    fill(shop.desk, shop.brief)
    with pytest.raises(InputError, match="stages already"):
        fill(shop.desk, shop.brief)


def test_a_later_list_begins_with_the_hours_that_were_noted(shop, other_shop):
    first = {one.usual: one for one in fill(shop.desk, shop.brief)}
    _change(shop.desk, nouns.stages, first["neck"], spent_h=36, done_on="2026-05-01")
    later = {one.usual: one for one in fill(shop.desk, other_shop.brief)}
    assert later["neck"].likely_h == 36  # twice the usual 18
    assert (later["neck"].quick_h, later["neck"].slow_h) == (24, 56)
    assert later["box"].likely_h == first["box"].likely_h


def test_what_is_not_done_teaches_nothing(shop, other_shop):
    first = {one.usual: one for one in fill(shop.desk, shop.brief)}
    _change(shop.desk, nouns.stages, first["neck"], spent_h=36)
    later = {one.usual: one for one in fill(shop.desk, other_shop.brief)}
    assert later["neck"].likely_h == 18


def test_a_stage_in_the_offcuts_bin_hands_on_what_came_before_it(shop, stage):
    first = stage("Join")
    second = stage("Thickness", first)
    third = stage("Brace", second)
    offcuts.remove(shop.desk, nouns.stages, second.id, "*")
    assert nouns.stages.show(shop.desk, third).follows == [first.id]
    offcuts.take_back(shop.desk, nouns.stages, second.id)
    assert nouns.stages.show(shop.desk, third).follows == [second.id]


def test_a_circle_is_named_even_by_way_of_the_offcuts_bin(shop, stage):
    first = stage("Join")
    second = stage("Brace", first)
    with pytest.raises(InputError, match="“Join” and “Brace” wait for one another"):
        _change(shop.desk, nouns.stages, first, follows=[second.id])
    offcuts.remove(shop.desk, nouns.stages, second.id, "*")
    third = stage("Close")
    _change(shop.desk, nouns.stages, first, follows=[third.id])
    with pytest.raises(InputError, match="circle"):
        _change(shop.desk, nouns.stages, third, follows=[first.id])


def test_another_brief_is_not_waited_for(shop, other_shop):
    there = StageDraft(brief_id=other_shop.brief.id, name="x", **HOURS)
    other = nouns.stages.add(shop.desk, there)
    here = StageDraft(brief_id=shop.brief.id, name="y", follows=[other.id], **HOURS)
    with pytest.raises(InputError, match="another brief"):
        nouns.stages.add(shop.desk, here)


def test_hours_spent_come_off_and_days_away_are_passed_over(shop, stage):
    box = stage("Close the box", hours=12)
    _change(shop.desk, nouns.briefs, shop.brief, week_h=[6] * 7, wanted_by="2027-03-06")
    assert run_up(shop.desk, shop.brief, MONDAY).ready_50 == date(2027, 3, 2)
    _change(shop.desk, nouns.stages, box, spent_h=6)
    assert run_up(shop.desk, shop.brief, MONDAY).ready_50 == MONDAY
    busy = AbsenceDraft(brief_id=shop.brief.id, name="a bouzouki", last_on="2027-03-05")
    nouns.absences.add(shop.desk, busy)
    view = run_up(shop.desk, shop.brief, MONDAY)
    assert view.ready_50 == date(2027, 3, 6)
    assert _turn(view, "Close the box").latest == date(2027, 3, 6)
    assert view.chance == 1


def test_the_day_to_be_ready_follows_from_the_opening(shop):
    opens = date.today() + timedelta(days=200)
    _change(shop.desk, nouns.briefs, shop.brief, opens_on=opens, travel_days=3, papers_days=30)
    assert shop.brief.wanted_by == opens - timedelta(days=33)
    _change(shop.desk, nouns.briefs, shop.brief, travel_days=5)
    assert shop.brief.wanted_by == opens - timedelta(days=35)
    with pytest.raises(InputError, match="less travel and papers"):
        _change(shop.desk, nouns.briefs, shop.brief, wanted_by=opens)
    _change(shop.desk, nouns.briefs, shop.brief, wanted_by=shop.brief.wanted_by, title="x")
    with pytest.raises(InputError, match="Choose a later opening"):
        _change(shop.desk, nouns.briefs, shop.brief, opens_on="2020-05-01")
    _change(shop.desk, nouns.briefs, shop.brief, opens_on=None)
    _change(shop.desk, nouns.briefs, shop.brief, wanted_by=opens)
    assert shop.brief.wanted_by == opens


@pytest.mark.parametrize("week", [[0] * 7, [25, 0, 0, 0, 0, 0, 0]])
def test_a_week_that_nobody_works_is_refused(shop, week):
    with pytest.raises(InputError) as refused:
        nouns.briefs.settle(shop.desk, {"week_h": week}, shop.brief)
    assert refused.value.faults[0].pointer == "/week_h"


def test_what_it_says_goes_by_the_chance(shop, stage):
    stage("Close the box", hours=30)
    _change(shop.desk, nouns.briefs, shop.brief, week_h=[6] * 7)
    said = run_up(shop.desk, shop.brief, MONDAY).sentence
    assert said == "No date yet: ready by 5 March 2027, eight times in ten."
    for ready, words in (
        ("2027-03-05", "In time: more than 99\u00a0% to be ready by 5 March 2027."),
        ("2027-03-04", "Late: under 1\u00a0% to be ready by 4 March 2027."),
        ("2027-02-28", "Late: 28 February 2027 has passed; ready by 5 March 2027, "),
    ):
        _change(shop.desk, nouns.briefs, shop.brief, wanted_by=ready)
        assert run_up(shop.desk, shop.brief, MONDAY).sentence.startswith(words)


@pytest.mark.parametrize(
    ("slow", "days", "said"),
    [(21, 8, "Tight: 79\u00a0% to be ready"), (22, 5, "Late: 49\u00a0% to be ready")],
)
def test_the_word_goes_with_the_figure_beside_it(shop, stage, slow, days, said):
    # Chances of 0.796 and 0.497: not yet those of the days that are called 80 and 50 % sure.
    _change(shop.desk, nouns.briefs, shop.brief, week_h=[1] * 7)
    stage("Carve", quick_h=2, likely_h=4, slow_h=slow)
    _change(shop.desk, nouns.briefs, shop.brief, wanted_by=MONDAY + timedelta(days=days))
    assert run_up(shop.desk, shop.brief, MONDAY).sentence.startswith(said)


def test_all_done_is_said(shop, stage):
    done = stage("Close the box")
    _change(shop.desk, nouns.stages, done, done_on="2026-03-01", spent_h=7)
    assert run_up(shop.desk, shop.brief, MONDAY).sentence == "Done: all stages are done."


def test_the_calendar_has_each_stage_its_long_wait_and_the_days_of_the_show(shop, stage):
    stage("Lacquer", wait_days=28, wait_for="finish cure")
    stage("Frets")
    opens = date.today() + timedelta(days=200)
    _change(shop.desk, nouns.briefs, shop.brief, opens_on=opens, travel_days=3, week_h=[6] * 7)
    read = icalendar.Calendar.from_ical(calendar(shop.desk, shop.brief))
    days = {str(one["SUMMARY"]): one for one in read.walk("VEVENT")}
    assert set(days) == {
        "Lacquer",
        "Wait: Lacquer",
        "Frets",
        "Ready to ship: Saltmarsh",
        "Opening: Saltmarsh",
    }
    assert days["Lacquer"]["DTSTART"].dt == date.today()
    wait = days["Wait: Lacquer"]
    assert wait["DTEND"].dt - wait["DTSTART"].dt in (timedelta(days=28), timedelta(days=29))
    assert days["Opening: Saltmarsh"]["DTSTART"].dt == opens
    assert "Latest start: " in days["Frets"]["DESCRIPTION"]
    again = icalendar.Calendar.from_ical(calendar(shop.desk, shop.brief))
    assert [one["UID"] for one in again.walk("VEVENT")] == [
        one["UID"] for one in read.walk("VEVENT")
    ]
