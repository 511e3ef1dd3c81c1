"""A sheet of paper that lies in a photograph: its four corners, from edges that are fitted."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.errors import InputError
from brief.photo.lightness import Floats, Mask, Srgb, as_srgb, lab_of
from brief.photo.outline.edges import fewer_points, row_ends

Point = tuple[float, float]
FINDING_PX = 700  # longest side at which a sheet is looked for
LEAST_SHARE, MOST_SHARE = 0.015, 0.5  # of the picture
LEVELS = range(35, 96, 5)  # CIE L*, above which a patch of the picture may be a sheet
PALE_CHROMA = 22.0  # CIE 1976: paper under a lamp is yellowish, timber more so
FILLED = 0.97  # of the four-sided figure round it that a sheet takes up
LEAST_STEP = 6.0  # CIE L* from the sheet to what it lies on
REACH = 0.012  # of the picture's longer side, on either side of an edge that is fitted
TAPPED_REACH = 0.02  # the same where the corners were tapped
AWAY_FROM_CORNERS = 0.06  # of a side: there the next side's edge is near
SAMPLES = 160  # places along each side
MOST_OFF_PX = 1.2  # root mean square of an edge that is straight


@dataclass(frozen=True)
class PaperSheet:
    """Where a sheet lies in a photograph.

    Attributes
    ----------
    corners : ndarray, shape (4, 2)
        Clockwise as seen, percent of the picture's width and height.
    miss_percent : float
        How far a corner may be off, as a share of the longer side, percent.
    fitted : bool
        Whether edges were found; else the corners are as they were tapped.
    """

    corners: Floats
    miss_percent: float
    fitted: bool


def find_sheet(picture: Image.Image | Srgb) -> PaperSheet | None:
    """The one sheet of pale paper in a picture; None where there is none.

    Parameters
    ----------
    picture : Image or ndarray of uint8, shape (h, w, 3)
        Upright sRGB, as `open_photo` gives it.

    Raises
    ------
    InputError
        Where there are two, or the only one runs out of the picture.
    ImageError
        As `as_srgb`.
    """
    srgb = as_srgb(picture)
    height, width = srgb.shape[:2]
    small = Image.fromarray(srgb)
    small.thumbnail((FINDING_PX, FINDING_PX), Image.Resampling.BOX, reducing_gap=None)
    share = np.array(small.size) / (width, height)
    quads, cut_off = _quads(lab_of(np.asarray(small)))
    if len(quads) > 1:
        raise InputError(
            "There are two or more sheets of paper in this photograph. Mark the four corners of "
            "the one that lies on the mould, or leave only that one and photograph again."
        )
    if not quads:
        if cut_off:
            raise InputError(
                "The sheet of paper runs out of the photograph. Photograph all four of its corners."
            )
        return None
    found = _fitted(_light(srgb), quads[0] / share, REACH)
    if found is None:
        return None
    corners, miss = found
    return PaperSheet(corners / (width, height) * 100, miss / max(width, height) * 100, True)


def sheet_between(picture: Image.Image | Srgb, corners: tuple[Point, ...]) -> PaperSheet:
    """The sheet whose four corners were tapped, in percent, drawn onto its edges where it has any.

    Parameters
    ----------
    picture : Image or ndarray of uint8, shape (h, w, 3)
        Upright sRGB.
    corners : four (float, float)
        In order round it, either way.

    Raises
    ------
    InputError
        Where they do not go round a four-sided figure, or a very small one.
    ImageError
        As `as_srgb`.
    """
    srgb = as_srgb(picture)
    height, width = srgb.shape[:2]
    rough = np.array(corners, dtype=np.float64) / 100 * (width, height)
    turns = _turns(rough)
    if not (np.all(turns > 0) or np.all(turns < 0)):
        raise InputError(
            "The four corners cross over, or three are in one line. Mark them one after the other "
            "round the sheet."
        )
    if turns[0] < 0:
        rough = rough[::-1]
    if abs(_area(rough)) < LEAST_SHARE / 4 * width * height:
        raise InputError(
            "These corners are too close together to measure by. Mark the four outer corners of "
            "the sheet."
        )
    found = _fitted(_light(srgb), rough, TAPPED_REACH)
    if found is None:
        return PaperSheet(rough / (width, height) * 100, TAP_PERCENT, False)
    fitted, miss = found
    return PaperSheet(fitted / (width, height) * 100, miss / max(width, height) * 100, True)


TAP_PERCENT = 0.3  # of the longer side: how far a careful tap is off, our working figure
FITTED_PX = 0.15  # how far corners of fitted edges are off at the least, by rendered sheets


def _light(srgb: Srgb) -> Floats:
    """About CIE L*, 0 to 100: near enough for where an edge is, and at once."""
    light: Floats = srgb @ np.array([0.2126, 0.7152, 0.0722]) / 2.55
    return light


def _quads(lab: Floats) -> tuple[list[Floats], bool]:
    """Four-sided pale patches, in pixels, and whether another runs out of the picture."""
    from scipy.ndimage import binary_fill_holes, find_objects, label

    light, chroma = lab[..., 0], np.hypot(lab[..., 1], lab[..., 2])
    height, width = light.shape
    found: list[tuple[float, Floats]] = []
    cut_off = False
    for level in LEVELS:
        parts, _ = label((light > level) & (chroma < PALE_CHROMA))
        shares = np.bincount(parts.ravel())[1:] / light.size
        boxes = find_objects(parts)
        for at in np.flatnonzero((shares >= LEAST_SHARE) & (shares <= MOST_SHARE)):
            rows, columns = boxes[at]
            quad = _four_sides(binary_fill_holes(parts[rows, columns] == at + 1))
            if quad is None:
                continue
            top, left = rows.start, columns.start
            if min(top, left) <= 1 or rows.stop >= height - 1 or columns.stop >= width - 1:
                cut_off = True
                continue
            quad += (left, top)
            ground = _step_across(light, quad)
            if ground < LEAST_STEP:
                continue
            if not any(np.abs(quad.mean(axis=0) - one.mean(axis=0)).max() < 12 for _, one in found):
                found.append((ground, quad))
    return [quad for _, quad in found], cut_off


def _hull(inside: Mask) -> Floats:
    """The corners, clockwise, of the convex hull through the middles of the sides of all spots."""
    from scipy.spatial import ConvexHull

    ends = row_ends(inside)
    sides = np.concatenate([ends + step for step in ((-0.5, 0), (0.5, 0), (0, -0.5), (0, 0.5))])
    corners: Floats = sides[ConvexHull(sides).vertices]
    return corners


def _four_sides(part: Mask) -> Floats | None:
    """The corners, clockwise, of a patch without holes that is a four-sided figure; else None."""
    hull, full = _hull(part), np.count_nonzero(part)
    if full < 0.9 * _area(hull):
        return None
    round_it = np.hypot(*(hull - np.roll(hull, 1, axis=0)).T).sum()
    for share in (0.01, 0.015, 0.02, 0.03, 0.04):
        corners = fewer_points(hull, share * round_it)
        if len(corners) == 4:
            return corners if full >= FILLED * _area(corners) else None
    return None


def _turns(corners: Floats) -> Floats:
    """By how much the way round turns at each corner; one sign for a convex figure."""
    legs = np.roll(corners, -1, axis=0) - corners
    after = np.roll(legs, -1, axis=0)
    turns: Floats = legs[:, 0] * after[:, 1] - legs[:, 1] * after[:, 0]
    return turns


def _area(corners: Floats) -> float:
    x, y = corners.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _step_across(light: Floats, quad: Floats) -> float:
    """How much lighter it is just inside than just outside, on the side where that is least."""
    steps = []
    for start, end in pairwise([*quad, quad[0]]):
        inside, outside = _beside(light, start, end, 4.0), _beside(light, start, end, -4.0)
        steps.append(float(np.median(inside) - np.median(outside)))
    return min(steps)


def _beside(light: Floats, start: Floats, end: Floats, by: float) -> Floats:
    from scipy.ndimage import map_coordinates

    along = (end - start) / np.hypot(*(end - start))
    square = np.array([-along[1], along[0]])  # to the right hand, inwards where it goes clockwise
    t = np.linspace(0.15, 0.85, 40)[:, None]
    places = start + t * (end - start) + by * square
    values: Floats = map_coordinates(light, places.T[::-1], order=1, mode="nearest")
    return values


def _fitted(light: Floats, rough: Floats, reach: float) -> tuple[Floats, float] | None:
    """Corners where lines through the four edges meet, in pixels, and how far they may be off."""
    long = max(light.shape)
    lines, off = [], []
    for start, end in pairwise([*rough, rough[0]]):
        line = _edge(light, start, end, reach * long)
        if line is None:
            return None
        lines.append(line[:2])
        off.append(line[2])
    corners = []
    for (point, along), (other, way) in pairwise([lines[-1], *lines]):
        share = np.linalg.solve(np.column_stack([along, -way]), other - point)[0]
        corners.append(point + share * along)
    made = np.array(corners)
    if np.abs(made - rough).max() > 3 * reach * long:
        return None
    # Pixel centres lie half a pixel in.
    return made + 0.5, max(FITTED_PX, max(off) / np.sqrt(SAMPLES / 8))


def _edge(
    light: Floats, start: Floats, end: Floats, reach: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], float] | None:
    """A point and the direction of the straight edge near a line, and its root mean square."""
    from scipy.ndimage import gaussian_filter1d, map_coordinates

    along = (end - start) / np.hypot(*(end - start))
    square = np.array([-along[1], along[0]])
    t = np.linspace(AWAY_FROM_CORNERS, 1 - AWAY_FROM_CORNERS, SAMPLES)
    steps = np.arange(-reach, reach + 0.25, 0.5)
    places = (start + t[:, None] * (end - start))[:, None] + steps[:, None] * square
    across = map_coordinates(light, places.reshape(-1, 2).T[::-1], order=1, mode="nearest")
    rises = gaussian_filter1d(across.reshape(SAMPLES, -1), 2.0, axis=1, order=1, mode="nearest")
    best = np.argmax(rises, axis=1)
    clear = (rises[np.arange(SAMPLES), best] > 0.2) & (best > 0) & (best < len(steps) - 1)
    if clear.sum() < SAMPLES / 3:
        return None
    at = np.flatnonzero(clear)
    left, here, right = (rises[at, best[at] + step] for step in (-1, 0, 1))
    bend = left - 2 * here + right
    peak = np.where(bend < 0, 0.5 * (left - right) / np.minimum(bend, -1e-9), 0.0)
    off = steps[best[at]] + np.clip(peak, -1, 1) * 0.5
    kept = np.ones(len(at), dtype=bool)
    for _ in range(6):
        slope, level = np.polyfit(t[at][kept], off[kept], 1)
        missed = np.abs(off - slope * t[at] - level)
        kept = missed <= 2.5 * np.median(missed[kept]) + 0.15
    if kept.sum() < SAMPLES / 4:
        return None
    rms = float(np.sqrt(np.mean(missed[kept] ** 2)))
    if rms > MOST_OFF_PX:
        return None
    ends = [start + share * (end - start) + (slope * share + level) * square for share in (0, 1)]
    return ends[0], (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0])), rms
