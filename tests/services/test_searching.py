"""Which pieces of the rack answer to what is asked, and in which order they are shown."""

from __future__ import annotations

from brief.services.rack.searching import RackAsked, answering, found_on
from brief.store.records import Material


def piece(label, species="", stuff="timber", lab=None, place=0):
    return Material(id=f"{place:026}", label=label, species=species, stuff=stuff, lab=lab)


SPRUCE = piece("Spruce top", "Picea sitchensis", lab=[82, 6, 24], place=2)
OAK = piece("Bog oak, Québec", "Quercus robur", lab=[24, 1, 4], place=1)
SHELL = piece("Mother-of-pearl", stuff="shell", lab=[83, 0, 6], place=3)
BARE = piece("Not photographed", stuff="veneer", place=0)
RACK = [BARE, OAK, SPRUCE, SHELL]


def found(words, stuff=""):
    return [one.label.split()[0] for one in answering(RACK, words, stuff)]


def test_every_word_has_to_be_found_in_any_order_and_anywhere() -> None:
    assert len(found("")) == len(found("  ")) == 4
    assert found("oak bog") == found("bog OAK") == ["Bog"]
    assert found("sitch") == ["Spruce"]
    assert found("oak spruce") == []


def test_capitals_and_accents_do_not_matter() -> None:
    assert found("QUEBEC") == found("québec") == ["Bog"]


def test_the_kind_narrows_it_down_whatever_the_words_say() -> None:
    assert found("", "timber") == ["Bog", "Spruce"]
    assert found("shell", "timber") == []


def ordered(order, rack=RACK):
    return [one.label for one in found_on(rack, RackAsked(order=order))]


def test_lightest_first_and_what_is_not_measured_last() -> None:
    assert ordered("light") == [one.label for one in (SHELL, SPRUCE, OAK, BARE)]


def test_as_on_the_rack_for_any_other_order() -> None:
    as_hung = [one.label for one in RACK]
    assert ordered("rack") == ordered("nonsense") == as_hung


def test_equals_and_several_not_measured_stay_as_on_the_rack() -> None:
    twins = [
        piece(name, lab=[50, 0, 0] if at % 2 else None, place=at)
        for at, name in enumerate(("one", "two", "three", "four"))
    ]
    assert ordered("light", twins) == ["two", "four", "one", "three"]
