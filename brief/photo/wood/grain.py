"""Counting growth rings along a line drawn across a photograph of wood."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from brief.errors import InputError
from brief.photo.lightness import Floats, Srgb, as_srgb
from brief.photo.wood.profile import Dips, find_dips
from brief.photo.wood.scale import Point, Scale, inside_picture
from brief.photo.wood.strip import cut_strip

# Our working figures, set on rendered and photographed boards: beyond them the count declines.
SHORTEST_PX = 64
_IN_PX = ("spacing_px", "spread_px")
SIZES = (1, 2, 4)  # by how much the picture is shrunk, one after another until lines are counted
FEWEST_LINES = 8
LEAST_PX = 5.0  # from line to line; below, narrow rings run into one another
LEAST_CROSSING_DEG = 25.0
MOST_TURNING_DEG = 15.0  # standard deviation of the grain's direction along the line
LEAST_AGREEMENT = 0.5  # correlation of what the two sides of the line show
LEAST_SKEW = 0.12  # rendered rings have 0.3 to 0.9, waves below 0.08
LEAST_CONTRAST = 0.15  # L; less is what rounding to 8 bits draws on an even gradient


@dataclass(frozen=True)
class GrainCount:
    """Growth rings along a line, or why they were not counted.

    Attributes
    ----------
    count : int or None
        Lines of late wood that the line crosses; None where counting would be guessing.
    reason : str or None
        In words, why not; None where counted.
    positions : tuple of (float, float)
        Their places, (x, y) in percent of the upright picture, in the line's order.
    doubtful : int
        Lines, counted or not, that are near the limit of what counts as one.
    per_cm, per_cm_error : float or None
        Lines in a centimetre, square to the grain, and by how much it may be off for the doubtful
        lines and the scale. None without a scale.
    spacing_px, spread_px : float or None
        Mean and standard deviation from line to line, square to the grain, in pixels of the picture
        given.
    spacing_mm, spread_mm : float or None
        The same on the wood, with a scale.
    crossing_deg : float or None
        Angle between the line and the grain, 0 to 90; None where it was not looked for.
    confidence : float, 0 to 1
        How well the two sides of the line agree (reliability of their mean, after Spearman and
        Brown), times the share of lines that are not doubtful; 0 where not counted.
    """

    count: int | None
    reason: str | None
    positions: tuple[Point, ...] = ()
    doubtful: int = 0
    per_cm: float | None = None
    per_cm_error: float | None = None
    spacing_px: float | None = None
    spread_px: float | None = None
    spacing_mm: float | None = None
    spread_mm: float | None = None
    crossing_deg: float | None = None
    confidence: float = 0.0


def count_grain(
    picture: Image.Image | Srgb, line: tuple[Point, Point], scale: Scale | None = None
) -> GrainCount:
    """Count the growth rings that a line crosses.

    Parameters
    ----------
    picture : Image or ndarray of uint8, shape (h, w, 3)
        Upright sRGB, fine enough to show a ring in 5 pixels.
    line : two (float, float)
        Its ends, (x, y) in percent of the width and height.
    scale : Scale, optional
        Of the same picture; without one, distances are in pixels only.

    Returns
    -------
    GrainCount

    Raises
    ------
    InputError
        On a line whose ends are one point or that leaves the picture.
    ImageError
        As `as_srgb`.

    Notes
    -----
    The mean of many lanes beside the line, each bent to follow the grain, is searched for dips in
    lightness. Nothing is counted, and the reason given, where the line is shorter than 64 pixels or
    runs within 25 degrees of the grain; where its two sides do not show the same (noise); where the
    grain turns (wild figure); where lines are fewer than 8, closer than 5 pixels, as uneven in
    depth and spacing as random streaks, or as wide as the light between them, as stripes of figure
    are. Such a line is looked at again at a half and a quarter of the size, where the wood's own
    cells are gone and its rings are not. The method and its limits are ours.
    """
    srgb = as_srgb(picture)
    for point in line:
        inside_picture(point, "line", "the line")
    height, width = srgb.shape[:2]
    start, end = (np.array([x * width, y * height]) / 100 - 0.5 for x, y in line)
    length = float(np.hypot(*(end - start)))
    if length == 0:
        raise InputError.at("line", "the line must have two ends; both are the same point")
    if length < SHORTEST_PX:
        return GrainCount(
            count=None,
            reason=f"The line is only {length:.0f} pixels long on this picture; make it "
            f"{SHORTEST_PX} or more, or come closer with the camera.",
        )
    sizes = [size for size in SIZES if length / size >= SHORTEST_PX]
    tried = [_counted_at(srgb, line, scale, sizes[0])]
    for size in sizes[1:]:
        if tried[-1].count is None:
            tried.append(_counted_at(srgb, line, scale, size))
    return tried[-1] if tried[-1].count is not None else tried[0]


def _counted_at(
    srgb: Srgb, line: tuple[Point, Point], scale: Scale | None, size: int
) -> GrainCount:
    """The count on the picture shrunk so many times; distances are in pixels of the whole one."""
    if size > 1:
        srgb = np.asarray(Image.fromarray(srgb).reduce(size))
    height, width = srgb.shape[:2]
    start, end = (np.array([x * width, y * height]) / 100 - 0.5 for x, y in line)
    strip = cut_strip(srgb, start, end)
    angle = np.degrees(np.arctan(strip.drift))
    crossing = 90 - float(np.abs(angle).mean())
    if crossing < LEAST_CROSSING_DEG and strip.coherence > 0.5:
        return GrainCount(
            count=None,
            reason="The line runs along the grain; draw it across.",
            crossing_deg=crossing,
        )
    dips = find_dips(strip)
    squarely = np.cos(np.radians(angle))
    why_not = _why_not(dips, float(angle.std()), float(squarely.mean()))
    if why_not is not None:
        return GrainCount(count=None, reason=why_not, crossing_deg=crossing)
    length = float(np.hypot(*(end - start)))
    counted = _counted(dips, squarely, line, length, scale, crossing)
    return replace(counted, **{name: getattr(counted, name) * size for name in _IN_PX})


def _why_not(dips: Dips, turning_deg: float, squarely: float) -> str | None:
    if dips.agreement < LEAST_AGREEMENT or dips.contrast < LEAST_CONTRAST:
        return (
            "No lines stand out here: the wood shows none, or they are lost in the picture's "
            "noise; try light from the side, or a sharper picture."
        )
    if turning_deg > MOST_TURNING_DEG:
        return "The grain turns too much along this line to be counted; draw it where it runs even."
    lines = len(dips.lines)
    if lines < FEWEST_LINES:
        return (
            f"Only {lines} lines stand out here and it takes {FEWEST_LINES} to measure by; "
            "draw a longer line, if the wood has growth rings to count."
        )
    spacing = float(np.diff(dips.lines).mean()) * squarely
    if spacing < LEAST_PX:
        return (
            f"The lines are {spacing:.1f} pixels apart on this picture and it takes {LEAST_PX:g} "
            "to tell them; come closer with the camera."
        )
    # By chance it comes to 0.75 ± 0.5 / sqrt(lines) (simulated), so few lines must be more even.
    if dips.unevenness > 0.75 - 1 / math.sqrt(lines):
        return (
            "What stands out here is too uneven, in depth and in spacing, to tell growth rings "
            "from streaks; come closer with the camera, or draw the line where the rings are plain."
        )
    if abs(dips.skew) < LEAST_SKEW:
        return (
            "The dark bands are as wide as the light ones, as stripes of figure are; growth rings "
            "end in a narrow line. Draw the line where rings show."
        )
    return None


def _counted(
    dips: Dips,
    squarely: Floats,
    line: tuple[Point, Point],
    length: float,
    scale: Scale | None,
    crossing: float,
) -> GrainCount:
    """The result. squarely : way across the grain for each pixel along the line."""
    lines = dips.lines
    across = np.interp(lines, np.arange(len(squarely)), np.cumsum(squarely))
    gaps = np.diff(across)
    spacing, spread = float(gaps.mean()), float(gaps.std(ddof=1))
    (x_1, y_1), (x_2, y_2) = line
    way = lines / length
    positions = zip(x_1 + way * (x_2 - x_1), y_1 + way * (y_2 - y_1), strict=True)
    per_cm = per_cm_error = spacing_mm = spread_mm = None
    if scale is not None:
        mm_per_px = scale.between(*line) / length
        spacing_mm, spread_mm = spacing * mm_per_px, spread * mm_per_px
        per_cm = 10 / spacing_mm
        lines_off = (1 + dips.doubtful) / 2  # one may be missed unseen; of those in doubt, half
        per_cm_error = per_cm * math.hypot(lines_off / len(gaps), scale.error)
    return GrainCount(
        count=len(lines),
        reason=None,
        positions=tuple((float(x), float(y)) for x, y in positions),
        doubtful=dips.doubtful,
        per_cm=per_cm,
        per_cm_error=per_cm_error,
        spacing_px=spacing,
        spread_px=spread,
        spacing_mm=spacing_mm,
        spread_mm=spread_mm,
        crossing_deg=crossing,
        confidence=_reliability(dips.agreement) * max(0.0, 1 - dips.doubtful / len(lines)),
    )


def _reliability(agreement: float) -> float:
    """Of the mean of two halves that correlate so (Spearman 1910, Brown 1910; from memory)."""
    return 2 * agreement / (1 + agreement)
