"""Whether a line can be told from the wood it is in, by an observer that knows the line.

The observer is the non-prewhitening one with an eye filter: it lays a template, the line itself as
the eye has it, over what it sees and takes the sum. What the template gives on the line, over how
far it strays on the bare wood, is the detectability d'.

Burgess (1994), Statistically defined backgrounds: performance of a modified nonprewhitening
observer model, J. Opt. Soc. Am. A 11, 1237-1242; Myers and Barrett (1987), Addition of a channel
mechanism to the ideal-observer model, ibid. 4, 2447-2457; both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.colour.difference import small_differences
from brief.colour.spaces import Array, lab_through, lab_to_xyz, xyz_to_lab
from brief.colour.viewing.colour_vision import IDENTITY, NORMAL, Eyes
from brief.colour.viewing.distance import OPPONENT, arc_minutes, line_response, wave_response
from brief.errors import ColourInputError

PEAK = 4.0  # cycles a degree that the eye filter passes best (Burgess 1994, from memory)
SLOPE = 1e-4  # of XYZ, over which slopes are taken
# Set by blind looks, see tests/colour/test_looks.py: how much of the wood beside a line counts, as
# the standard deviation of its weights; the eye's own noise for a line of one minute of arc,
# CIEDE2000; and the d' from which a line is found, and from which it stands out at a glance.
BESIDE_MM = 12.0
OWN_NOISE = 3.7
FOUND, STANDS_OUT = 0.43, 0.97
PICTURES, AGREE_FOUND, AGREE_STANDS_OUT = 300, 0.93, 0.90  # on boards neither was set on
WIDEST = 14.0  # minutes of arc: 2 mm from 0.5 m, the widest line that was looked at
# Where no photograph of the wood has a scale. Of the boards of those looks: 9 in 10 pieces stray
# under a line by less than this share of what the board's pixels stray about their mean; and the
# middle one of all strays by this much, CIEDE2000.
SHARE_OF_SPREAD, USUAL_GRAIN = 0.6, 1.6
AREA_MM = 10.0  # how wide an inlay is judged, and drawn, whose width is not given


@dataclass(frozen=True)
class LinePiece:
    """A piece of a board, right across which a line is to run.

    Attributes
    ----------
    rows : ndarray, shape (s, r, 3)
        CIELAB less the board's own colour, D65 / 2°: of s strips that follow each other along the
        line, the mean of each of r rows along it.
    mm_per_row : float, above 0
    at : float, 0 to 1
        Where the middle of the line is, as a share of the rows.

    Raises
    ------
    ColourInputError
        If the rows are not finite or of another shape, or `mm_per_row` is not above 0.
    """

    rows: Array
    mm_per_row: float
    at: float = 0.5

    def __post_init__(self) -> None:
        if self.rows.ndim != 3 or self.rows.shape[2] != 3 or not np.isfinite(self.rows).all():
            raise ColourInputError(
                f"rows of a piece must be finite, of shape (s, r, 3); got {self.rows.shape}"
            )
        if not 0 < self.mm_per_row < np.inf:
            raise ColourInputError(f"mm_per_row must be above 0; got {self.mm_per_row}")

    @cached_property
    def weights(self) -> Array:
        """How much each row counts: the nearer to the line, the more; of mean 1, shape (r,)."""
        count = self.rows.shape[1]
        off = (np.arange(count) + 0.5 - self.at * count) * self.mm_per_row / BESIDE_MM
        near = np.exp(-(off**2) / 2)
        weights: Array = near / near.mean()
        return weights

    @cached_property
    def beside(self) -> Array:
        """The wood beside the line, less the board's own colour, CIELAB, shape (3,)."""
        mean: Array = np.average(self.rows.mean(axis=0), axis=0, weights=self.weights)
        return mean


def eye_filter(cycles_per_degree: ArrayLike) -> Array:
    """How much of a grating the eye passes, at most 1: f^1.3 exp(-c f²), Burgess 1994."""
    f = np.asarray(cycles_per_degree, dtype=np.float64) / PEAK
    passed: Array = f**1.3 * np.exp(0.65 * (1 - f**2))
    return passed


def npwe(
    signal: NDArray[np.inexact], power: NDArray[np.inexact], eye: ArrayLike
) -> tuple[Array, Array]:
    """What the template gives on the signal, and its standard deviation over the bare ground.

    Parameters
    ----------
    signal : ndarray, shape (..., c, n)
        Discrete Fourier transform of the expected difference, by channel, all frequencies in one
        axis.
    power : ndarray, shape (..., c, c, n)
        Cross power spectrum of the ground; its sum over n, by n, is the covariance of the channels.
    eye : array_like, shape (..., n)
        How much the eye passes of each frequency.

    Returns
    -------
    given, strays : ndarray, shape (...)
        d' is the first over the second.

    References
    ----------
    Burgess (1994) and Myers and Barrett (1987), as in the head of this module, from memory.
    """
    count = signal.shape[-1]
    template = np.asarray(eye)[..., np.newaxis, :] ** 2 * signal
    given = (np.conj(template) * signal).real.sum(axis=(-2, -1)) / count
    strays = np.einsum("...cn,...cdn,...dn->...", np.conj(template), power, template).real
    return given, np.sqrt(np.maximum(strays, 0.0) / count)


