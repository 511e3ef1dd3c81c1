"""A 24-patch colour chart in a photograph: where it is, which way up, and what its patches show."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from brief.colour import delta_e_2000, srgb_to_lab, srgb_to_linear
from brief.colour.spaces import Array
from brief.errors import ImageError, InputError, quoted
from brief.photo.correction.chart_orientation import (
    FITS,
    ChartOrientation,
    best_laid,
    laid_between,
    laid_over,
    snapped,
)
from brief.photo.correction.chart_reference import COLUMNS, OUTLINE, PATCHES, PLACES, patch_names
from brief.photo.correction.lattice import find_lattices, find_squares, middles, project
from brief.photo.correction.shade import light_in_shade
from brief.photo.files.header import UNNAMED
from brief.photo.files.intake import Picture, Pixels, open_pixels
from brief.photo.outline.region import Region

Point = tuple[float, float]

FINDING_PX = 720  # longest side at which a chart is looked for
READING_PX = 1000  # longest side of the chart alone, where it is read larger
MOST_LATTICES = 4  # of one picture, the largest, that are compared with a chart
LEAST_PITCH = 24  # pixels from patch to patch, below which it is
SAMPLED = 0.5  # of the pitch: well inside a patch, even where corners are a little off
SHADE = 0.7  # of the light on the brighter part
DARK, BRIGHTEST = 96, 99.0  # of 255, at that percentile of a picture: it is brightened to look
BLOWN_FROM = 254  # of 255
MOST_CLIPPED = 0.02  # of the pixels; more, and their mean is no longer that of the thing
_SOFT_PX = 1.3  # of a box that is as wide as a Gaussian of 1
_EDGES = ("left", "top", "right", "bottom")


@dataclass(frozen=True)
class ChartPatch:
    """The colour of the middle of one patch.

    Attributes
    ----------
    centre : (float, float)
        Percent of the width and height of the upright picture.
    linear : (float, float, float)
        Mean linear RGB, 0 to 1.
    spread : float
        Root mean square CIEDE2000 of its pixels about it.
    clipped : float
        Share of its pixels with a channel at the top of its range.
    """

    name: str
    centre: Point
    linear: tuple[float, float, float]
    spread: float
    clipped: float


@dataclass(frozen=True)
class Chart:
    """A chart in a picture.

    Attributes
    ----------
    corners : four (float, float)
        Of the 6 by 4 patches together, clockwise from that of the dark skin patch; percent of the
        width and height of the upright picture.
    turn : int
        Degrees, 0 to 359, by which the chart is turned clockwise; 180 is upside down.
    patches : tuple of ChartPatch
        The 24, in the chart's own reading order, dark skin first and black last.
    """

    corners: tuple[Point, Point, Point, Point]
    turn: int
    patches: tuple[ChartPatch, ...]

    @property
    def linear(self) -> Array:
        """Mean linear RGB of the patches, shape (24, 3)."""
        return np.array([patch.linear for patch in self.patches])

    @property
    def usable(self) -> NDArray[np.bool_]:
        """Which patches are not blown out, shape (24,)."""
        return np.array([patch.clipped <= MOST_CLIPPED for patch in self.patches])


class UnusableChart(ImageError):
    """There is a chart, but nothing can be corrected by it.

    `corners` are as of a `Chart`, but any of them may be beyond the picture.
    """

    def __init__(self, message: str, corners: Array) -> None:
        super().__init__(message)
        first, second, third, fourth = ((float(x), float(y)) for x, y in corners)
        self.corners = first, second, third, fourth

    @property
    def is_in_sight(self) -> bool:
        """Whether all four corners lie in the picture."""
        return all(0 <= value <= 100 for corner in self.corners for value in corner)


def find_chart(source: Picture, *, name: str = UNNAMED) -> Chart | None:
    """Find the 24-patch colour chart in a picture, turned and tilted as it may be.

    Parameters
    ----------
    source, name : as for `open_photo`
        At 720 pixels along the longest side the patches must be at least 12 pixels apart: a tenth
        of the picture across the chart.

    Returns
    -------
    Chart or None
        Which way up it is, is told by how well its colours can be brought to those published, with
        a tone curve undone where they fit only so.

    Raises
    ------
    UnusableChart
        If there is a chart that is mirrored, cut off, or partly in shade.
    ImageError, TooLarge
        As `open_photo`.
    """
    source = _rereadable(source)
    opened = open_pixels(source, name=name, within=FINDING_PX)
    image = opened.flattened()
    for lattice in find_lattices(_squares_in(image))[:MOST_LATTICES]:
        laid = best_laid(image, laid_over(lattice))
        if laid.misfit < FITS:
            return _read(source, image, laid, opened.label)
    return None


def read_chart(source: Picture, corners: Sequence[Point], *, name: str = UNNAMED) -> Chart:
    """Read a chart whose corners are known.

    Parameters
    ----------
    source, name : as for `open_photo`
    corners : sequence of four (float, float)
        The outer corners of its four corner patches, in order round the chart, beginning at any;
        percent of the width and height of the upright picture. A little off does no harm: they
        are moved onto the patches where these can be made out.

    Returns
    -------
    Chart

    Raises
    ------
    InputError
        If the corners are not four points in the picture that make a four-sided figure, or if
        there is no chart between them.
    UnusableChart, ImageError, TooLarge
        As `find_chart`.
    """
    quad, source = _checked(corners), _rereadable(source)
    opened = open_pixels(source, name=name, within=FINDING_PX)
    image = opened.flattened()
    quad = quad / 100 * image.size - 0.5
    laid = best_laid(image, laid_between(quad))
    laid = snapped(laid, image, middles(_squares_in(image)))
    if laid.misfit >= FITS:
        raise InputError.at(
            "corners",
            f"no 24-patch colour chart can be read between these corners of {opened.label}: what "
            f"should be patches is {_rounded_up(laid.misfit)} CIEDE2000 from the published "
            f"colours, and {FITS:g} is the limit; drag each corner to the outer corner of a corner "
            "patch",
        )
    return _read(source, image, laid, opened.label)


def _squares_in(image: Image.Image) -> Array:
    brightest = max(float(np.percentile(np.asarray(image), BRIGHTEST)), 1.0)
    if brightest < DARK:  # the patches' edges are steps of too few levels to be told from noise
        image = image.point(lambda level: level * 255 / brightest)
    return find_squares(np.asarray(image.filter(ImageFilter.BoxBlur(_SOFT_PX))))


def _rereadable(source: Picture) -> Picture:
    """The same, as something that can be opened a second time, for a small chart."""
    again = Image.Image | Pixels | Path | str | bytes
    return source if isinstance(source, again) else source.read()


def _rounded_up(misfit: float) -> str:
    """So that no misfit beyond a limit reads as that limit."""
    return f"{math.ceil(misfit * 10) / 10:.1f}"


def _checked(corners: Sequence[Point]) -> Array:
    try:
        quad = np.asarray(corners, dtype=np.float64)
    except (TypeError, ValueError) as exc:
        raise InputError.at("corners", f"corners must be numbers; got {quoted(corners)}") from exc
    if quad.shape != (4, 2) or not ((quad >= 0) & (quad <= 100)).all():
        raise InputError.at(
            "corners",
            "a chart has four corners, each at 0 to 100 percent across and down; "
            f"got {np.round(quad, 1).tolist()}",
        )
    ahead, behind = np.roll(quad, -1, axis=0) - quad, quad - np.roll(quad, 1, axis=0)
    bends = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    if not ((bends > 1).all() or (bends < -1).all()):  # percent²
        raise InputError.at(
            "corners",
            "the four corners must go round the chart one after another without crossing over; "
            f"got {np.round(quad, 1).tolist()}",
        )
    return quad


def _read(source: Picture, image: Image.Image, laid: ChartOrientation, label: str) -> Chart:
    size = np.array(image.size)
    corners = (project(laid.grid, OUTLINE) + 0.5) / size * 100
    if laid.mirrored:
        raise UnusableChart(
            f"the colour chart in {label} is mirrored, left for right; turn the picture over, or "
            "photograph the chart itself and not its reflection",
            corners,
        )
    squares = _squares(laid.grid)
    if cut_off := _cut_off(squares, size):
        raise UnusableChart(f"the colour chart in {label} {cut_off}", corners)
    centres = (project(laid.grid, PLACES) + 0.5) / size * 100
    if laid.pitch < LEAST_PITCH:
        low = np.maximum(corners.min(axis=0), 0.0)
        span = np.minimum(corners.max(axis=0), 100.0) - low
        squares = (squares + 0.5) / size * 100
        image = open_pixels(
            source, name=label, within=READING_PX, region=Region(*low, *span)
        ).flattened()
        squares = (squares - low) / span * image.size - 0.5
    patches = tuple(
        _patch(patch, image, square, (float(centre[0]), float(centre[1])))
        for patch, square, centre in zip(patch_names(), squares, centres, strict=True)
    )
    across = project(laid.grid, PLACES[[0, COLUMNS - 1]])
    right, down = across[1] - across[0]
    first, second, third, fourth = ((float(x), float(y)) for x, y in corners)
    turn = round(np.degrees(np.arctan2(down, right))) % 360
    chart = Chart((first, second, third, fourth), int(turn), patches)
    share = light_in_shade(chart.linear, chart.usable)
    if share < SHADE:
        raise UnusableChart(
            f"the colour chart in {label} lies partly in shade: one part of it gets about "
            f"{share * 100:.0f} % of the light on the other; photograph it in even light",
            corners,
        )
    return chart


def _squares(grid: Array) -> Array:
    """The corners of the sampled middle of each patch, shape (24, 4, 2)."""
    around = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * SAMPLED / 2
    return project(grid, PLACES[:, None] + around)


def _patch(name: str, image: Image.Image, square: Array, centre: Point) -> ChartPatch:
    left, top = np.floor(square.min(axis=0)).astype(int).tolist()
    right, bottom = (np.ceil(square.max(axis=0)).astype(int) + 1).tolist()
    mask = Image.new("1", (right - left, bottom - top))
    ImageDraw.Draw(mask).polygon([(x - left, y - top) for x, y in square.tolist()], fill=1)
    levels = np.asarray(image.crop((left, top, right, bottom)))[np.asarray(mask)]
    linear = srgb_to_linear(levels / 255).mean(axis=0)
    lab = srgb_to_lab(levels / 255)
    off = delta_e_2000(lab, lab.mean(axis=0))
    red, green, blue = (float(value) for value in linear)
    return ChartPatch(
        name=name,
        centre=centre,
        linear=(red, green, blue),
        spread=float(np.sqrt(np.mean(off**2))),
        clipped=float((levels >= BLOWN_FROM).any(axis=1).mean()),
    )


def _cut_off(squares: Array, size: Array) -> str:
    """At which edges of the picture, in words; empty where all of it is there."""
    beyond = np.concatenate([squares < -0.5, squares > size - 0.5], axis=2)  # left, top, right, ...
    if not beyond.any():
        return ""
    edges = [_EDGES[index] for index in np.flatnonzero(beyond.any(axis=1).any(axis=0))]
    missing = int(beyond.any(axis=(1, 2)).sum())
    return (
        f"is cut off at the {' and '.join(edges)}: {missing} of its {PATCHES} patches are not "
        "wholly in the picture; photograph the whole chart"
    )
