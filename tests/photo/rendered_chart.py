"""A colour chart photographed by known cameras under known lamps, and drawn as it would look.

Spectra, sensitivities and lamps come from colour-science: the chart is its "BabelColor Average" of
30 charts; the cameras were measured by the National Physical Laboratory; the other surfaces are
the training data of AMPAS' raw-to-ACES (190) and the samples of CIE 224:2017 (99: nature, skin,
textiles, paints, plastics, prints). Nothing is taken from the code under test but the sRGB curve.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from skimage.transform import ProjectiveTransform

from brief.colour import linear_to_srgb, srgb_to_linear

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science

Floats = NDArray[np.float64]

CAMERAS = ("Nikon 5100 (NPL)", "Sigma SDMerill (NPL)")
LIGHTS = ("A", "D50", "D65", "LED-B3")
BOARD = (0.02, 0.02, 0.02)  # linear, between the patches
PATCH = 0.88  # of the pitch
NOISE = 2.0  # levels of 255, standard deviation: a phone's sensor indoors, seen half as large

_SHAPE = colour_science.SpectralShape(400, 700, 10)
# IEC 61966-2-1 in its four-digit form, so that white is where the code under test has it.
_XYZ_TO_SRGB = np.linalg.inv(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)


def _aligned(spectra) -> Floats:
    return spectra.copy().align(_SHAPE).values.T


@cache
def chart_reflectances() -> Floats:
    patches = colour_science.SDS_COLOURCHECKERS["BabelColor Average"].values()
    return np.array([_aligned(patch) for patch in patches])


@cache
def surface_reflectances() -> Floats:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        aces = colour_science.characterisation.read_training_data_rawtoaces_v1()
        cie = colour_science.quality.cfi2017.load_TCS_CIE2017(
            colour_science.SpectralShape(380, 780, 5)
        )
    return np.vstack([_aligned(aces), _aligned(cie)])


def true_xyz(reflectances: Floats) -> Floats:
    """Under D65, 2°; a perfect white has Y = 1 and the white of sRGB."""
    light = _aligned(colour_science.SDS_ILLUMINANTS["D65"])
    eye = _aligned(colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])
    white = np.linalg.inv(_XYZ_TO_SRGB).sum(axis=1)
    return (reflectances * light) @ eye.T / (eye @ light) * white


def wood_like(lab: Floats) -> NDArray[np.bool_]:
    """Yellow to red browns, from straw to near black: our choice."""
    chroma, hue = np.hypot(lab[:, 1], lab[:, 2]), np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    inside = (hue > 30) & (hue < 100) & (chroma > 6) & (chroma < 50)
    return inside & (lab[:, 0] > 15) & (lab[:, 0] < 90)


@dataclass(frozen=True)
class Shot:
    """One exposure of a camera whose matrix from sensor to sRGB was made for daylight.

    balanced : whether whites come out white, as by a phone's automatic balance; otherwise the
    balance is fixed at daylight. exposure : what a perfect white gets in its strongest channel.
    veil : stray light, in linear RGB, on all alike.
    """

    camera: str
    light: str
    balanced: bool = True
    exposure: float = 0.85
    veil: float = 0.0

    def linear(self, reflectances: Floats) -> Floats:
        """Linear RGB before noise, rounding and the ends of the range; may lie below 0."""
        white = np.ones((1, reflectances.shape[1]))
        gains = 1 / self._recorded(white, self.light) if self.balanced else 1.0
        matrix = self._daylight_matrix().T
        rgb = (self._recorded(reflectances, self.light) * gains) @ matrix
        brightest = ((self._recorded(white, self.light) * gains) @ matrix).max()
        return rgb / brightest * self.exposure + self.veil

    def _recorded(self, reflectances: Floats, light: str) -> Floats:
        sensor = _aligned(colour_science.MSDS_CAMERA_SENSITIVITIES[self.camera])
        daylight = _aligned(colour_science.SDS_ILLUMINANTS["D65"])
        lamp = _aligned(colour_science.SDS_ILLUMINANTS[light])
        return (reflectances * lamp) @ sensor.T / (sensor @ daylight)

    def _daylight_matrix(self) -> Floats:
        chart = chart_reflectances()
        recorded = self._recorded(chart, "D65")
        return _XYZ_TO_SRGB @ np.linalg.lstsq(recorded, true_xyz(chart), rcond=None)[0].T


def photographed(linear: Floats, rng: np.random.Generator) -> Floats:
    """What the mean of 400 pixels of 8 bits gives back of linear colours, shape (n, 3)."""
    return srgb_to_linear(_coded(np.repeat(linear[:, None], 400, axis=1), rng) / 255).mean(axis=1)


def _coded(linear: Floats, rng: np.random.Generator) -> NDArray[np.uint8]:
    """With the tone curve of sRGB, noise, and cut off at both ends."""
    levels = linear_to_srgb(np.clip(linear, 0, 1)) * 255
    levels += NOISE * rng.normal(size=levels.shape)
    return np.clip(np.rint(levels), 0, 255).astype(np.uint8)


class _Laid(NamedTuple):
    """Where a chart lies in a picture, with two samples each way in each pixel of it."""

    there: tuple[slice, slice]
    u: Floats  # place on the chart of each sample, in patches
    v: Floats
    what: NDArray[np.intp]  # the patch, or 24 for the board, 25 for the bench


@lru_cache(maxsize=8)
def _laid(corners: tuple[tuple[float, float], ...], size: tuple[int, int]) -> _Laid:
    half = PATCH / 2
    outline = [(-half, -half), (5 + half, -half), (5 + half, 3 + half), (-half, 3 + half)]
    to_chart = ProjectiveTransform.from_estimate(np.array(corners) / 100 * size, np.array(outline))
    board = to_chart.inverse([(-0.9, -0.9), (5.9, -0.9), (5.9, 3.9), (-0.9, 3.9)])
    left, top = np.clip(np.floor(board.min(axis=0)), 0, size).astype(int)
    right, bottom = np.clip(np.ceil(board.max(axis=0)), 0, size).astype(int)
    twice = [(np.arange(2 * (n - m)) + 0.5) / 2 + m for m, n in ((left, right), (top, bottom))]
    x, y = np.meshgrid(*twice)
    u, v = (one.reshape(x.shape) for one in to_chart(np.stack([x.ravel(), y.ravel()], axis=-1)).T)
    column, row = np.rint(u), np.rint(v)
    on_board = (u > -0.9) & (u < 5.9) & (v > -0.9) & (v < 3.9)
    on_patch = (np.abs(u - column) < half) & (np.abs(v - row) < half)
    on_patch &= (column >= 0) & (column <= 5) & (row >= 0) & (row <= 3)
    what = np.where(on_patch, row * 6 + column, np.where(on_board, 24, 25)).astype(np.intp)
    return _Laid((slice(top, bottom), slice(left, right)), u, v, what)


def draw_chart(
    patches: Floats,
    *,
    size: tuple[int, int] = (600, 400),
    corners: tuple[tuple[float, float], ...] = ((25, 25), (75, 25), (75, 75), (25, 75)),
    slope: tuple[float, float] = (0.0, 0.0),
    shade: float = 1.0,
    mirrored: bool = False,
    bench: tuple[float, float, float] = (0.12, 0.08, 0.05),
    seed: int = 0,
) -> Image.Image:
    """A photograph of a chart on a bench.

    patches : linear RGB, shape (24, 3). corners : of the corner patches, percent, clockwise from
    the first patch. slope : by how much the light on the chart changes from its left to its right
    and from its top to its bottom, as a share of that at its middle. shade : the light on the
    right half of the picture, as a share.
    """
    laid = _laid(tuple((float(x), float(y)) for x, y in corners), size)
    linear = np.tile(np.array(bench), (size[1], size[0], 1))
    seen = np.vstack([patches, BOARD, bench])[laid.what]
    if any(slope):
        along, down = slope[0] * (laid.u - 2.5) / 5, slope[1] * (laid.v - 1.5) / 3
        seen *= np.clip(1 + along + down, 0.2, 2.0)[..., None]
    linear[laid.there] = (seen[::2, ::2] + seen[::2, 1::2] + seen[1::2, ::2] + seen[1::2, 1::2]) / 4
    linear[:, size[0] // 2 :] *= shade
    image = Image.fromarray(_coded(linear, np.random.default_rng(seed)))
    return image.transpose(Image.Transpose.FLIP_LEFT_RIGHT) if mirrored else image
