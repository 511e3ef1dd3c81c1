"""A board as squares along its grain: turned as it was photographed, its places led back."""

import math

import numpy as np
import pytest
import shapely

from brief.photo import Area, Region, Selection
from brief.photo.outline.board_grid import board_grid

SIZE_MM = (800.0, 600.0)


def turned(points_mm, degrees):
    """Points about the picture's middle, anticlockwise as one sees it, in percent."""
    turn = math.radians(degrees)
    ring = []
    for x, y in points_mm:
        across = 400 + x * math.cos(turn) + y * math.sin(turn)
        down = 300 - x * math.sin(turn) + y * math.cos(turn)
        ring.append((across / 800 * 100, down / 600 * 100))
    return tuple(ring)


PLANK = ((-250, -60), (250, -60), (250, 60), (-250, 60))


@pytest.mark.parametrize("degrees", [0, 12, 37, 90, 118, 171])
@pytest.mark.parametrize("grain_off", [0, 3.5, -4])
def test_a_plank_has_its_sizes_however_it_was_photographed(degrees, grain_off):
    """500 × 120 mm; a grain that runs off by a few degrees is still along its edge."""
    area = Area((Selection(turned(PLANK, degrees)),))
    grid = board_grid(area, SIZE_MM, (degrees + grain_off) % 180)
    assert grid.along == "edge"
    assert grid.sides_mm == pytest.approx((500, 120), abs=2)
    assert grid.inside.mean() > 0.98
    assert -45 <= grid.turn_deg < 135


def test_its_places_lead_back_to_the_picture():
    """Every square that is wood is within the outline as shapely has it, and no wood is lost."""
    ring = turned(((-250, -60), (180, -90), (250, 60), (-200, 80)), 25)
    hole = turned(((0, -20), (40, -20), (40, 20), (0, 20)), 25)
    grid = board_grid(Area((Selection(ring, (hole,)),)), SIZE_MM, 25.0)
    rows, columns = np.nonzero(grid.inside)
    seen = grid.seen(np.column_stack([columns + 0.5, rows + 0.5]) * grid.cell_mm)
    wood = shapely.Polygon([(x * 8, y * 6) for x, y in ring], [[(x * 8, y * 6) for x, y in hole]])
    assert shapely.contains_xy(wood.buffer(1.0), *seen.T).all()
    assert grid.inside.sum() * grid.cell_mm**2 == pytest.approx(wood.area, rel=0.01)


def test_grain_askew_is_followed_and_no_grain_leaves_the_longer_side():
    area = Area((Selection(turned(PLANK, 10)),))
    askew = board_grid(area, SIZE_MM, 40.0)
    assert (askew.along, askew.turn_deg) == ("grain", 40.0)
    none = board_grid(area, SIZE_MM, None)
    assert none.along == "longer side"
    assert none.turn_deg == pytest.approx(10, abs=0.5)
    upright = board_grid(Area((Selection(turned(PLANK, 90)),)), SIZE_MM, None)
    assert upright.turn_deg == pytest.approx(90, abs=0.5)


def test_a_chart_on_the_board_is_no_wood():
    chart = ((40, 40), (60, 40), (60, 60), (40, 60))
    whole = Area((Selection(Region(10, 10, 80, 80)),))
    less = board_grid(Area(whole.selections, (chart,)), SIZE_MM, 0.0).inside.sum()
    assert board_grid(whole, SIZE_MM, 0.0).inside.sum() - less == pytest.approx(160 * 120, rel=0.02)
