"""What is measured of a picture: outlines, less what lies on them, and what shows the piece."""

import numpy as np
import pytest
from PIL import Image

from brief.errors import InputError
from brief.photo import Area, Region, Selection, card_surround, chart_surround, measure_patch
from brief.photo.outline.polygon import filled

SMALL = ((10, 10), (30, 10), (30, 30), (10, 30))
TRIANGLE = Selection(((20, 10), (70, 30), (60, 90), (30, 80)), (((40, 40), (50, 40), (45, 55)),))


def test_several_samples_are_looked_at_together():
    one, other = Selection(Region(0, 0, 50, 50)), Selection(SMALL)
    joined = Area((one, other)).mask(100, 100)
    np.testing.assert_array_equal(joined, one.mask(100, 100) | other.mask(100, 100))
    np.testing.assert_array_equal(Area((other,)).mask(64, 48), other.mask(64, 48))


def test_the_mask_of_a_part_is_the_mask_cropped_to_it():
    whole = TRIANGLE.mask(200, 100)
    box = TRIANGLE.bounds.box(200, 100)
    cropped = whole[box[1] : box[3], box[0] : box[2]]
    np.testing.assert_array_equal(Area((TRIANGLE,)).mask_in(TRIANGLE.bounds, 100, 80), cropped)


def test_what_is_left_out_is_left_out_of_every_outline():
    area = Area((TRIANGLE, Selection(SMALL)), (((5, 5), (45, 5), (45, 45), (5, 45)),))
    mask = area.mask(100, 100)
    assert not mask[5:45, 5:45].any()
    assert mask[60, 50]
    assert Area((), area.without).mask(100, 100).sum() == 100 * 100 - 40 * 40


def test_nothing_left_is_refused():
    with pytest.raises(InputError, match="without the chart or card"):
        Area((Selection(SMALL),), (((0, 0), (50, 0), (50, 50), (0, 50)),)).mask(100, 100)


def test_the_clear_rectangle_holds_nothing_else():
    """A card over the right third of an upright board: what is left of it is two thirds."""
    card = ((66, 20), (120, 20), (120, 60), (66, 60))
    clear = Area((), (card,)).clear((900, 600))
    assert (clear.x, clear.y, clear.h) == (0, 0, 100)
    assert clear.w == pytest.approx(66, abs=5)
    tilted = Area((Selection(((20, 10), (90, 30), (80, 80), (10, 60))),))
    box = tilted.clear((900, 600)).box(900, 600)
    assert tilted.mask(900, 600)[box[1] : box[3], box[0] : box[2]].mean() > 0.99
    assert Area((Selection(Region(12.5, 20, 50, 40)),)).clear((800, 600)).w == pytest.approx(
        50, abs=0.5
    )


def test_what_lies_on_the_board_is_not_measured():
    shot = Image.new("RGB", (200, 100), (120, 70, 30))
    shot.paste((40, 90, 160), (20, 20, 60, 60))
    plain = measure_patch(Image.new("RGB", (200, 100), (120, 70, 30)))
    card = ((8, 15), (32, 15), (32, 65), (8, 65))
    assert measure_patch(shot, without=[card]).lab == pytest.approx(plain.lab, abs=0.01)
    assert measure_patch(shot, without=[card]).as_shot == pytest.approx(plain.lab, abs=0.01)
    assert abs(measure_patch(shot).lab[2] - plain.lab[2]) > 1


def test_a_chart_is_left_out_with_its_frame_however_it_is_turned():
    """Patches reach 0.44 of the pitch beyond the outer middles; what is left out 0.6 more."""
    turned = ((70, 20), (70, 60), (40, 60), (40, 20))  # the first patch at the top right
    ring = np.array(chart_surround(turned))
    pitch_down, pitch_across = 40 / 5.88, 30 / 3.88
    assert ring[:, 0].min() == pytest.approx(40 - 0.6 * pitch_across)
    assert ring[:, 0].max() == pytest.approx(70 + 0.6 * pitch_across)
    assert ring[:, 1].min() == pytest.approx(20 - 0.6 * pitch_down)
    assert ring[:, 1].max() == pytest.approx(60 + 0.6 * pitch_down)


def test_a_card_is_followed_to_its_edges_and_no_further():
    levels = np.full((200, 300, 3), (120, 80, 45), np.uint8)
    card = ((40, 20), (70, 30), (60, 75), (30, 65))
    inside = filled(card, 300, 200)
    levels[inside] = (225, 224, 220)
    found = filled(card_surround(Image.fromarray(levels), Region(45, 40, 10, 15)), 300, 200)
    assert not (inside & ~found).any()
    assert (found & ~inside).sum() < 0.45 * inside.sum()


def test_paper_on_a_board_as_pale_as_paper_is_what_was_drawn():
    pale = Image.new("RGB", (300, 200), (230, 228, 222))
    ring = np.array(card_surround(pale, Region(40, 40, 20, 20)))
    assert ring.min() >= 35
    assert ring.max() <= 65
