"""How a name stands on the list of what may need papers. It warns; the authorities decide."""

import pytest

from brief.wood import listing
from brief.wood import papers as module

LISTED = [
    # Dalbergia spp., CITES Appendix II since 2017, D. nigra in I: handbook of FIM and Pearle.
    ("Dalbergia nigra", "I", ""),
    ("Indian rosewood", "II", "#15"),
    # Afzelia spp. of Africa, CoP19 with annotation #17: Timber Development UK, 2022.
    ("Afzelia africana", "II", "#17"),
    # Dipteryx, Handroanthus, Roseodendron, Tabebuia: votes of 17 November 2022 at CoP19, WWF.
    ("Dipteryx odorata", "II", "#17"),
    ("Handroanthus impetiginosus", "II", "#17"),
    ("ipe", "II", "#17"),
    # Araucaria araucana and Fitzroya in Appendix I, Guaiacum and Gonystylus in II: list of
    # CITES tree species, US Fish and Wildlife Service.
    ("Fitzroya cupressoides", "I", ""),
    ("Araucaria araucana", "I", ""),
    ("lignum vitae", "II", "#2"),
    ("Gonystylus bancanus", "II", "#4"),
    # Paubrasilia echinata kept in Appendix II with #10: CoP19 and CoP20.
    ("pernambuco", "II", "#10"),
    # Appendix III at the request of Russia: Commission Regulation (EU) No 1320/2014.
    ("Quercus mongolica", "III", "#5"),
    ("Fraxinus mandshurica", "III", "#5"),
    # Strombus gigas and Tridacnidae in Appendix II: Conchologists' list of CITES molluscs, 2003.
    ("Strombus gigas", "II", ""),
    ("Aliger gigas", "II", ""),
    ("giant clam", "II", ""),
    # Nautilidae: CoP17 Prop. 48.
    ("Nautilus pompilius", "II", ""),
    # Hard and black corals in Appendix II: NOAA coral list, June 2014.
    ("black coral", "II", ""),
    # Ivory and tortoiseshell in Appendix I: handbook of FIM and Pearle.
    ("elephant ivory", "I", ""),
    ("hawksbill", "I", ""),
    ("turtle shell", "I", ""),
    ("Eretmochelys imbricata", "I", ""),
    # From memory.
    ("Swietenia macrophylla", "II", ""),
    ("Cedrela odorata", "II", "#6"),
    ("Pterocarpus soyauxii", "II", "#17"),
    ("Pterocarpus santalinus", "II", "#7"),
    ("red sandalwood", "II", "#7"),
    ("Pericopsis elata", "II", "#17"),
    ("afrormosia", "II", "#17"),
    ("Bulnesia sarmientoi", "II", "#11"),
    ("Aniba rosaeodora", "II", "#12"),
    ("Odobenus rosmarus", "III", ""),
    ("Walrus tusk", "III", ""),
    ("hippopotamus", "II", ""),
    ("narwhal", "I or II", ""),
    ("palisander", "II", "#15"),
    ("jacaranda", "I", ""),
    ("grenadilla", "II", "#15"),
    ("mpingo", "II", "#15"),
    ("sonokeling", "II", "#15"),
    ("granadillo", "II", "#15"),
]


@pytest.mark.parametrize(("name", "appendix", "annotation"), LISTED)
def test_listed_names(name, appendix, annotation):
    for species, label in ((name, ""), ("", name), (name.upper(), "")):
        found = listing("timber", species, label)
        assert found.standing == "listed"
        assert (found.appendix, found.annotation) == (appendix, annotation)
        assert f"CITES Appendix {appendix}" in found.sentence


@pytest.mark.parametrize(
    "name",
    [
        *("Pterocarpus", "Pterocarpus indicus", "Diospyros crassiflora", "ebony", "padouk"),
        *("Quercus sp.", "ash", "doussie", "ovangkol", "yew", "red coral"),
        # Names of several woods.
        *("rosewood", "mahogany", "tulipwood", "cedar", "palo santo", "blackwood"),
    ],
)
def test_of_a_genus_or_a_name_of_which_some_are_listed_it_is_said_which(name):
    found = listing("timber", name)
    assert found.standing == "some listed"
    assert found.sentence.startswith("Some ")
    assert "CITES Appendix" in found.sentence


