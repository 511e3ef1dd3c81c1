"""Which parts a material is usually used for: common practice, no source."""

import pytest

from brief.wood import is_usual


@pytest.mark.parametrize(
    ("role", "stuff", "species", "label"),
    [
        ("top", "timber", "Picea sitchensis", ""),
        ("top", "timber", "", "cedar top"),
        ("neck", "timber", "Cedrela odorata", "Spanish cedar"),
        ("neck", "timber", "", "cedar neck"),
        ("sides", "timber", "Cupressus sempervirens", "cypress"),  # of a flamenco guitar
        ("fretboard", "timber", "Diospyros", ""),
        ("binding", "timber", "Acer", ""),
        *((role, "timber", "Diospyros ebenum", "") for role in ("nut", "saddle", "tuners")),
        ("tuners", "timber", "", "boxwood pegs"),
        ("nut", "horn", "", ""),
        ("inlay", "shell", "", ""),
        ("binding", "celluloid", "", ""),
        ("heel cap", "stone", "", ""),  # no kind of instrument has it: of anything
    ],
)
def test_what_is_usual(role, stuff, species, label):
    assert is_usual(role, stuff, species, label)


@pytest.mark.parametrize(
    ("role", "stuff", "species", "label"),
    [
        *((role, "timber", "Picea abies", "") for role in ("neck", "binding", "fretboard", "nut")),
        ("neck", "timber", "", "Spruce top"),
        ("binding", "timber", "Thuja plicata", "Western red cedar"),
        ("neck", "timber", "Thuja plicata, spalted", "cedar neck"),
        *((role, "shell", "", "") for role in ("neck", "top", "purfling", "binding")),
        *((role, "metal", "", "") for role in ("top", "neck", "nut")),
        *((role, "timber", "", "walnut") for role in ("nut", "saddle", "tuners")),
        *((role, "timber", "Prunus avium", "") for role in ("nut", "saddle", "tuners")),
        ("nut", "timber", "", "offcut, no. 3"),
        ("nut", "veneer", "Diospyros ebenum", ""),
        ("neck", "veneer", "", ""),
        ("bridge", "timber", "Liriodendron tulipifera", ""),
    ],
)
def test_what_is_not(role, stuff, species, label):
    assert not is_usual(role, stuff, species, label)
