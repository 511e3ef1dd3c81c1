"""What a piece looks like wetted, finished or aged: sums of tested shifts, by hand."""

import pytest

from brief.colour.consensus import lab_shift
from brief.services import nouns, offcuts
from brief.services.rack.finish_tests import FinishTestDraft
from brief.services.rack.surfaces import Shift, Surface, surface_of, surfaces_of
from brief.store.records import Material

BARE, OILED, OLD = (150, 111, 74), (120, 80, 48), (140, 96, 52)


@pytest.fixture
def shot(desk, shop):
    """One more photograph of a piece, in a state."""

    def taken(piece, colour, state):
        photograph = shop.photograph(piece, colour)
        change = nouns.photographs.change_model(state=state)
        return nouns.photographs.change(desk, photograph.id, "*", change)

    return taken


@pytest.fixture
def tested(desk):
    def made(piece, before, after, name="oil"):
        draft = FinishTestDraft(
            material_id=piece.id, name=name, before_id=before.id, after_id=after.id
        )
        return nouns.finish_tests.add(desk, draft)

    return made


def first(desk, piece):
    return nouns.photographs.page(desk, material_id=piece.id)[0]


def d_lab(before, after):
    shift = lab_shift(before.lab, after.lab, before.uncertainty, after.uncertainty)
    return shift.dL, shift.da, shift.db


def test_an_untested_piece_is_bare_in_every_state(desk, shop):
    surface = surface_of(desk, shop.material("Lab 30 9 15"))
    assert [surface.state(one) for one in ("bare", "wetted", "finished", "aged")] == ["bare"] * 4
    assert surface.lab("aged") == (30, 9, 15)
    assert surface.doubt("aged") == pytest.approx(1)


def test_a_finish_adds_its_shift_and_its_doubt(desk, shop, shot, tested):
    piece = shop.piece(BARE)
    before, after = first(desk, piece), shot(piece, OILED, "finished")
    made = tested(piece, before, after)
    surface = surface_of(desk, piece)
    assert surface.state("wetted") == "bare"
    assert surface.state("aged") == "finished"  # the nearest before it
    assert surface.names == {"finished": "oil"}
    expected = [mine + more for mine, more in zip(piece.lab, d_lab(before, after), strict=True)]
    assert surface.lab("finished") == pytest.approx(expected)
    assert surface.doubt("finished") == pytest.approx(
        (piece.uncertainty**2 + made.shift["uncertainty"] ** 2) ** 0.5
    )


def test_what_came_after_a_finish_counts_from_it(desk, shop, shot, tested):
    piece = shop.piece(BARE)
    bare, oiled = first(desk, piece), shot(piece, OILED, "finished")
    old = shot(piece, OLD, "aged")
    tested(piece, oiled, old, "years")  # made first, and yet worked out last
    tested(piece, bare, oiled)
    finish, years = d_lab(bare, oiled), d_lab(oiled, old)
    expected = [sum(three) for three in zip(piece.lab, finish, years, strict=True)]
    assert surface_of(desk, piece).lab("aged") == pytest.approx(expected)


def test_the_newest_test_of_a_state_counts(desk, shop, shot, tested):
    piece = shop.piece(BARE)
    bare = first(desk, piece)
    tested(piece, bare, shot(piece, OILED, "finished"), "oil")
    newest = tested(piece, bare, shot(piece, OLD, "finished"), "shellac")
    assert surface_of(desk, piece).names == {"finished": "shellac"}
    offcuts.remove(desk, nouns.finish_tests, newest.id, "*")
    assert surface_of(desk, piece).names == {"finished": "oil"}


def test_several_pieces_are_told_apart(desk, shop, shot, tested):
    one, other = shop.piece(BARE), shop.piece(OLD)
    tested(one, first(desk, one), shot(one, OILED, "wetted"))
    found = surfaces_of(desk, [one, other])
    assert set(found) == {one.id, other.id}
    assert list(found[one.id].shifts) == ["wetted"]
    assert found[other.id].shifts == {}
    assert surfaces_of(desk, []) == {}


def test_no_state_is_darker_than_black_or_lighter_than_white():
    board = Material(label="ebony", lab=[5, 1, 1], uncertainty=3.0)
    for change, lightness in ((-9.0, 0.0), (99.0, 100.0)):
        surface = Surface(board, {"finished": Shift((change, 0.5, 0.5), 4.0)})
        assert surface.lab("finished") == (lightness, 1.5, 1.5)
        assert surface.doubt("finished") == pytest.approx(5.0)  # 3-4-5


def test_shifts_add_up_and_their_doubts_in_squares():
    assert Shift((1.0, 2.0, -3.0), 3.0).after(Shift((4.0, 0.0, 1.0), 4.0)) == Shift(
        (5.0, 2.0, -2.0), 5.0
    )