def test_madagascar_alone_has_listed_ebonies():
    """Diospyros spp., the populations of Madagascar: Appendix II, #5 (from memory)."""
    assert "the ebonies of Madagascar" in listing("timber", "Diospyros crassiflora").sentence


@pytest.mark.parametrize("stuff", ["other", "bone", "stone", "metal", "plastic"])
def test_a_listed_name_counts_whatever_it_is_filed_as(stuff):
    assert listing(stuff, "", "hawksbill tortoise shell").standing == "listed"


@pytest.mark.parametrize(
    ("stuff", "label"),
    [("shell", "tortoise"), ("other", "tortoise binding"), ("celluloid", "tortoiseshell")],
)
def test_tortoise_is_a_turtle_but_of_what_imitates_it(stuff, label):
    assert listing(stuff, "", label).standing == "listed"


@pytest.mark.parametrize(
    ("stuff", "species", "label"),
    [
        # From memory; oak and ash of Europe and America are not those that Russia listed.
        ("timber", "Picea abies", ""),
        ("timber", "Juglans nigra", "feathered walnut"),
        ("timber", "Acer pseudoplatanus", "keramin maple"),  # "ramin" only inside a word
        ("veneer", "Acer pseudoplatanus, dyed", ""),
        ("timber", "Liriodendron tulipifera", "tulipwood"),
        ("timber", "Quercus robur", "Bog oak"),
        ("timber", "T. plicata", "cedar top"),
        ("metal", "", "brass"),
        ("stone", "", ""),
        ("celluloid", "", ""),
        ("plastic", "", "ivoroid, mock tortoiseshell"),
        # The colour of an imitation (common practice, no source).
        ("celluloid", "", "tortoise binding"),
        ("plastic", "", "pickguard, Tortoise"),
    ],
)
def test_names_that_are_known_to_be_off_the_list(stuff, species, label):
    found = listing(stuff, species, label)
    assert found.standing == "not on the list"
    assert found.as_of == "CoP19, November 2022"
    if stuff in ("timber", "veneer"):
        assert found.sentence == "Not on the CITES list as of CoP19, November 2022 (from memory)."


@pytest.mark.parametrize(
    ("stuff", "species", "label"),
    [
        ("timber", "", "old board"),
        ("timber", "", "spruce top"),  # a label clears nothing
        ("timber", "not known", "from a wardrobe"),
        ("timber", "Acer? from a wardrobe", ""),
        ("timber", "perhaps walnut", ""),
        ("timber", "Swartzia", ""),
        ("timber", "Acer, Swartzia", ""),
        ("timber", "Acer or Swartzia", ""),
        ("timber", "Chloroxylon swietenia", "satinwood"),  # no Swietenia
        ("timber", "Entandrophragma cylindricum", ""),
        ("timber", "dyed", ""),
        ("shell", "", "white shell"),
        ("shell", "Haliotis iris", "paua"),
        ("shell", "Pinctada maxima", ""),
        ("shell", "Acer pseudoplatanus", ""),  # no animal is cleared by a plant's name
        ("horn", "Picea abies", ""),
        ("bone", " ", ""),
        ("bone", "Bos taurus", ""),
        ("horn", "Bubalus bubalis", ""),
        ("antler", "Cervus elaphus", ""),
        ("coral", "", ""),
        ("other", "", ""),
        ("other", "Acer", ""),
        ("bone", "", "mammoth ivory"),
        ("timber", "vegetable ivory", ""),
    ],
)
def test_what_nobody_can_tell_is_never_passed(stuff, species, label):
    found = listing(stuff, species, label)
    assert found.standing == "not known"
    assert found.sentence.startswith("Not known whether it needs papers: ")
    assert found.sentence.endswith(".")


def test_the_strictest_of_several_counts():
    found = listing("timber", "Dalbergia sp.", "Brazilian rosewood")
    assert found.appendix == "I"
    assert "rosewood (Dalbergia)" in found.sentence


def test_it_says_of_which_edition_it_is_and_who_decides():
    for species in ("Dalbergia nigra", "Picea abies", ""):
        found = listing("timber", species)
        assert "may have changed" in found.later
        assert "ask your permit authority" in found.later
        if species:
            assert "CoP19, November 2022" in found.sentence
    assert "CoP20, December 2025" in listing("timber", "pernambuco").sentence
    said = " ".join((module.__doc__ or "").split())
    assert "present appendices and the permit authorities of both countries decide" in said
