"""Every material of the demo has an entry in the table, or is said not to be known."""

import tomllib
from pathlib import Path

import pytest

from brief.instrument import preset, presets
from brief.wood import cautions, finish_cautions, is_usual, listing
from brief.wood.matching import named_in, named_of

DEMO = Path(__file__).resolve().parents[2] / "demo_assets" / "brief.toml"
DATA = tomllib.loads(DEMO.read_text(encoding="utf-8"))
# How each stands, by hand from the table's sources.
STANDING = {
    "cedar": "not on the list",
    "spruce": "not on the list",
    "walnut": "not on the list",
    "sapele": "not known",
    "bog-oak": "some listed",
    "sycamore": "not on the list",
    "verdigris": "not on the list",
    "black-wood": "some listed",
    "mother-of-pearl": "not known",
    "brass": "not on the list",
    "bone": "not known",
}


@pytest.mark.parametrize("row", DATA["materials"], ids=lambda row: row["key"])
def test_a_material_of_the_demo_has_its_entry(row):
    piece = row["stuff"], row["species"], row["label"]
    assert named_of(*piece)
    assert cautions(*piece)
    assert listing(*piece).standing == STANDING[row["key"]]


def test_none_is_forgotten():
    assert {row["key"] for row in DATA["materials"]} == set(STANDING)


FINISHES = [
    *(row["finish"] for row in DATA["parts"]),
    *(row["name"] for row in DATA["finish_tests"]),
]


@pytest.mark.parametrize("finish", FINISHES)
def test_a_finish_of_the_demo_is_known(finish):
    found = [one.key for one in finish_cautions(finish)]
    assert "unknown-finish" not in found
    assert ("spirit" in found) == ("French polish" in finish)
    assert ("oily-rags" in found) == ("oil" in finish.lower())


def test_the_demo_uses_each_piece_as_is_usual():
    pieces = {row["key"]: row for row in DATA["materials"]}
    assert DATA["parts"]
    for part in DATA["parts"]:
        if "material" in part:
            row = pieces[part["material"]]
            assert is_usual(part["role"], row["stuff"], row["species"], row["label"]), part["name"]


def test_a_material_that_an_instrument_names_has_an_entry():
    """Those of the program name none; of what would be named there, the table knows all."""
    notes = [part.note for kind, _ in presets() for part in preset(kind).parts]
    assert not [note for note in notes if named_in(note)]
