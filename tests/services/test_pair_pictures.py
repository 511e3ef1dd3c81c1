"""A pairing as it would be seen: what is drawn, what is said beside it, and odd photographs."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from brief.colour import srgb_to_linear
from brief.colour.viewing.conditions import BENCH
from brief.errors import InputError
from brief.services import nouns, offcuts
from brief.services.drawing.pair_pictures import pair_picture, pair_pictures
from brief.services.pairing.pairings import PairingDraft
from brief.services.pairing.view_settings import Switches, shown_as
from brief.services.photos.timber_figure import timber_figure

WALNUT, STREAK = (92, 60, 44), (120, 84, 62)
OUTLINE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
    '<polygon points="10,10 80,15 70,90 20,70"/></svg>'
)


@pytest.fixture
def asked(desk, shop):
    """A line of shell in a piece."""

    def pairing(ground, **more):
        shell = shop.material("Lab 84 4 20", label="shell", stuff="shell")
        draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=shell.id, **more)
        return nouns.pairings.add(desk, draft)

    return pairing


@pytest.fixture
def scaled(desk):
    """Say how wide what a piece's first photograph shows is, in mm."""

    def given(piece, mm, **more):
        photograph = nouns.photographs.page(desk, material_id=piece.id)[0]
        change = nouns.photographs.change_model(scale_points="0,50 100,50", scale_mm=mm, **more)
        nouns.photographs.change(desk, photograph.id, "*", change)
        return piece

    return given


def pictures(desk, pairing, **switches):
    return pair_pictures(desk, pairing, shown_as(Switches(**switches), []), [])


def pixels(desk, pairing):
    drawn = pair_picture(desk, pairing, BENCH, close_up=True)
    return np.asarray(Image.open(BytesIO(drawn))).astype(float)


def test_what_it_takes_to_show_a_timber_to_scale_is_said(desk, shop, asked):
    (read,) = pictures(desk, asked(shop.material(label="old board")))
    assert "photograph old board bare, and put a scale on that, to see it" in read.words
    (shot,) = pictures(desk, asked(shop.piece(WALNUT, name="walnut.png")))
    assert "put a scale on the photograph of walnut to see it" in shot.words


def test_a_state_that_was_never_tested_is_not_claimed(desk, shop, asked, scaled):
    pairing = asked(scaled(shop.piece(WALNUT, name="walnut.png"), 100))
    assert " test: " not in pictures(desk, pairing)[0].words
    near, _ = pictures(desk, pairing, state="finished")
    assert near.words == "Close up: finished, in daylight. No finish test: walnut and shell."


@pytest.mark.parametrize("mm", [0.1, 4, 60, 10_000])
def test_any_scale_gives_a_picture_of_the_same_size(desk, shop, asked, scaled, mm):
    pairing = asked(scaled(shop.piece(WALNUT, STREAK), mm), line_mm=2)
    shown = pixels(desk, pairing)
    assert shown.shape == (480, 720, 3)
    assert (shown.mean(axis=(1, 2)) > 150).sum() == pytest.approx(24, abs=1)  # 12 pixels a mm


def test_an_outlined_board_with_a_scale_can_be_judged_and_shown(desk, shop, asked, scaled):
    piece = scaled(shop.piece(WALNUT, STREAK), 100, selections=[OUTLINE])
    pairing = asked(piece, line_mm=2)
    figure = timber_figure(desk, piece)
    assert str(figure.shown) == "xywh=percent:10,10,70,80"
    assert figure.mm_per_px * figure.picture.width == pytest.approx(70, rel=0.02)
    assert 0 <= figure.kept(20) <= figure.kept(0.2) <= 1
    assert nouns.pairings.show(desk, pairing).verdict is not None
    assert pixels(desk, pairing).shape == (480, 720, 3)


def test_what_lies_beside_an_outlined_board_is_no_figure(desk, shop, scaled):
    """A plain board, its right half in the picture a white card; the outline is a triangle."""
    piece = shop.piece(WALNUT, (250, 250, 250))
    outline = OUTLINE.replace("10,10 80,15 70,90 20,70", "2,2 90,2 2,90")
    scaled(piece, 100, selections=[outline])
    picture = np.asarray(timber_figure(desk, piece).picture)
    figure = timber_figure(desk, piece)
    triangle = figure.area.mask_in(figure.shown, *picture.shape[1::-1])
    assert 0.4 < triangle.mean() < 0.6
    outside = np.unique(picture[~triangle], axis=0)
    assert len(outside) == 1
    inside = srgb_to_linear(picture[triangle] / 255).mean(axis=0)
    np.testing.assert_allclose(srgb_to_linear(outside[0] / 255), inside, atol=0.005)


def test_the_picture_is_of_the_photograph_that_has_the_scale(desk, shop, asked, scaled):
    """Two photographs of one piece, alike in all but their light; only the second has a scale."""
    piece = shop.piece(WALNUT)
    second = shop.photograph(piece, STREAK, WALNUT)
    change = nouns.photographs.change_model(scale_points="0,50 100,50", scale_mm=60)
    nouns.photographs.change(desk, second.id, "*", change)
    assert timber_figure(desk, piece).image_sha256 == second.image_sha256 != piece.image_sha256
    streaked = pixels(desk, pairing := asked(piece, line_mm=2))
    assert streaked.std(axis=(0, 1)).max() > 5
    offcuts.remove(desk, nouns.photographs, second.id, "*")
    with pytest.raises(InputError, match="the photograph of plank needs a scale"):
        pixels(desk, pairing)
    scaled(piece, 60)
    assert np.abs(pixels(desk, pairing) - streaked).max() > 5  # of the plain one now
