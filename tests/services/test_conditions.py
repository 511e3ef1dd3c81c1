"""Which conditions a brief asks about, and what it says of those it cannot."""

import pytest

from brief.services import nouns
from brief.services.pairing.conditions import asked_about
from brief.services.pairing.viewings import ViewingDraft
from brief.services.rack.surfaces import Shift, Surface
from brief.store.records import Material

OIL, YEARS = Shift((-6.0, 2.0, 3.0), 2.0), Shift((4.0, 1.0, 5.0), 3.0)
EYES = ("protan", "deutan", "tritan")


def piece(label, species="", **shifts):
    return Surface(Material(id=label, label=label, species=species), shifts)


@pytest.fixture
def hall(desk, shop):
    return nouns.viewings.add(
        desk, ViewingDraft(brief_id=shop.brief.id, name="the hall", distance_m=3, light="A")
    )


def keys(asked):
    return [one.key for one in asked.conditions]


def test_without_places_and_tests_there_is_the_bench_and_other_eyes():
    asked = asked_about([], [piece("walnut"), piece("shell")])
    assert keys(asked) == ["bench", *(f"bench-{eyes}" for eyes in EYES)]
    assert {one.state for one in asked.conditions} == {"bare"}


def test_a_show_sees_what_was_tested_last(hall):
    asked = asked_about([hall], [piece("walnut", finished=OIL), piece("shell")])
    assert keys(asked) == ["bench", "finished", hall.id, *(f"{hall.id}-{eyes}" for eyes in EYES)]
    there = asked.conditions[2]
    assert (there.words, there.distance_m, there.light.key, there.state) == (
        "in the hall, from 3 m", 3, "A", "finished",
    )  # fmt: skip
    assert asked.conditions[3].words == "in the hall, from 3 m, to red-blind eyes"


def test_years_are_asked_about_at_the_bench_and_in_every_place(hall):
    asked = asked_about([hall], [piece("walnut", finished=OIL, aged=YEARS)])
    assert keys(asked)[:5] == ["bench", "finished", "aged", hall.id, f"{hall.id}-aged"]
    assert asked.conditions[4].words == "in the hall, from 3 m, aged"
    assert asked.conditions[4].state == "aged"


def test_every_condition_has_a_key_of_its_own(hall):
    asked = asked_about([hall], [piece("walnut", finished=OIL, aged=YEARS)])
    assert len(set(keys(asked))) == len(asked.conditions)


def test_what_was_never_tested_is_said_once_for_each_piece():
    walnut, maple = piece("walnut"), piece("set 3", "Acer pseudoplatanus", finished=OIL)
    bare, ages = asked_about([], [walnut, maple, walnut, piece("old shell")]).missing
    assert bare == "No finish test, judged bare: walnut; old shell."
    assert ages == (
        "No ageing test: walnut; set 3; old shell. Usually walnut bleaches, toward yellow (common "
        "practice, no source). Usually maple turns yellower and redder (Varga, Tolvaj and Preklet "
        "2025)."
    )


def test_nothing_is_missing_where_all_was_tested():
    assert asked_about([], [piece("walnut", finished=OIL, aged=YEARS)]).missing == ()
