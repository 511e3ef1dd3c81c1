"""The outline of a board in its photograph, proposed: what of it to measure.

What lies round a board, and what lies on it, is taken away part by part, as long as a part is told
apart by its colours and by an edge all round (`parting`). What is left in the middle is
the board. A board that fills the picture has no such parts, and nothing is proposed.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

import numpy as np
from PIL import Image

from brief.errors import InputError
from brief.photo.lightness import Floats, Mask
from brief.photo.outline.edges import fewer_points, level_runs, row_ends
from brief.photo.outline.parting import (
    LIGHTNESS_SHARE,
    TEXTURE_SHARE,
    PicturePart,
    find_parts,
    survey,
)
from brief.photo.outline.polygon import Ring, filled, lies_inside, sound_ring
from brief.photo.outline.selection import Selection

# Our own working figures, set on 260 composites of real photographs of wood on benches, cloth and
# paper, with and without charts, and held against 160 others: the outline overlaps the board's by
# 0.92 on average (all of the picture by 0.65), and the colour inside it is within 2 CIEDE2000 of
# the wood's in 95 of 100.
MOST_PARTS = 4
LEAST_STEPPED, SURELY_STEPPED = 0.8, 0.9  # of the edge
LEAST_STEP, SURE_STEP = 7.0, 10.0
TOLD, SURELY_TOLD = 0.55, 0.75
CONVEX, STRAIGHT = 0.87, 0.9  # of its hull, what a part fills
CARD_L, CARD_CHROMA, CARD_SPREAD, CARD_TEXTURE = 35.0, 14.0, 9.0, 3.0
# Of the middle of the picture, what the side that is kept holds: of two halves neither is it.
HELD = 0.65
CORE = 2  # spots from the edge of a card, within which it is all card
# Of what is looked at: a neutral thing that is larger and holds the middle is the piece itself.
SMALL_CARD = 0.12
INSET = 1  # spots: what is this near to the edge may be its shadow
LEAST_BOARD = 0.05  # of the picture
TOLERANCE = 0.8  # spots that the outline may be off for having fewer points
LEAST_HOLE = 12  # spots


def propose_board(picture: Image.Image, without: Sequence[Ring] = ()) -> Selection | None:
    """The outline of the board, with holes where a card is on it.

    Parameters
    ----------
    picture : Image
        Upright sRGB, as `open_photo` gives it.
    without : sequence of Ring
        Outlines, percent of the picture, of parts known to be no board, such as a chart; they may
        be over the board and over its edge.

    Returns
    -------
    Selection or None
        None for all of the picture.
    """
    spots = survey(picture)
    height, width = spots.shape[:2]
    known = np.zeros((height, width), dtype=np.bool_)
    for ring in without:
        known |= filled(ring, width, height)
    if known.all():
        return None
    board, cards = _parted(spots, ~known)
    if board is None:
        return None
    solid = board | (known & _hull(board))
    solid &= ~cards
    if solid.mean() < LEAST_BOARD:
        return None
    return _outlined(solid)


def _parted(spots: Floats, whole: Mask) -> tuple[Mask | None, Mask]:
    """What is left of `whole` as the board, None if that is all of it, and the cards found."""
    from scipy.ndimage import binary_dilation, label

    area, cards, found, parted = whole, np.zeros_like(whole), False, False
    for _ in range(MOST_PARTS):
        for part in find_parts(spots, area):
            if part.stepped < LEAST_STEPPED or part.step < LEAST_STEP:
                continue
            if _is_card(spots, part, area):
                cards |= binary_dilation(part.inside, iterations=INSET)
                left = area & ~part.inside
            elif _is_board(part, area, found=found):
                left, found = area & part.inside, True
            elif _is_beside(part, area):
                left = area & ~part.inside
            else:
                continue
            break
        else:
            return (area if parted else None), cards
        parted = True
        pieces, count = label(left)
        area = left if count < 2 else pieces == 1 + np.bincount(pieces[left])[1:].argmax()
    return area, cards


def _is_card(spots: Floats, part: PicturePart, area: Mask) -> bool:
    """Whether it is a card or paper: neutral, even, smooth; and not the piece itself."""
    from scipy.ndimage import binary_erosion

    inside = part.inside & area
    core = binary_erosion(inside, iterations=CORE)
    if not core.any() or _filling(part.inside, area) < CONVEX:
        return False
    if _middle(inside, area) >= 0.5 and inside.sum() >= SMALL_CARD * area.sum():
        return False
    light, a, b, texture = np.median(spots[core], axis=0)
    low, high = np.percentile(spots[core][:, 0], [10, 90]) / LIGHTNESS_SHARE
    return bool(
        light / LIGHTNESS_SHARE > CARD_L
        and np.hypot(a, b) < CARD_CHROMA
        and high - low < 2 * CARD_SPREAD
        and np.expm1(texture / TEXTURE_SHARE) < CARD_TEXTURE
    )


def _is_board(part: PicturePart, area: Mask, *, found: bool) -> bool:
    """Whether it is the board; `found`: whether a part was taken for it already."""
    if _middle(part.inside & area, area) < HELD or _filling(part.inside, area) < CONVEX:
        return False
    if found:  # a board has streaks, with edges of their own
        return part.told > SURELY_TOLD and part.step > 1.5 * SURE_STEP
    if part.step > SURE_STEP:
        return part.told > TOLD
    return part.told > SURELY_TOLD and part.stepped > SURELY_STEPPED


def _is_beside(part: PicturePart, area: Mask) -> bool:
    """Whether it is a strip of what the board lies on, with a straight edge between."""
    others = area & ~part.inside
    if _middle(others, area) < HELD or _filling(others, area) < STRAIGHT:
        return False
    return part.told > SURELY_TOLD and part.step > SURE_STEP


def _middle(inside: Mask, area: Mask) -> float:
    """How much of the middle of the picture it holds, 0 to 1, of what is looked at there."""
    height, width = inside.shape
    middle = (
        slice(int(height * 0.4), int(height * 0.6) + 1),
        slice(int(width * 0.4), int(width * 0.6) + 1),
    )
    seen = np.count_nonzero(area[middle])
    if seen < 0.2 * area[middle].size:  # a chart lies there; so the larger part
        return float(np.count_nonzero(inside) > np.count_nonzero(area) / 2)
    return np.count_nonzero(inside[middle]) / seen


def _filling(inside: Mask, area: Mask) -> float:
    """Which share of its hull a part fills, of what is looked at."""
    filled_by, of = (np.count_nonzero(side & area) for side in (inside, _hull(inside)))
    return float(filled_by / of) if of else 0.0


def _hull(inside: Mask) -> Mask:
    """The convex hull through the middles of the outer spots."""
    from scipy.spatial import ConvexHull, QhullError

    height, width = inside.shape
    ends = row_ends(inside)
    try:
        corners = ends[ConvexHull(ends).vertices]
    except (QhullError, ValueError):  # one line of spots
        return inside
    hull = filled(tuple(map(tuple, (corners + 0.5) / (width, height) * 100)), width, height)
    return hull | inside


def _outlined(solid: Mask) -> Selection | None:
    """The outline of the largest piece, a little inside of its edge, with its holes."""
    from scipy.ndimage import binary_erosion, gaussian_filter

    rim = 2 * INSET
    kept = binary_erosion(np.pad(solid, rim, mode="edge"), iterations=INSET)[rim:-rim, rim:-rim]
    soft = np.pad(gaussian_filter(kept.astype(float), 1.0, mode="nearest"), 1)
    height, width = solid.shape
    areas: dict[Ring, float] = {}
    for run in level_runs(soft, 0.5):
        points = fewer_points(run[:-1], TOLERANCE) - 0.5
        percent = np.clip(points / (width, height) * 100, 0, 100).round(1)
        if len(percent) >= 3 and (area := _holds(points)) >= LEAST_HOLE:
            with suppress(InputError):  # one with fewer points may touch itself
                areas[sound_ring([(float(x), float(y)) for x, y in percent], "it")] = area
    if not areas:
        return None
    outer = max(areas, key=lambda ring: areas[ring])
    # Neither an island beside the largest piece nor a hole at its very edge is a hole in it.
    return Selection(outer, tuple(ring for ring in areas if lies_inside(ring, outer)))


def _holds(points: Floats) -> float:
    """The area of a polygon, by Gauss's formula."""
    x, y = points.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
