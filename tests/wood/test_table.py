"""The table of materials has no gaps: whoever adds a row is told here what it lacks."""

from collections import Counter
from datetime import date
from itertools import chain
from typing import get_args

import pytest

from brief.instrument import preset, presets
from brief.services.rack.piece_views import MaterialDraft
from brief.wood import Stuff
from brief.wood.matching import named_in, words_of
from brief.wood.table import MARKS, Nature, Standing, table

TABLE = table()
ROWS = {
    **{f"stuffs.{name}": row for name, row in TABLE.stuffs.items()},
    **{f"parts.{role}": row for role, row in TABLE.parts.items()},
    **{f"finishes {row.name}": row for row in TABLE.finishes},
    **{f"named {row.name}": row for row in TABLE.named},
}
APPENDICES = {"I", "I or II", "II", "II or III", "III"}


def lasers(row):
    return getattr(row, "laser", ())


def test_every_stuff_has_a_row_with_all_that_follows_from_it():
    assert get_args(Stuff) == tuple(TABLE.stuffs)
    for name, row in TABLE.stuffs.items():
        assert row.nature in get_args(Nature), name
        assert row.cautions, name
        assert row.laser, name
        assert row.parts, name
        assert MaterialDraft(label=name, stuff=name).stuff == name


@pytest.mark.parametrize("stuff", ["timber", "veneer", "shell", "metal", "bone", "stone", "other"])
def test_stuffs_of_before_are_still_known(stuff):
    assert stuff in TABLE.stuffs


def test_a_stuff_without_a_row_is_refused():
    with pytest.raises(ValueError, match="timber"):
        MaterialDraft(label="feather", stuff="feather")


@pytest.mark.parametrize("row", [*ROWS.values(), *TABLE.cautions.values()], ids=str)
def test_every_row_says_where_it_is_from_and_when_it_was_looked_at(row):
    assert row.source
    assert set(row.source) <= set(TABLE.sources)
    assert date(2026, 11, 1) <= row.checked <= date.today()


def test_every_caution_and_every_source_is_used_and_none_is_missing():
    cautions = set(chain(*(chain(row.cautions, lasers(row)) for row in ROWS.values())))
    assert cautions | {"laser", "cutter", "unknown-finish"} == set(TABLE.cautions)
    sources = chain(*(one.source for one in [*ROWS.values(), *TABLE.cautions.values()]))
    assert set(sources) == set(TABLE.sources)
    assert set(TABLE.sources) >= MARKS


@pytest.mark.parametrize("one", TABLE.cautions.values(), ids=lambda one: one.key)
def test_a_caution_is_short_and_whole(one):
    assert len(one.short.split()) <= 6
    assert not one.short.endswith(".")
    assert one.says.endswith(".")
    assert len(one.says.split()) <= 36


@pytest.mark.parametrize("row", TABLE.named, ids=lambda row: row.name)
def test_a_listing_is_whole(row):
    assert row.latin or row.names
    assert row.standing in (*get_args(Standing), None)
    if row.standing in ("listed", "some listed"):
        assert row.appendix in APPENDICES
        assert row.since
        assert row.annotation in ("", *TABLE.annotations)
    else:
        assert (row.appendix, row.annotation, row.since) == ("", "", "")
    if row.standing == "some listed":
        assert row.which
    if row.standing == "not on the list":
        assert "memory" in row.source  # no text was read that lists what is not listed


def test_a_name_leads_to_one_row():
    """Also by its initial: “D. nigra”. What several rows could mean has a row that says so."""
    latin = [words_of(name) for row in TABLE.named for name in row.latin]
    short = [(words[0][0], *words[1:]) for words in latin if len(words) > 1]
    names = [words_of(name) for row in TABLE.named for name in row.names]
    finishes = [words_of(name) for row in TABLE.finishes for name in row.names]
    for known in ([*latin, *short], names, finishes):
        assert [words for words, count in Counter(known).items() if count > 1] == []
    rows = Counter(row.name for row in TABLE.named)
    assert max(rows.values()) == 1
    assert {name for row in TABLE.named for name in row.means} <= set(rows)


def test_a_latin_name_is_known_by_the_initial_of_its_genus():
    for row in TABLE.named:
        for genus, *epithet in map(str.split, row.latin):
            if epithet:
                found = named_in(f"{genus[0]}. {' '.join(epithet)}")
                assert (row, True) in [(hit.row, hit.latin) for hit in found]


def test_parts_are_those_of_the_instruments():
    roles = {part.role for kind, _ in presets() for part in preset(kind).parts}
    usual = set(chain(*(row.parts for row in TABLE.stuffs.values())))
    assert usual == roles  # each part is usually made of something
    assert set(TABLE.parts) <= roles
    for row in TABLE.named:
        assert set(row.parts or ()) <= roles


def test_the_edition_is_told_with_what_is_not_in_it():
    assert TABLE.as_of == "CoP19, November 2022"
    assert "5 March 2026, after CoP20, are not in our table" in TABLE.later
    assert "ask your permit authority" in TABLE.later
