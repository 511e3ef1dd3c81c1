"""What is in the shot beside the wood, or on it: the outline of a chart or card, with a margin."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PIL import Image

from brief.colour.spaces import Array
from brief.photo.correction.chart_reference import OUTLINE
from brief.photo.correction.lattice import homography, project
from brief.photo.lightness import lab_of
from brief.photo.outline.polygon import Mask, Point, Ring
from brief.photo.outline.region import Region

# Of the pitch from patch to patch, round the patches: the frame, and a shadow. On two full-size
# charts in photographs the frame is 0.2 to 0.3 wide.
CHART_MARGIN = 0.6
CARD_MARGIN = 2.0  # percent of the picture
CARD_PX = 200  # longest side at which the edges of a card are looked for
SAME = 10.0  # CIE 1976, lightness counting for half, from the middle of a card
MOST_OF_PICTURE = 0.5  # what spreads further than that is the wood or the bench as well
LEAST_FULL = 0.75  # of its hull; what fills less has run out over an edge


def chart_surround(corners: Sequence[Point]) -> Ring:
    """The outline of a whole chart, a little beyond it.

    Parameters
    ----------
    corners : sequence of four (float, float)
        Of its patches, as `Chart` has them, percent.

    Returns
    -------
    Ring
        May reach beyond the picture.
    """
    outward = np.sign(OUTLINE - OUTLINE.mean(axis=0)) * CHART_MARGIN
    ends = project(homography(OUTLINE, np.array(corners)), OUTLINE + outward)
    return tuple((float(x), float(y)) for x, y in ends)


def card_surround(picture: Image.Image, drawn: Region) -> Ring:
    """The outline of a whole card or paper of which a part was drawn, a little beyond it.

    Parameters
    ----------
    picture : Image
        Upright sRGB.
    drawn : Region
        Well inside its edges. Where these cannot be told, as of paper on a pale board, the outline
        is this region, and the margin.

    Returns
    -------
    Ring
        May reach beyond the picture.
    """
    from scipy.ndimage import binary_opening, label

    scale = min(1.0, CARD_PX / max(picture.size))
    width, height = (max(1, round(side * scale)) for side in picture.size)
    small = picture.resize((width, height), Image.Resampling.BOX, reducing_gap=2.0)
    lab = lab_of(np.asarray(small))
    left, top, right, bottom = drawn.box(width, height)
    middle = np.median(lab[top:bottom, left:right].reshape(-1, 3), axis=0)
    alike = np.linalg.norm((lab - middle) * (0.5, 1, 1), axis=2) < SAME
    pieces, _ = label(binary_opening(alike))
    held = np.bincount(pieces[top:bottom, left:right].ravel())
    held[0] = 0
    card = pieces == held.argmax() if held.any() else np.zeros_like(alike)
    card[top:bottom, left:right] = True
    corners, size = _hull(card)
    if card.mean() > MOST_OF_PICTURE or np.count_nonzero(card) < LEAST_FULL * size:
        corners = np.array([(left, top), (right, top), (right, bottom), (left, bottom)], float)
    return _wider(corners / (width, height) * 100, CARD_MARGIN)


def _hull(inside: Mask) -> tuple[Array, float]:
    """The corners of the convex hull of all pixels, shape (n, 2), and its area."""
    from scipy.spatial import ConvexHull

    y, x = np.nonzero(inside)
    pixels = np.concatenate([np.column_stack([x + i, y + j]) for i in (0, 1) for j in (0, 1)])
    hull = ConvexHull(pixels)
    return pixels[hull.vertices].astype(float), float(hull.volume)


def _wider(corners: Array, margin: float) -> Ring:
    """A convex outline grown from its middle, so that each side moves out by `margin` or more."""
    middle = corners.mean(axis=0)
    along = np.roll(corners, -1, axis=0) - corners
    to_side = np.abs(
        along[:, 0] * (corners - middle)[:, 1] - along[:, 1] * (corners - middle)[:, 0]
    ) / np.maximum(np.linalg.norm(along, axis=1), 1e-9)
    grown = middle + (corners - middle) * (1 + margin / max(float(to_side.min()), 1e-6))
    return tuple((float(x), float(y)) for x, y in grown)
