"""What a piece, a finish, a part and a laser call for, and nothing that they do not."""

import pytest

from brief.wood import REMINDER, cautions, finish_cautions, laser_cautions, part_cautions


def keys(found):
    return [one.key for one in found]


@pytest.mark.parametrize(
    ("stuff", "species", "label", "key"),
    [
        # Filling in the species took these away once.
        ("timber", "D. nigra", "Brazilian rosewood back", "sensitiser"),
        ("timber", "Diospyros crassiflora", "Gaboon ebony board", "sensitiser"),
        ("timber", "T. plicata", "Western red cedar top", "red-cedar"),
        ("veneer", "Acer", "Blue-dyed veneer", "dyed"),
        ("timber", "Machaerium scleroxylon", "Pau ferro board", "pau-ferro"),
        # By one of the two alone.
        ("timber", "Thuja plicata", "", "red-cedar"),
        ("timber", "", "WESTERN RED-CEDAR, no. 7", "red-cedar"),
        ("timber", "Milicia excelsa", "", "sensitiser"),
        # Chart in American Woodturner, June 1990: wenge and padauk S, purpleheart N, yew DT,
        # spalted maple S and P.
        ("timber", "Millettia laurentii", "", "sensitiser"),
        ("timber", "Pterocarpus soyauxii", "", "sensitiser"),
        ("timber", "", "purpleheart strips", "nausea"),
        ("timber", "Taxus baccata", "", "yew"),
        ("timber", "Acer rubrum", "spalted maple", "spalted"),
        # UK list, Hansard, 2 August 1978: teak, mansonia, grenadilla, African mahogany.
        ("timber", "Tectona grandis", "", "sensitiser"),
        ("timber", "", "mpingo", "sensitiser"),
        ("timber", "Khaya ivorensis", "", "sensitiser"),
        # From memory.
        *(
            ("timber", genus, "", "sensitiser-told")
            for genus in ("Cordia", "Tieghemella", "Gonystylus", "Entandrophragma")
        ),
        ("metal", "", "lead came", "lead"),
        ("stone", "", "malachite", "copper-stone"),
        ("stone", "", "azurite", "copper-stone"),
        ("other", "", "celluloid pick guard", "celluloid"),
        ("plastic", "", "PVC sheet", "plastic"),
        # A photograph is filed as timber until somebody says otherwise.
        ("timber", "", "abalone", "shell-dust"),
        ("timber", "", "bone blank", "bone-dust"),
        ("timber", "", "buffalo horn", "bone-dust"),
        ("timber", "", "brass sheet", "metal-filings"),
    ],
)
def test_label_and_species_and_stuff_are_all_looked_at(stuff, species, label, key):
    assert key in keys(cautions(stuff, species, label))


@pytest.mark.parametrize(
    ("stuff", "key"),
    [
        ("timber", "wood-dust"),
        ("shell", "shell-dust"),
        ("horn", "bone-dust"),
        ("antler", "raw-animal"),
        ("coral", "coral-dust"),
        ("metal", "hot-metal"),
        ("celluloid", "celluloid"),
        ("plastic", "plastic"),
        ("a stuff of a later version", "ask-supplier"),
    ],
)
def test_the_stuff_alone_calls_for_its_own(stuff, key):
    assert key in keys(cautions(stuff))


@pytest.mark.parametrize(
    ("species", "label", "key"),
    [
        ("Liriodendron tulipifera", "American tulipwood", "sensitiser"),
        ("Liriodendron tulipifera", "Tulipwood board", "sensitiser"),
        ("Cedrela odorata", "Spanish cedar neck", "red-cedar"),
        ("Juniperus virginiana", "Eastern red cedar", "red-cedar"),
        ("Cedrus libani", "Cedar of Lebanon", "red-cedar"),
        ("Cedrus libani", "cedar", "some-cedar"),
        ("", "cedar top", "red-cedar"),  # which one is not said; it is told to find out
        ("Acer pseudoplatanus", "yewtree lane maple", "yew"),  # inside a word
        ("Acer pseudoplatanus", "eyedyed", "dyed"),
    ],
)
def test_no_wood_is_taken_for_another(species, label, key):
    assert key not in keys(cautions("timber", species, label))


def test_a_cedar_that_nobody_named_is_to_be_found_out():
    assert keys(cautions("timber", "", "Cedar top")) == ["some-cedar", "wood-dust"]


def test_what_is_said_of_the_wood_comes_before_what_is_said_of_all():
    assert keys(cautions("timber", "Thuja plicata", "cedar"))[-1] == "wood-dust"


@pytest.mark.parametrize(
    ("finish", "wanted"),
    [
        ("French polish, pores filled", ["spirit"]),
        ("Oil, rubbed thin", ["oily-rags", "solvents"]),
        ("Boiled linseed oil", ["oily-rags", "solvents"]),
        ("Nitrocellulose, 8 coats", ["nitro", "solvents"]),
        ("satin lacquer", ["nitro", "isocyanates", "solvents"]),  # it can be either
        ("2K polyurethane", ["isocyanates", "solvents"]),
        ("two-part lacquer", ["isocyanates", "solvents", "nitro"]),
        ("water-based, 2-part", ["isocyanates", "unknown-finish", "solvents"]),
        ("CA glue finish", ["superglue"]),
        ("Epoxy pore fill, then oil", ["epoxy", "oily-rags", "solvents"]),
        ("Fumed with ammonia", ["harsh-stains"]),
        ("UV-cured", ["uv-resin"]),
        ("Beeswax", ["solvents"]),
        ("Bare", []),
        ("Level with the board, no lacquer", []),
        ("", []),
        ("Glimmerglaze no. 3", ["unknown-finish"]),
    ],
)
def test_a_finish_calls_for_what_is_in_it(finish, wanted):
    assert keys(finish_cautions(finish)) == wanted


def test_sides_are_bent_hot():
    assert keys(part_cautions("sides")) == ["bending"]
    assert keys(part_cautions("top")) == []


@pytest.mark.parametrize(
    ("piece", "key"),
    [
        (("shell", "", ""), "laser-shell"),
        (("bone", "", ""), "laser-bone"),
        (("horn", "", ""), "laser-bone"),
        (("metal", "CZ108", "brass"), "laser-metal"),
        (("celluloid", "", ""), "laser-celluloid"),
        (("plastic", "", "PVC"), "laser-plastic"),
        (("other", "", "celluloid"), "laser-celluloid"),
        (("timber", "", ""), "laser-wood"),
    ],
)
def test_a_laser_has_cautions_of_its_own(piece, key):
    found = keys(laser_cautions([piece]))
    assert found[0] == "laser"
    assert key in found


def test_a_laser_on_nothing_yet():
    assert keys(laser_cautions([])) == ["laser", "cutter"]


def test_it_defers_to_those_who_decide():
    for who in ("where you work", "safety data sheet", "permit authority", "doctor"):
        assert who in REMINDER
    assert "not advice" in REMINDER
