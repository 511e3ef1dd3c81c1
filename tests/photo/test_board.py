"""The outline of a board, proposed: on benches, with charts and paper, and where there is none."""

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from brief.colour import delta_e_2000
from brief.photo import chart_surround, measure_patch, propose_board
from brief.photo.outline.board import _outlined
from brief.photo.outline.parting import find_parts, survey

from .rendered_board import CHART, INSIDE, PAPER, SIZE, STRIP, THROUGH, over, picture, scene


def overlap(found, wood, out) -> float:
    mask = found.mask(*SIZE) & ~out
    return (mask & wood).sum() / (mask | wood).sum()


SCENES = {
    "inside": ("walnut", "spruce", INSIDE, {}),
    "inside, with a chart": ("cedar", "black-wood", INSIDE, {"chart": CHART}),
    "inside, with paper": ("sapele", "sycamore", INSIDE, {"paper": PAPER}),
    "pale on dark": ("bone", "bog-oak", INSIDE, {}),
    "through the picture": ("walnut", "spruce", THROUGH, {"chart": CHART}),
    "a strip of bench": ("cedar", "bog-oak", STRIP, {}),
    "a strip of bench, and paper": ("walnut", "spruce", STRIP, {"paper": PAPER}),
}


@pytest.mark.parametrize(("board", "bench", "ring", "more"), SCENES.values(), ids=SCENES.keys())
def test_the_board_is_outlined_and_its_colour_is_that_of_the_wood(board, bench, ring, more):
    shot, wood = scene(board, bench, ring, **more)
    without = [chart_surround(more["chart"])] if "chart" in more else []
    out = over(without[0]) > 0 if without else np.zeros_like(wood)
    found = propose_board(shot, without)
    assert found is not None
    assert overlap(found, wood, out) > 0.85
    pixels = np.asarray(shot)[wood]
    true = measure_patch(Image.fromarray(pixels[None])).lab
    off = delta_e_2000(measure_patch(shot, [found], without).lab, true)
    whole = delta_e_2000(measure_patch(shot).lab, true)
    assert off < 1.0
    assert off < whole / 2


@pytest.mark.parametrize("name", ["walnut", "cedar", "spruce", "sapele", "sycamore", "bog-oak"])
@pytest.mark.parametrize("fall", [0.0, 0.25])
def test_a_board_that_fills_the_picture_is_left_whole(name, fall):
    """Also where the light falls off, which parts a picture by colour, but has no edge."""
    shot, _ = scene(name, name, STRIP, fall=fall)
    level = np.linspace(1 + fall, 1 - fall, SIZE[0])[None, :, None]
    plain = np.clip(np.asarray(picture(name)) * level, 0, 255).astype(np.uint8)
    assert propose_board(Image.fromarray(plain)) is None
    assert shot.size == SIZE


def test_paper_on_a_board_that_fills_the_picture_becomes_no_board():
    shot, wood = scene(
        "walnut", "walnut", ((-5, -5), (105, -5), (105, 105), (-5, 105)), paper=PAPER
    )
    found = propose_board(shot)
    assert found is not None
    mask = found.mask(*SIZE)
    assert (mask & wood).sum() / mask.sum() > 0.99
    assert overlap(found, wood, np.zeros_like(wood)) > 0.85


def test_of_two_halves_neither_is_the_board():
    halves = Image.new("RGB", SIZE, (92, 64, 44))
    halves.paste((170, 130, 90), (0, 0, SIZE[0] // 2, SIZE[1]))
    assert propose_board(halves) is None


def test_nothing_is_proposed_where_there_is_nothing_but_a_chart():
    everywhere = ((-10, -10), (110, -10), (110, 110), (-10, 110))
    assert propose_board(picture("walnut"), [everywhere]) is None


@pytest.mark.parametrize("size", [(1, 1), (4, 3), (600, 2), (2, 600)])
def test_odd_pictures_have_no_board(size):
    assert propose_board(Image.new("RGB", size, (92, 64, 44))) is None


def test_the_same_picture_has_the_same_outline():
    shot, _ = scene("walnut", "spruce", INSIDE)
    assert str(propose_board(shot)) == str(propose_board(shot.copy()))


def test_how_well_two_colours_tell_two_sides_apart():
    """Mutual information of side and colour over that of the side with itself: 1 where a colour
    is on one side alone (Shannon 1948).
    """
    shot = Image.new("RGB", (300, 200), (60, 60, 60))
    shot.paste((180, 120, 60), (80, 50, 220, 150))
    spots = survey(shot)
    part = next(find_parts(spots, np.ones(spots.shape[:2], dtype=np.bool_)))
    assert part.told > 0.8
    assert part.stepped == 1
    inside = np.zeros((200, 300), dtype=bool)
    inside[50:150, 80:220] = True
    small = np.asarray(Image.fromarray(inside).resize(part.inside.shape[::-1]))
    assert (part.inside & small).sum() / (part.inside | small).sum() > 0.8
    assert not (part.inside & ~small).any()


def test_an_island_beside_the_board_leaves_its_holes_as_holes():
    solid = np.zeros((80, 120), dtype=bool)
    solid[10:70, 10:100] = True
    solid[30:50, 40:60] = False  # a card on the board
    solid[5:12, 108:116] = True
    outline = _outlined(solid)
    assert len(outline.holes) == 1
    assert not outline.mask(120, 80)[40, 50]
    assert not outline.mask(120, 80)[8, 112]


@pytest.mark.slow
def test_a_ragged_board_has_a_sound_outline_or_none():
    random = np.random.default_rng(7)
    found = [
        _outlined(ndimage.gaussian_filter(random.normal(size=(48, 64)), 1.5) > cut)
        for cut in np.linspace(-0.1, 0.1, 400)
    ]
    assert sum(one is not None for one in found) > 300
