"""What is found in a stock: the nearest exactly, pairs as pairings are judged, lifts."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from brief.colour.verdicts.judging import judge_pair
from brief.errors import InputError, NotFound
from brief.services import nouns
from brief.services.common.paging import Leaf
from brief.services.pages.wood.stock import stock_page
from brief.services.stock import looking
from brief.services.stock.boards import board_views, boards_page
from brief.services.stock.looking import lifts, nearest_boards, paired_views, pairing_with
from brief.services.stock.taking import take_board
from brief.store.desk import Store
from brief.store.records import Board
from tests.made_stock import add_boards, made_stock, wood_like

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from colour.difference import delta_E_CIE2000  # colour-science

LABS = wood_like(1500)


@pytest.fixture
def stock(shop, picture):
    return made_stock(shop.desk, picture((92, 64, 44)), LABS)


@pytest.mark.parametrize("target", [(38, 9, 15), (80, 2, 20), (55, -20, -30), (0, 0, 0)])
def test_the_nearest_are_those_that_another_library_finds_by_looking_at_all(
    shop, stock, target
) -> None:
    """Against CIEDE2000 of colour-science (BSD-3), a brute force over all boards."""
    found = nearest_boards(shop.desk, stock, "Lab {} {} {}".format(*target), 20)
    far = delta_E_CIE2000(LABS, np.array(target, dtype=float))
    order = np.argsort(far, kind="stable")[:20]
    assert [one.board.file for one in found] == [f"{place}.jpg" for place in order]
    np.testing.assert_allclose([one.distance for one in found], far[order], atol=1e-6)


def test_what_is_added_by_another_process_is_found(shop, stock, picture, home) -> None:
    """As another process would: over a store of its own, while this one has read the stock."""
    desk = shop.desk
    before = nearest_boards(desk, stock, "Lab 50 60 60", 1)[0]
    desk.session.commit()
    other = Store(home)
    with other.desk(writing=True) as theirs:
        add_boards(theirs, nouns.stocks.get(theirs, stock.id), picture(), np.array([[50, 60, 60]]))
    other.close()
    desk.session.refresh(stock)
    after = nearest_boards(desk, stock, "Lab 50 60 60", 1)[0]
    assert before.distance > 1 > after.distance


def paired_boards(desk, *asked):
    return paired_views(desk, pairing_with(desk, *asked))


def test_an_empty_stock_has_nothing_near(shop, picture) -> None:
    empty = made_stock(shop.desk, picture(), np.empty((0, 3)))
    piece = shop.material()
    assert nearest_boards(shop.desk, empty, "#5c402c", 20) == []
    assert paired_boards(shop.desk, empty, piece, 1.0, 20) == []
    assert lifts(shop.desk, empty, shop.brief, 5) == []


def test_a_colour_that_cannot_be_read_is_refused(shop, stock) -> None:
    with pytest.raises(InputError, match="brownish"):
        nearest_boards(shop.desk, stock, "brownish", 20)


def test_pairs_are_judged_as_pairings_are(shop, stock) -> None:
    piece = shop.material(reading="Lab 38 9 15")
    found = paired_boards(shop.desk, stock, piece, 1.0, 30)
    assert len(found) == 30
    for one in found[::10]:
        doubt = float(np.hypot(piece.uncertainty, one.board.colour.uncertainty))
        verdict = judge_pair(piece.lab, one.board.colour.lab, uncertainty=doubt, line_mm=1.0)
        assert one.reading == verdict.bench.reading == "reads"
    harmonies = [judge_pair(piece.lab, one.board.colour.lab).bench.harmony.total for one in found]
    assert harmonies == sorted(harmonies, reverse=True)


def test_where_no_line_is_sure_to_read_it_is_borderline(shop, picture) -> None:
    like = LABS[np.abs(LABS[:, 0] - 38) < 3]
    stock = made_stock(shop.desk, picture(), like, uncertainty=16.0)
    piece = shop.material(reading="Lab 38 9 15")
    found = paired_boards(shop.desk, stock, piece, 1.0, 10)
    assert {one.reading for one in found} == {"doubtful"}


def test_a_piece_without_a_colour_pairs_with_nothing(shop, stock) -> None:
    with pytest.raises(InputError, match="has no colour yet"):
        paired_boards(shop.desk, stock, shop.material(reading=""), 1.0, 5)


def test_what_lifts_a_brief_is_nearer_than_what_it_has_and_large_enough(shop, stock) -> None:
    desk = shop.desk
    swatch = shop.swatch(colour="Lab 52 11 22")
    far = shop.material(reading="Lab 30 9 15")
    lifted = shop.part(role="end graft", material_id=far.id, swatch_id=swatch.id)
    # Boards of 4 mm are too thin for a fretboard.
    shop.part(role="fretboard", material_id=far.id, swatch_id=swatch.id)
    open_part = shop.part(role="head veneer", swatch_id=swatch.id)
    exact = shop.material(reading="Lab 52 11 22")
    shop.part(role="bridge", material_id=exact.id, swatch_id=swatch.id)  # nothing is nearer
    found = lifts(desk, stock, shop.brief, 5)
    assert [one.part.id for one in found] == [open_part.id, lifted.id]
    (first, second) = found
    assert first.now is first.lift is None
    assert len(first.boards) == len(second.boards) == 5
    assert second.now is not None
    assert second.lift == pytest.approx(second.now - second.boards[0].distance)
    assert all(one.distance < second.now for one in second.boards)


def test_a_board_far_down_that_alone_suits_is_found_or_it_is_said(shop, stock, monkeypatch) -> None:
    desk = shop.desk
    swatch = shop.swatch(colour="Lab 30 9 15")
    shop.part(role="fretboard", swatch_id=swatch.id)  # too thick for boards of 4 mm
    assert lifts(desk, stock, shop.brief, 2) == []  # all were looked at
    far = nearest_boards(desk, stock, "Lab 30 9 15", 200)[-1].board
    desk.session.get_one(Board, far.id).thickness_mm = 9.0
    (found,) = lifts(desk, stock, shop.brief, 2)
    assert [one.board.id for one in found.boards] == [far.id]
    assert found.looked_at is None
    monkeypatch.setattr(looking, "MOST_LOOKED_AT", 150)
    (found,) = lifts(desk, stock, shop.brief, 2)
    assert (found.boards, found.looked_at) == ([], 150)
    said = stock_page(desk, shop.brief, {"stock": stock.id, "look": "brief"}, Leaf(1))[0].found
    assert said[0].more == "The 150 nearest were looked at; one further off may suit, too."


def test_a_board_becomes_a_piece_that_says_where_it_came_from(shop, stock) -> None:
    desk = shop.desk
    board = boards_page(desk, stock, limit=1)[0]
    piece = take_board(desk, stock, board.id)
    view = nouns.materials.show(desk, piece)
    assert view.label == board.label
    assert view.provenance.startswith("From the stock “Guild store” (the loft), 0.jpg")
    assert (view.length_mm, view.thickness_mm) == (560.0, 4.0)
    assert view.colour is not None
    np.testing.assert_allclose(view.colour.lab, LABS[0], atol=1e-6)
    assert view.colour.uncertainty == pytest.approx(board.uncertainty)
    assert view.measured == "from 1 photograph as shot"
    cells = np.array(piece.cells)
    mean = np.average(cells[:, :3], axis=0, weights=cells[:, 3])
    assert np.abs(mean - LABS[0]).max() < 1.5  # the figure is about the colour that was measured
    with pytest.raises(InputError, match="is on your rack already: “Board 0”"):
        take_board(desk, stock, board.id)


def test_a_board_of_another_stock_is_not_there(shop, stock, picture) -> None:
    other = made_stock(shop.desk, picture(), LABS[:1], name="Yard")
    board = boards_page(shop.desk, other, limit=1)[0]
    with pytest.raises(NotFound, match="The stock “Guild store” has no board"):
        take_board(shop.desk, stock, board.id)


def test_boards_come_a_page_at_a_time(shop, stock) -> None:
    first = boards_page(shop.desk, stock, limit=3)
    second = boards_page(shop.desk, stock, after=first[-1].id, limit=3)
    assert len({one.id for one in [*first, *second]}) == 6
    assert board_views(shop.desk, first)[0].texture.startswith("/images/")
