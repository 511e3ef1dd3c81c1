"""How the photographs on the rack lie on the parts of a brief."""

import re
from io import BytesIO

import pytest
from PIL import Image

from brief.errors import InputError
from brief.services import nouns
from brief.services.drawing.instrument_drawing import draw_instrument
from brief.services.drawing.placement import laid_parts
from tests.photo.rendered_wood import Board

RED, BLUE = (150, 90, 60), (60, 60, 70)


def scaled(shop, piece, mm):
    (shot,) = nouns.photographs.page(shop.desk, material_id=piece.id)
    change = nouns.photographs.change_model(scale_points="0,50 100,50", scale_mm=mm)
    nouns.photographs.change(shop.desk, shot.id, "*", change)


def give(shop, role, **fields):
    part = next(p for p in nouns.parts.page(shop.desk, brief_id=shop.brief.id) if p.role == role)
    return nouns.parts.change(shop.desk, part.id, "*", nouns.parts.change_model(**fields))


def laid(shop, part):
    parts = nouns.parts.page(shop.desk, brief_id=shop.brief.id)
    return laid_parts(shop.desk, shop.brief, parts, "bare")[part.id]


def picture(shop):
    parts = nouns.parts.page(shop.desk, brief_id=shop.brief.id)
    return draw_instrument(shop.desk, shop.brief, parts, prefix="x")


def test_a_photograph_without_a_scale_is_said_to_be_stretched(shop):
    top = give(shop, "top", material_id=shop.piece(RED).id)
    view = laid(shop, top)
    assert not view.scaled
    assert view.board is None
    assert view.sentence == (
        "Not at true size: the photograph has no scale, so it is stretched to the part."
    )
    # 48 × 32 pixels, their longer side up: 32 to 167 mm, so that 48 are 250 mm of the 480 mm; so
    # 48 to 480 mm, and the width follows.
    tile = re.search('id="x-top-board"[^>]* width="([^"]+)" height="([^"]+)"', picture(shop))
    assert tile.groups() == ("640", "480")


def test_with_a_scale_it_is_said_what_of_the_half_it_covers(shop):
    piece = shop.piece(RED)  # a picture of 48 × 32 pixels
    scaled(shop, piece, 120)
    top = give(shop, "top", material_id=piece.id)
    kind = shop.brief.kind
    view = laid(shop, top)
    # 120 × 80 mm, its longer side up; half a parlour guitar is 167 mm, its body 480 mm.
    assert kind == "parlour-steel-string"
    assert view.laying.turn == 90
    assert view.sentence == (
        "At true size: the photograph covers 80 mm of the 167 mm half and 120 mm of the 480 mm "
        "length; the rest repeats. At 0.4 pixels per millimetre it looks soft close up."
    )
    assert 'id="x-top-board"' in picture(shop)


@pytest.mark.parametrize(("angle_deg", "turned"), [(0, 90), (90, 0), (20, 90), (70, 0)])
def test_the_grain_runs_with_the_part_as_it_was_measured(shop, angle_deg, turned):
    """A square photograph: no side is the longer one, so that only its grain can tell."""
    board = Board(angle_deg=angle_deg, size=(400, 400), px_per_mm=4.0)
    with BytesIO() as file:
        Image.fromarray(board.photograph()).save(file, "PNG")
        piece = nouns.photographs.add_piece(shop.desk, "square.png", file.getvalue())
    for role in ("top", "neck", "sides"):
        part = give(shop, role, material_id=piece.id)
        if role != "neck":
            assert laid(shop, part).laying.turn == turned
    assert ("rotate(90)" in picture(shop)) == (turned == 90)


def test_grain_across_is_said_and_so_is_a_photograph_that_was_turned_for_it(shop):
    board = Board(angle_deg=90, size=(600, 400), px_per_mm=4.0)  # its grain up, its shape lying
    with BytesIO() as file:
        Image.fromarray(board.photograph()).save(file, "PNG")
        piece = nouns.photographs.add_piece(shop.desk, "across.png", file.getvalue())
    top = give(shop, "top", material_id=piece.id)
    assert laid(shop, top).laying.turn == 0
    assert laid(shop, top).sentence.endswith(
        "Its grain runs across the photograph; it is laid along the part."
    )
    give(shop, "top", laying={"centre": 0, "match": "book-right", "turn": 90})
    assert laid(shop, top).sentence.endswith("Its grain runs across this part; turn it.")


def test_a_large_photograph_covers_each_half_and_one_piece(shop):
    piece = shop.piece(RED)
    scaled(shop, piece, 600)
    top = give(shop, "top", material_id=piece.id)
    assert "covers each half to its edges." in laid(shop, top).sentence
    top = give(shop, "top", laying={"centre": 50, "match": "one", "turn": None})
    assert "covers the part to its edges." in laid(shop, top).sentence
    assert laid(shop, top).by_maker


def test_another_board_is_laid_as_usual_again_and_the_same_stays_as_it_was(shop):
    piece = shop.piece(RED, BLUE)
    laying = {"centre": 30.0, "match": "slip", "turn": 180}
    part = give(shop, "back", material_id=piece.id, laying=laying)
    assert part.laying == laying
    assert give(shop, "back", material_id=piece.id, finish="oil").laying == laying
    assert give(shop, "back", material_id=shop.material().id).laying is None


def test_a_joint_at_the_very_edge_is_refused_at_its_field(shop):
    with pytest.raises(InputError) as caught:
        give(shop, "top", laying={"centre": 99, "match": "book-right"})
    assert [fault.pointer for fault in caught.value.faults] == ["/laying/centre"]
    assert "keep the other side" in str(caught.value)
