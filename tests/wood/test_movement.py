"""How far woods move, against the handbook's tables, examples and their own identity."""

from datetime import date

import pytest

from brief.wood.moisture import equilibrium
from brief.wood.movement import (
    BOARDS_DIFFER,
    STRAIGHT,
    Moves,
    _table,
    band,
    change,
    change_mm,
    coefficient,
    moves,
    table,
)
from brief.wood.table import table as materials

WOODS = {one.name: one for one in table()}
TABULATED = {name: one for name, one in WOODS.items() if not one.derived}
# Rows of Table 13-5 for which one shrinkage does not exist: imports, by other tables, and what is
# sold as one wood and is several.
WITHOUT_SHRINKAGE = {
    "red oak (commercial)",
    "white oak (commercial)",
    "true mahogany",
    "African mahogany",
    "Spanish cedar",
}


@pytest.mark.parametrize("wood", TABULATED.values(), ids=lambda wood: wood.name)
def test_the_table_agrees_with_its_own_shrinkages(wood) -> None:
    """Wood Handbook, FPL-GTR-190 (2010): its Table 13-5 follows of its Table 4-3."""
    if wood.shrinkage is None:
        assert wood.name in WITHOUT_SHRINKAGE
        return
    found = [round(coefficient(one, wood.saturation), 5) for one in wood.shrinkage]
    assert found == [wood.radial, wood.tangential]


def test_most_of_the_table_can_be_checked_so() -> None:
    assert len(TABULATED) - len(WITHOUT_SHRINKAGE) >= 20


@pytest.mark.parametrize("wood", WOODS.values(), ids=lambda wood: wood.name)
def test_every_row_is_whole(wood) -> None:
    _, alike, sources = _table()
    assert wood.source
    assert set(wood.source) <= set(sources)
    assert date(2026, 11, 1) <= wood.checked <= date.today()
    assert wood.of in {row.name for row in materials().named}
    radial, tangential = wood.coefficients()
    assert 0.0005 < radial < tangential < 0.006
    assert (wood.radial is None) == (wood.tangential is None)
    # Its own names tell it apart among the woods of its row.
    others = [one for one in table() if one.of == wood.of and one is not wood]
    if others:
        assert wood.latin or wood.names
    assert alike <= {one.of for one in table()}


def test_every_name_leads_to_its_wood() -> None:
    for wood in table():
        for name in (*wood.latin, *wood.names):
            found = moves("timber", name, "")
            assert found is not None, name
            assert wood in found.woods, name


def test_worked_examples() -> None:
    # Flatsawn red alder, 8 in, 6 % of moisture; white fir, 232 mm, 8 to 11 % (Wood Handbook, ch.
    # 13; the second from memory).
    assert change_mm(8, 6, 12, 0.0026) == pytest.approx(0.1248)
    assert change_mm(232, 8, 11, 0.00245) == pytest.approx(1.705, abs=5e-4)


def test_a_quartersawn_top_from_45_to_25_percent() -> None:
    """Worked by hand: Sitka spruce, 400 mm, 21 °C; beyond 6 % the form for the whole range."""
    before, after = equilibrium(45, 21), equilibrium(25, 21)
    assert (round(before, 2), round(after, 2)) == (8.46, 5.36)
    spruce = moves("timber", "Picea sitchensis", "", "quartersawn")
    assert spruce is not None
    assert change(400, before, after, spruce).likely == pytest.approx(-1.84, abs=0.005)
    # The form for the whole range as it is printed, with the shrinkage of Table 4-3.
    printed = 400 * (after - before) / (30 * 100 / 4.3 - 30 + before)
    assert change(400, before, after, spruce).likely == pytest.approx(printed, rel=0.005)


def test_the_two_forms_meet_at_their_limits() -> None:
    for limit in STRAIGHT:
        inside, beyond = (change_mm(400, 10, limit + by, 0.00263) for by in (0, 1e-6))
        assert inside == pytest.approx(beyond, rel=0.005)
        inside, beyond = (change_mm(400, 10, limit - by, 0.00263) for by in (0, 1e-6))
        assert inside == pytest.approx(beyond, rel=0.005)


def test_there_and_back_again() -> None:
    gone = change_mm(400, 12, 4, 0.00263)
    assert change_mm(400 + gone, 4, 12, 0.00263) == pytest.approx(-gone, rel=0.02)


@pytest.mark.parametrize(
    ("species", "label", "named"),
    [
        ("Picea sitchensis", "", ["Sitka spruce"]),
        ("P. abies", "", ["European spruce"]),
        ("", "Sitka top, no. 3", ["Sitka spruce"]),
        ("Thuja plicata", "Cedar top", ["western red cedar"]),
        ("Juglans nigra", "Feathered walnut", ["black walnut"]),
        ("Acer pseudoplatanus, dyed", "Verdigris veneer", ["European maple"]),
        ("Quercus sp., from peat", "Bog oak", ["oak"]),
        ("Swietenia macrophylla", "mahogany", ["true mahogany"]),
        # What no name tells apart is any of them.
        (
            "Picea",
            "",
            ["Sitka spruce", "Engelmann spruce", "red or white spruce", "European spruce"],
        ),
        # What is another wood of the same row, or of a name that several have, is not guessed at.
        ("Dalbergia retusa", "cocobolo", None),
        ("", "Eastern red cedar", None),
        ("", "mahogany", None),
        ("Carpinus betulus", "hornbeam", None),
        ("Pyrus communis", "pear", None),
        ("", "a board from the attic", None),
    ],
)
def test_which_wood_a_piece_is(species: str, label: str, named) -> None:
    found = moves("timber", species, label)
    assert (found and [one.name for one in found.woods]) == named


def test_what_is_no_wood_has_no_movement() -> None:
    assert moves("metal", "", "Brass, walnut coloured") is None
    assert moves("shell", "Pinctada maxima", "") is None


def test_the_cut_says_how_far() -> None:
    spruce = {
        cut: moves("timber", "Picea sitchensis", "", cut)
        for cut in ("quartersawn", "flatsawn", "not said")
    }
    assert spruce["quartersawn"].likely == 0.00148
    assert spruce["flatsawn"].likely == 0.00263
    assert (spruce["not said"].least, spruce["not said"].most) == (0.00148, 0.00263)


def test_boards_differ() -> None:
    found = change(100, 8, 12, Moves((), 0.002, 0.003))
    assert found.likely == pytest.approx(1.0)
    assert found.least == pytest.approx(0.8 * (1 - BOARDS_DIFFER))
    assert found.most == pytest.approx(1.2 * (1 + BOARDS_DIFFER))


def test_bands_of_a_plate_agree_with_what_makers_say() -> None:
    """A quartersawn spruce top made at 45 %: fine at 40, not left at 35, cracks near 20 % (common
    practice, no source)."""
    made = equilibrium(45, 20)
    found = {
        humidity: band(change_mm(1, made, equilibrium(humidity, 20), 0.00148))
        for humidity in (40, 50, 33, 20)
    }
    assert found == {40: "small", 50: "small", 33: "watch", 20: "too much"}


def test_usual_tops_and_backs_are_known() -> None:
    usual = ["Picea abies", "Thuja plicata", "Juglans nigra", "Acer pseudoplatanus", "Acacia koa"]
    for species in [*usual, "Dalbergia latifolia", "Swietenia macrophylla"]:
        assert moves("timber", species, ""), species
