"""The outline of a thing photographed on a background: found to a part of a pixel."""

import numpy as np
import pytest
from PIL import Image, ImageDraw
from shapely import LineString, hausdorff_distance

from brief.errors import InputError
from brief.instrument import preset
from brief.instrument.outline.outlines import body_outline
from brief.instrument.tracing.traced import trace
from brief.photo.outline.contour import find_contour

PARLOUR = preset("parlour-steel-string")
PALE, DARK = (206, 178, 128), (58, 66, 88)
WIDE, HIGH, MM = 760, 960, 0.6  # pixels of the picture, and millimetres to each


def mould(ground=DARK, wood=PALE, frame=False, noise=4.0, falloff=0.4, turn=0.12, shadow=0.0):
    """A mould, or the opening of one, on a sheet; lit from one side, with a camera's noise.

    shadow : how much darker the sheet is up to 6 mm beside it.

    Drawn three times as large and shrunk, so that its edge lies to a part of a pixel.
    """
    fine, run = 3, np.array(body_outline(PARLOUR)) - [0, PARLOUR.body_mm / 2]
    across = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    placed = run @ across.T / MM + [WIDE / 2, HIGH / 2]
    mask = Image.new("L", (WIDE * fine, HIGH * fine), 0)
    drawn = ImageDraw.Draw(mask)
    if frame:
        drawn.rectangle((120, 90, WIDE * fine - 120, HIGH * fine - 90), fill=255)
    # Pillow's pixel (0, 0) is drawn at its middle.
    drawn.polygon([tuple(point) for point in placed * fine - 0.5], fill=0 if frame else 255)
    share = np.asarray(mask.resize((WIDE, HIGH), Image.Resampling.BOX))[..., None] / 255
    shade = 1 - shadow * np.roll(share, (10, 10), axis=(0, 1))
    shot = np.array(ground) * shade
    shot = shot + (np.array(wood, dtype=float) - shot) * share
    shot *= (1 - falloff / 2 + falloff * np.linspace(0, 1, WIDE))[None, :, None]
    shot += np.random.default_rng(7).normal(0, noise, shot.shape)
    return np.clip(shot, 0, 255).astype(np.uint8), placed


@pytest.mark.parametrize("wood", [PALE, (24, 22, 20)], ids=["pale on dark", "dark on pale"])
def test_a_preset_comes_back_within_half_a_millimetre(wood):
    """Photographed at 0.6 mm to the pixel; by the Hausdorff distance of shapely."""
    shot, placed = mould(DARK if wood == PALE else (214, 210, 200), wood)
    found = find_contour(shot)
    points = found.points / 100 * [WIDE, HIGH] * MM
    made = trace(points, waver_mm=0.1 * MM)
    truth = LineString(placed * MM)
    assert hausdorff_distance(LineString(made.laid_back()), truth) < 0.5
    assert made.body_mm == pytest.approx(480, abs=0.5)
    assert made.off_mm < 0.3
    assert found.contrast > 20


def test_a_shadow_beside_a_wooden_mould_does_not_count():
    """On white paper, a third darker where the mould keeps the light off."""
    shot, placed = mould((232, 231, 226), shadow=0.35)
    points = find_contour(shot).points / 100 * [WIDE, HIGH] * MM
    made = trace(points, waver_mm=0.1 * MM)
    assert hausdorff_distance(LineString(made.laid_back()), LineString(placed * MM)) < 0.7


def test_the_opening_of_a_frame_is_found_by_a_tap():
    shot, placed = mould(frame=True, turn=0.0)
    outer = find_contour(shot).points
    assert np.ptp(outer[:, 0]) > 80  # the frame itself
    found = find_contour(shot, (50, 50)).points / 100 * [WIDE, HIGH] * MM
    assert hausdorff_distance(LineString(found), LineString(placed * MM)) < 1
    with pytest.raises(InputError, match="lies on the background"):
        find_contour(shot, (2, 50))


def test_screws_and_holes_in_it_do_no_harm():
    shot, placed = mould()
    middle = placed.mean(axis=0).astype(int)
    shot[middle[1] - 30 : middle[1] + 30, middle[0] - 30 : middle[0] + 30] = DARK
    shot[20:32, 20:32] = PALE
    found = find_contour(shot).points / 100 * [WIDE, HIGH] * MM
    assert hausdorff_distance(LineString(found), LineString(placed * MM)) < 1


@pytest.mark.parametrize(
    ("shot", "said"),
    [
        (np.full((300, 300, 3), 120, dtype=np.uint8), "too little contrast"),
        (mould()[0][:600], "runs out of the picture"),
    ],
    ids=["a bare sheet", "cut off"],
)
def test_what_has_no_outline_is_refused(shot, said):
    with pytest.raises(InputError, match=said):
        find_contour(shot)


def test_a_speck_is_too_small():
    shot = np.full((300, 300, 3), DARK, dtype=np.uint8)
    shot[150:160, 150:160] = PALE
    with pytest.raises(InputError, match="too small to be a body"):
        find_contour(shot)


def test_a_few_spots_of_which_all_are_as_far_off_the_background_have_too_little_contrast():
    """They differ by rounding alone, and no level parts that."""
    light = np.array([[1, 0, 1, 1], [1, 0, 0, 0], [0, 1, 0, 0], [0, 1, 1, 1]])
    shot = np.repeat((5 + 245 * light)[..., None], 3, axis=2).astype(np.uint8)
    with pytest.raises(InputError, match="too little contrast"):
        find_contour(shot)


def test_a_stick_is_too_thin():
    shot = np.full((200, 200, 3), DARK, dtype=np.uint8)
    shot[20:180, 97:103] = PALE
    with pytest.raises(InputError, match="too thin to be a body"):
        find_contour(shot)
