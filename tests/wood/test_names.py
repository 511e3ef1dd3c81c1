"""What a piece is called in public."""

from __future__ import annotations

import pytest

from brief.wood.names import public_name
from brief.wood.table import table


@pytest.mark.parametrize(
    ("label", "public"),
    [
        ("Western red cedar top, no. 7", "Western red cedar top"),
        ("Walnut #12", "Walnut"),
        ("Spruce, set no 3", "Spruce"),
        ("Spruce set 3", "Spruce"),
        ("Norway, no. 5b, wide", "Norway, wide"),
        ("Bog oak (no. 4)", "Bog oak"),
        ("Ebony №2", "Ebony"),
        ("Feathered walnut back, with sides", "Feathered walnut back, with sides"),
        ("Nova 3", "Nova 3"),
        ("Brass CZ108", "Brass CZ108"),
        ("No. 7", "No. 7"),  # there is nothing else to call it
        ("Nr. 12 Fichte", "Fichte"),
    ],
)
def test_a_label_loses_the_numbers_of_the_shop_and_nothing_else(label, public):
    assert public_name("", "", label) == public


@pytest.mark.parametrize(
    ("species", "public"),
    [
        ("Thuja plicata", "Western red cedar"),
        (" juglans  NIGRA ", "Black walnut"),
        # What says more than the species is not cut down to it.
        ("Acer pseudoplatanus, dyed", "Green veneer"),
        ("not known, perhaps an ebony", "Green veneer"),
        ("", "Green veneer"),
    ],
)
def test_a_known_species_gives_its_common_name(species, public):
    assert public_name("", species, "Green veneer, no. 2") == public


def test_the_name_that_was_given_counts_first():
    assert public_name("Cedar of the old pier", "Thuja plicata", "no. 7") == "Cedar of the old pier"


def test_the_names_are_those_of_species():
    assert table().common
    for species, common in table().common.items():
        assert species == " ".join(species.split()).capitalize()
        assert len(species.split()) > 1, species
        assert common