def grain_about_line(
    piece: LinePiece,
    ground: ArrayLike,
    line: ArrayLike,
    widths_mm: ArrayLike,
    distances_m: ArrayLike,
    matrix: ArrayLike = IDENTITY,
    seen_by: Eyes = NORMAL,
) -> Array:
    """How far the bare wood strays under the template of a line, CIEDE2000.

    What the eye keeps of a line, over this, is its d' in this wood for an eye without any noise of
    its own.

    Parameters
    ----------
    piece : LinePiece
    ground, line : array_like, shape (3,)
        CIELAB in daylight, D65 / 2°; of the board, not of the piece.
    widths_mm, distances_m : array_like, above 0, broadcast to (k,)
    matrix : array_like, shape (3, 3)
        Of the light, on linear sRGB.
    seen_by : Eyes

    Returns
    -------
    ndarray, shape (k,)

    Raises
    ------
    ColourInputError
        If a number is not finite, or a width or distance is not above 0.
    """
    widths, distances = np.broadcast_arrays(np.atleast_1d(widths_mm), np.atleast_1d(distances_m))
    lit = lab_to_xyz(lab_through(np.asarray(ground) + piece.rows, matrix)) @ OPPONENT.T
    mean = np.average(lit.mean(axis=0), axis=0, weights=piece.weights)
    gap = lab_to_xyz(lab_through(line, matrix)) @ OPPONENT.T - mean
    steps = as_differences(mean, seen_by)

    # Real numbers, so that the negative frequencies repeat the positive ones; as much again of
    # nothing is added, or the piece would go round; and the eye passes nothing of the mean.
    count = piece.rows.shape[1]
    near = (lit - mean) * np.sqrt(piece.weights)[:, np.newaxis]
    waves = np.fft.rfft(near, 2 * count, axis=1)[:, 1:]
    power = np.einsum("snc,snd->ncd", waves, np.conj(waves)).real / (len(waves) * count)
    row_degrees = arc_minutes(piece.mm_per_row, distances)[:, np.newaxis] / 60
    degrees = arc_minutes(widths, distances)[:, np.newaxis] / 60
    f = np.arange(1, count + 1) / (2 * count) / row_degrees
    kept = wave_response(f)
    box = (degrees / row_degrees * np.sinc(f * degrees))[..., np.newaxis]
    signal = np.moveaxis((kept * gap * box) @ steps.T, -1, -2)
    left = kept[..., :, np.newaxis] * kept[..., np.newaxis, :] * power
    left = left.reshape(*f.shape, 9) @ np.kron(steps, steps).T
    seen_power = np.moveaxis(left.reshape(*f.shape, 3, 3), 1, -1)
    given, strays = npwe(signal, seen_power, eye_filter(f))
    height = np.linalg.norm((line_response(widths, distances) * gap) @ steps.T, axis=-1)
    found: Array = np.divide(height * strays, given, out=np.zeros_like(given), where=given > 0)
    return found


def noise(grain: ArrayLike, widths_mm: ArrayLike, distances_m: ArrayLike) -> Array:
    """What a line is told from, CIEDE2000: the grain about it and the eye's own noise together.

    Parameters
    ----------
    grain : array_like
        Of `grain_about_line`.
    widths_mm, distances_m : array_like, above 0
        All three broadcast together.

    Returns
    -------
    ndarray
        A line of which so much is kept has a d' of 1.

    Raises
    ------
    ColourInputError
        As `arc_minutes`.

    Notes
    -----
    The eye sums its own noise over the width of the line: it falls as one over the root of its
    angle, up to the widest line that was looked at.
    """
    own = OWN_NOISE / np.sqrt(np.minimum(arc_minutes(widths_mm, distances_m), WIDEST))
    together: Array = np.hypot(grain, own)
    return together


def usual_grain(spread: ArrayLike) -> Array:
    """The grain to assume about a line where the wood is known by its spread alone.

    Parameters
    ----------
    spread : array_like
        Root mean square CIEDE2000 of its pixels about its colour; NaN where it is not known.

    Returns
    -------
    ndarray
        CIEDE2000; our working figures, from the looks in tests/colour/test_looks.py.
    """
    known = np.asarray(spread, dtype=np.float64)
    taken: Array = np.where(np.isnan(known), USUAL_GRAIN, SHARE_OF_SPREAD * known)
    return taken


def as_differences(mean: Array, seen_by: Eyes = NORMAL) -> Array:
    """The matrix from small opponent steps to lightness, chroma and hue of CIEDE2000.

    Parameters
    ----------
    mean : ndarray, shape (3,)
        The colour stepped from, in the opponent space of `OPPONENT`.
    seen_by : Eyes

    Returns
    -------
    ndarray, shape (3, 3)
        Without the rotation of blue hues, which wood does not have.
    """
    back = np.linalg.inv(OPPONENT).T

    def lab(opponent: Array) -> Array:
        return lab_through(xyz_to_lab(opponent @ back), seen_by.matrix)

    slopes = (lab(mean + SLOPE * np.eye(3)) - lab(mean - SLOPE * np.eye(3))).T / (2 * SLOPE)
    steps: Array = small_differences(lab(mean)) @ slopes
    return steps
