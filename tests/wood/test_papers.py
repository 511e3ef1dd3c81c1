"""Which names are on the list of what may need papers. It warns; the authorities decide."""

import pytest

from brief.wood import papers as module
from brief.wood.papers import papers


@pytest.mark.parametrize(
    "name",
    [
        # Dalbergia spp., CITES Appendix II since 2017, D. nigra in I: CITES appendices.
        "Dalbergia nigra",
        "Indian rosewood",
        # Afzelia spp. of Africa, CoP19 with annotation #17: Timber Development UK, 2022.
        "Afzelia africana",
        # Dipteryx, Handroanthus, Roseodendron, Tabebuia: votes of 17 November 2022 at CoP19, WWF.
        "Dipteryx odorata",
        "Handroanthus impetiginosus",
        # Araucaria araucana and Fitzroya in Appendix I, Guaiacum and Gonystylus in II: list of
        # CITES tree species, US Fish and Wildlife Service.
        "Fitzroya cupressoides",
        "lignum vitae",
        "Gonystylus bancanus",
        # Paubrasilia echinata kept in Appendix II with #10: CoP19 and CoP20.
        "pernambuco",
        # From memory.
        "Swietenia macrophylla",
        "Cedrela odorata",
        "Pterocarpus soyauxii",
    ],
)
def test_listed_names(name):
    assert papers("timber", name) == "listed"
    assert papers("timber", "", name) == "listed"
    assert papers("veneer", name.upper()) == "listed"


@pytest.mark.parametrize(
    ("stuff", "species", "label"),
    [
        ("timber", "Picea abies", ""),
        ("timber", "Juglans nigra", "feathered walnut"),
        ("timber", "Acer pseudoplatanus", "keramin maple"),  # "ramin" only inside a word
        ("metal", "", "brass"),
        ("stone", "", ""),
        ("other", "", "celluloid"),
    ],
)
def test_names_that_are_not(stuff, species, label):
    assert papers(stuff, species, label) == "not listed"


@pytest.mark.parametrize(
    ("stuff", "species", "label"),
    [
        ("timber", "", "old board"),
        ("timber", "not known", "from a wardrobe"),
        ("timber", "mahogany", ""),  # Swietenia, Khaya or neither
        ("shell", "", "white shell"),
        ("bone", " ", ""),
    ],
)
def test_what_nobody_can_tell(stuff, species, label):
    assert papers(stuff, species, label) == "not known"


@pytest.mark.parametrize("stuff", ["other", "bone", "stone"])
def test_a_listed_name_counts_whatever_it_is_filed_as(stuff):
    assert papers(stuff, "", "hawksbill tortoise shell") == "listed"


def test_it_defers_to_those_who_decide():
    said = " ".join((module.__doc__ or "").split())
    assert "The present appendices and the permit authorities of both countries decide." in said
    assert "as amended at CoP19" in said
