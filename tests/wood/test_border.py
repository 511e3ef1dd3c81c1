"""Papers to ask about at a border: no row without its source, and nothing cleared by silence."""

from datetime import date
from typing import get_args

import pytest

from brief.wood import listing
from brief.wood.border import (
    APPENDIX_I,
    NO_EXEMPTION,
    NOT_KNOWN,
    UNLISTED,
    AskedFor,
    border,
    documents_for,
    exemption,
)
from brief.wood.names import nearest_latin
from brief.wood.table import table

ROWS = {
    **{one.name: one for one in border().documents},
    **{f"exemption {name}": one for name, one in border().exemptions.items()},
}


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_every_row_says_where_it_is_from_and_when_it_was_looked_at(row) -> None:
    assert row.source
    assert set(row.source) <= set(border().sources)
    assert date(2026, 11, 1) <= row.checked <= date.today()
    assert row.says.endswith(".")


def test_every_source_is_used_and_every_exemption_is_of_a_known_annotation() -> None:
    assert {key for row in ROWS.values() for key in row.source} == set(border().sources)
    assert set(border().exemptions) <= set(table().annotations)
    assert {one.asked_for for one in border().documents} == set(get_args(AskedFor))


@pytest.mark.parametrize("row", table().named, ids=lambda row: row.name)
def test_every_name_of_the_table_has_an_answer_about_exemptions(row) -> None:
    """And none of what is listed or not known has that of what is unlisted."""
    found = listing("timber", next(iter((*row.latin, *row.names))))
    said = exemption(found)
    assert said
    assert (said == UNLISTED) == (found.standing == "not on the list")


def test_what_may_except_an_instrument() -> None:
    # Annotation #15 as revised at CoP18 excepts finished instruments; Appendix I has none (FIM and
    # Pearle, handbook of 2018).
    assert "Finished instruments" in exemption(listing("timber", "Dalbergia latifolia"))
    assert exemption(listing("timber", "Dalbergia nigra")) == APPENDIX_I
    assert exemption(listing("shell", "Pinctada maxima")) == NOT_KNOWN
    assert exemption(listing("timber", "Guaiacum officinale")) == NO_EXEMPTION


@pytest.mark.parametrize(
    ("pieces", "asked", "not_asked"),
    [
        ([("timber", "Picea abies")], ["Lacey", "Proof", "ATA"], ["CITES", "Wildlife", "Article"]),
        ([("timber", "Dalbergia latifolia")], ["CITES permit", "Musical"], ["Article", "Wildlife"]),
        ([("timber", "Dalbergia nigra")], ["CITES permit", "Article 10"], ["Wildlife"]),
        ([("shell", "Pinctada maxima")], ["Wildlife", "CITES permit"], ["Lacey", "Article"]),
        ([("other", "")], ["Wildlife", "Lacey", "CITES permit"], ["Article"]),
        ([("metal", "")], ["Proof"], ["Lacey", "Wildlife", "CITES"]),
    ],
)
def test_which_papers_are_asked_about(pieces, asked, not_asked) -> None:
    found = documents_for([(stuff, listing(stuff, species)) for stuff, species in pieces])
    named = [one.name for one in found]
    for start in asked:
        assert any(name.startswith(start) for name in named), start
    for start in not_asked:
        assert not any(name.startswith(start) for name in named), start


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("Thuja plicta", "Thuja plicata"),
        ("thuya plicata", "Thuja plicata"),
        ("Dalbergia nigre", "Dalbergia nigra"),
        ("Juglans nigra", ""),
        ("Picea abies, from the garden", ""),
        ("Quercus sp., from peat", ""),
        ("walnut", ""),
        ("feathered walnut", ""),
        ("CZ108 (63 copper, 37 zinc)", ""),
        ("Aucoumea klaineana", ""),
        ("", ""),
    ],
)
def test_a_misspelt_name_is_offered_the_nearest(typed: str, offered: str) -> None:
    assert nearest_latin(typed) == offered
