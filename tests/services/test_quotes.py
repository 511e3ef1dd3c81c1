"""Words quoted from a passage: W3C Web Annotation Data Model 4.2.4."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.services.feedback.quotes import Quote, in_context, places, runs

PASSAGE = "The tide is out.\nThe curlew walks, the tide\n  is out, and nobody calls."


def quoted(*quotes: Quote) -> list[list[str]]:
    return [[PASSAGE[start:end] for start, end in places(PASSAGE, one)] for one in quotes]


def test_all_places_that_fit_are_meant() -> None:
    """4.2.4: where several match, the selection is all of them."""
    assert len(places(PASSAGE, Quote("tide is out"))) == 2


def test_what_stands_round_the_words_tells_the_places_apart() -> None:
    assert places(PASSAGE, Quote("tide is out", prefix="walks, the ")) == [(39, 52)]
    assert places(PASSAGE, Quote("tide is out", suffix=".\nThe")) == [(4, 15)]


def test_white_space_is_white_space_however_much_of_it() -> None:
    assert quoted(Quote("the tide is out,")) == [["the tide\n  is out,"]]


def test_words_that_stand_there_once_are_found_whatever_is_round_them_now() -> None:
    assert quoted(Quote("curlew", prefix="A grey ", suffix=" calls")) == [["curlew"]]


def test_what_is_gone_is_not_found() -> None:
    assert quoted(Quote("heron"), Quote("tide", prefix="no such "), Quote("  ")) == [[], [], []]
    assert places(PASSAGE, Quote("c.rlew")) == []


@pytest.mark.parametrize("place", [(4, 15), (39, 52), (0, 3)])
def test_a_quote_leads_back_to_its_place(place: tuple[int, int]) -> None:
    assert places(PASSAGE, in_context(PASSAGE, place)) == [place]


def test_a_passage_is_cut_where_quotes_begin_and_end() -> None:
    cut = runs(PASSAGE, {"a": Quote("curlew walks"), "b": Quote("walks, the")})
    assert [(run.text, run.by) for run in cut if run.by] == [
        ("curlew ", ("a",)),
        ("walks", ("a", "b")),
        (", the", ("b",)),
    ]


@given(st.text("ab \n", max_size=40), st.lists(st.text("ab \n", max_size=4), max_size=4))
def test_cut_or_not_it_is_the_same_passage(passage: str, quotes: list[str]) -> None:
    named = {str(place): Quote(words) for place, words in enumerate(quotes)}
    assert "".join(run.text for run in runs(passage, named)) == passage
