"""How evenly a board is lit, told from what lies around it, and evened out where that is known."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.colour import delta_e_2000, srgb_to_linear, xyz_to_lab
from brief.colour.notation.wording import figure
from brief.colour.spaces import SRGB_TO_XYZ, Array
from brief.errors import ImageError, InputError
from brief.photo.correction.chart import BLOWN_FROM, MOST_CLIPPED, Chart
from brief.photo.correction.chart_reference import SLOPE, ChartAge, reference_xyz
from brief.photo.correction.fit import MODELS, fit_colours
from brief.photo.correction.tone import STRAIGHT, Curve, straightened
from brief.photo.files.header import UNNAMED
from brief.photo.files.intake import Picture, Pixels, open_pixels
from brief.photo.lightness import LINEAR, levels_of
from brief.photo.outline.region import Region

SURVEY_PX = 240
GRID = 9  # points each way at which the light on a board is looked at
GAP = 1.0  # percent of the picture round a board that may be its edge or its shadow
LEAST_WHITE = 200  # pixels of the survey
LEAST_PAPER = 0.6  # of what lies in the surround has to be the white
OUTLIER = 3.0  # times the middle deviation
ROUNDS = 4
MOST_OFF = 0.25  # of the light; what is further off the surface is no part of the sheet
MID_GREY = 0.184  # Y of L = 50

Basis = Literal["white surround", "board", "chart"]


@dataclass(frozen=True)
class Evenness:
    """How much the light differs from end to end.

    Attributes
    ----------
    basis : "white surround", "board" or "chart"
        What it was told from. Told from the board itself, it may as well be the wood.
    end_to_end : float
        CIEDE2000 between the colour that the board's own mean has where it gets most light and
        where it gets least; by a chart, the same of a middle grey across the chart.
    surface : 3 rows, for R, G and B, or None
        The factors of 1, x, y, x², xy, y² that give the logarithm of the light, 0 on average over
        the board; x and y run from −1 to 1 over the picture. None unless there is a white surround.
    """

    basis: Basis
    end_to_end: float
    surface: tuple[tuple[float, ...], ...] | None = None

    @property
    def sentence(self) -> str:
        """The same for whoever took the photograph."""
        by = figure(self.end_to_end, 0.0)
        if self.basis == "white surround":
            return (
                f"The light on the board differs by {by} from end to end; it is evened out by the "
                "white around it."
            )
        if self.basis == "chart":
            return f"The light differs by {by} across the colour chart."
        return (
            f"The board differs by {by} from end to end. Without white around it nobody can tell "
            "how much of that is the light and how much the wood."
        )

    def flatten(self, pixels: Pixels) -> Pixels:
        """The upright picture, of any size, with the light on it evened out.

        By simulation under a lamp, at a window and in a lens's own shading it leaves 0.3 CIEDE2000
        of up to 15 on the board.

        Raises
        ------
        InputError
            Where the light is not known apart from the wood.
        """
        if self.surface is None:
            raise InputError(
                f"the light can only be evened out by a white surround; it was told from the "
                f"{self.basis}. Photograph the board on white paper that shows all round it"
            )
        levels = np.asarray(pixels.rgb)
        across, down = _places(levels.shape[1]), _places(levels.shape[0])
        even = np.empty_like(levels)
        for row, y in enumerate(down):  # a row at a time, to need little memory
            light = np.exp(_terms(across, np.full_like(across, y)) @ np.array(self.surface).T)
            even[row] = levels_of(LINEAR[levels[row]] / light)
        return replace(pixels, rgb=Image.fromarray(even))


def evenness_by_surround(
    source: Picture, board: Region, surround: Region, *, name: str = UNNAMED
) -> Evenness:
    """The light on a board by the white around it.

    With white on all four sides a curved surface is fitted, on two opposite sides a plane.

    Parameters
    ----------
    source, name : as for `open_photo`
    board : Region
    surround : Region
        Larger, and all of it that is not board is one white sheet.

    Returns
    -------
    Evenness

    Raises
    ------
    InputError
        If the surround does not show on two opposite sides, or too little of it shows.
    ImageError
        If it is blown out or is not mostly one surface; and as `open_photo`.
    """
    image = open_pixels(source, name=name, within=SURVEY_PX).flattened()
    levels = np.asarray(image)
    x, y = np.meshgrid(_places(image.width), _places(image.height))
    around = _within(surround, x, y, 0.0) & ~_within(board, x, y, GAP)
    curved = _sides_seen(board, surround)
    if np.count_nonzero(around) < LEAST_WHITE:
        raise InputError.at(
            "surround", "there is too little white round the board; take in more of the sheet"
        )
    clipped = float((levels[around] >= BLOWN_FROM).any(axis=1).mean())
    if clipped > MOST_CLIPPED:
        raise ImageError(
            f"the white round the board is blown out: {clipped * 100:.0f} % of it is at the end "
            "of its range; photograph it darker"
        )
    terms = _terms(x[around], y[around])
    if not curved:
        terms[:, 3:] = 0
    light = np.log(np.maximum(srgb_to_linear(levels[around] / 255), 1e-4))
    surface = _robust(terms, light)
    grid = _terms(*_grid(board))
    surface[0] -= (grid @ surface).mean(axis=0)
    on_board = srgb_to_linear(levels[_within(board, x, y, -GAP)] / 255).mean(axis=0)
    ends = on_board * np.exp(grid @ surface)
    rows = tuple(tuple(float(value) for value in column) for column in surface.T)
    return Evenness("white surround", _apart(ends), rows)


def evenness_of_board(source: Picture, board: Region, *, name: str = UNNAMED) -> Evenness:
    """How much a board differs from end to end by itself, as a plane: it may be light or wood.

    Errors as `open_photo`.
    """
    image = open_pixels(source, name=name, within=SURVEY_PX, region=board).flattened()
    linear = srgb_to_linear(np.asarray(image) / 255).reshape(-1, 3)
    x, y = np.meshgrid(_places(image.width), _places(image.height))
    terms = _terms(x.ravel(), y.ravel())[:, :3]
    brightness = np.log(np.maximum(linear @ SRGB_TO_XYZ[1], 1e-4))
    plane = np.linalg.lstsq(terms, brightness, rcond=None)[0]
    slope = abs(plane[1]) + abs(plane[2])
    mean = linear.mean(axis=0)
    return Evenness("board", _apart(mean * np.exp([[-slope], [slope]])))


def evenness_of_chart(
    chart: Chart, age: ChartAge = "after-2014", curve: Curve = STRAIGHT
) -> Evenness:
    """How much the light differs across a chart, by the published colours.

    Patches at the end of their range are left out: what they lost would look like less light.

    Parameters
    ----------
    chart : Chart
    age : "after-2014" or "before-2014"
    curve : (float, float)
        The camera's tone curve, as of the `Correction` that was fitted to the chart.

    Returns
    -------
    Evenness

    Raises
    ------
    InputError
        For an unknown age.
    """
    usable = chart.usable
    light, target = straightened(chart.linear[usable], curve), reference_xyz(age)[usable]
    fits = [fit_colours(model, light, target, SLOPE[usable]) for model in MODELS]
    slopes = min(fits, key=lambda fit_and_misses: float(fit_and_misses[1].mean()))[0].slopes
    fall = min(float(np.abs(slopes).sum()), 1.9)  # of the light at the middle
    return Evenness("chart", _apart(MID_GREY * np.array([[1 - fall / 2], [1 + fall / 2]])))


def _places(pixels: int) -> Array:
    """From −1 to 1, the middles of that many pixels."""
    return (np.arange(pixels) + 0.5) / pixels * 2 - 1


def _terms(x: Array, y: Array) -> Array:
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _within(region: Region, x: Array, y: Array, margin: float) -> NDArray[np.bool_]:
    """Where a point lies in a region made larger all round by a margin in percent."""
    across, down = (x + 1) * 50, (y + 1) * 50
    inside: NDArray[np.bool_] = (
        (across >= region.x - margin)
        & (across <= region.x + region.w + margin)
        & (down >= region.y - margin)
        & (down <= region.y + region.h + margin)
    )
    return inside


def _grid(region: Region) -> tuple[Array, Array]:
    across = np.linspace(region.x, region.x + region.w, GRID) / 50 - 1
    down = np.linspace(region.y, region.y + region.h, GRID) / 50 - 1
    x, y = np.meshgrid(across, down)
    return x.ravel(), y.ravel()


def _sides_seen(board: Region, surround: Region) -> bool:
    """Whether the surround shows on all four sides; InputError unless on two opposite ones."""
    left, right = board.x - surround.x, surround.x + surround.w - board.x - board.w
    top, bottom = board.y - surround.y, surround.y + surround.h - board.y - board.h
    left, right, top, bottom = (max(side, 0.0) for side in (left, right, top, bottom))
    least = 2 * GAP
    beside, above = min(left, right) > least, min(top, bottom) > least
    if not (beside or above):
        raise InputError.at(
            "surround",
            "white must show on two opposite sides of the board at least, "
            f"{least:.0f} percent of the picture or more; got {left:.1f} at the left, "
            f"{right:.1f} at the right, {top:.1f} above and {bottom:.1f} below",
        )
    return beside and above


def _robust(terms: Array, light: Array) -> Array:
    """A surface, shape (6, 3), through most of the points: what is not the sheet is let go."""
    brightness = light.mean(axis=1)
    kept = brightness > np.median(brightness) - np.log(2)
    for _ in range(ROUNDS):
        surface = np.linalg.lstsq(terms[kept], light[kept], rcond=None)[0]
        off = np.abs(light - terms @ surface).max(axis=1)
        kept = off <= min(OUTLIER * max(float(np.median(off)), 0.005), MOST_OFF)
    if kept.mean() < LEAST_PAPER:
        raise ImageError(
            f"what lies round the board is not one white sheet: only {kept.mean() * 100:.0f} % "
            f"of it is one surface, and at least {LEAST_PAPER * 100:.0f} % must be"
        )
    return np.asarray(surface)


def _apart(ends: Array) -> float:
    """CIEDE2000 between the brightest and the dimmest of linear colours, shape (n, 3) or (n, 1)."""
    colours = np.broadcast_to(ends, (len(ends), 3)) @ SRGB_TO_XYZ.T
    lab = xyz_to_lab(colours[[colours[:, 1].argmax(), colours[:, 1].argmin()]])
    return float(delta_e_2000(lab[0], lab[1]))
