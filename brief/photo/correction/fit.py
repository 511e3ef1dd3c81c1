"""Fitting what a camera recorded to colours that are known, judged on colours it was not shown.

The unknowns are the coefficients that turn the camera's channels into XYZ and, where wanted, how
the light varies over the chart. All enter linearly: the light multiplies the known colours, not
the recorded ones. Errors in XYZ are weighted so that their squares are squares of CIEDE2000 to
first order, and leaving a colour out costs no second pass over the others.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from brief.colour import delta_e_2000, delta_e_2000_parts, xyz_to_lab
from brief.colour.spaces import Array

_DARKEST = 0.01  # of the light at 0
_BRIGHTEST = 10.0  # times white
_STEP = 1e-6  # of XYZ; a grey of the chart has chroma enough for this to be small beside it


@dataclass(frozen=True)
class Model:
    """The kind of fit.

    Attributes
    ----------
    root : bool
        Whether also the square roots of products of two channels count: a root-polynomial of
        degree 2, which keeps to the colour however bright it is; otherwise a 3 × 3 matrix.
    veil : bool
        Whether there is a constant, for stray light over the whole picture.

    References
    ----------
    Finlayson, Mackiewicz and Hurlbert (2015), doi:10.1109/TIP.2015.2405336.
    """

    root: bool
    veil: bool

    def terms(self, linear: Array) -> Array:
        """Linear RGB of shape (..., 3) as the terms the coefficients multiply, shape (..., m)."""
        columns = [linear]
        if self.root:
            red, green, blue = np.moveaxis(np.sqrt(np.maximum(linear, 0.0)), -1, 0)
            columns.append(np.stack([red * green, red * blue, green * blue], axis=-1))
        if self.veil:
            columns.append(np.ones((*linear.shape[:-1], 1)))
        return np.concatenate(columns, axis=-1)


MODELS = tuple(Model(root, veil) for root in (False, True) for veil in (False, True))


@dataclass(frozen=True)
class Fit:
    """Coefficients, shape (3, m), from terms to XYZ, and the slopes of the light, shape (k,)."""

    model: Model
    coefficients: Array
    slopes: Array

    def xyz(self, linear: Array) -> Array:
        """XYZ, none below 0, of linear RGB of shape (..., 3) under the light at the middle."""
        xyz: Array = np.maximum(self.model.terms(linear) @ self.coefficients.T, 0.0)
        return xyz


def fit_colours(
    model: Model, linear: Array, target: Array, light: Array | None = None
) -> tuple[Fit, Array]:
    """Fit recorded colours to known ones.

    Parameters
    ----------
    model : Model
    linear : ndarray, shape (n, 3)
        As recorded, linear RGB.
    target : ndarray, shape (n, 3)
        XYZ, Y of white = 1.
    light : ndarray, shape (n, k), optional
        The k ways in which the light may vary from colour to colour; fitted is how much of each
        there is, as a share of the light at 0.

    Returns
    -------
    fit : Fit
    misses : ndarray, shape (n,)
        For each colour the CIEDE2000 by which a fit to the others misses it.
    """
    terms = model.terms(linear)
    varying = np.zeros((len(linear), 0)) if light is None else light
    rows, wanted = _system(terms, target, varying, _metric(target.tobytes()))
    scale = np.sqrt((rows**2).sum(axis=(0, 1)))
    rows = rows / scale
    each = np.einsum("ija,ijb->iab", rows, rows)
    right = np.einsum("ija,ij->ia", rows, wanted)
    whole, whole_right = each.sum(axis=0), right.sum(axis=0)
    without = np.linalg.solve(whole - each, (whole_right - right)[..., None])[..., 0] / scale
    count = 3 * terms.shape[1]
    coefficients = without[:, :count].reshape(len(linear), 3, -1)
    shade = 1 + np.einsum("ik,ik->i", without[:, count:], varying)
    missed = np.einsum("ikm,im->ik", coefficients, terms) / shade[:, None]
    misses = _apart(missed, target)
    found = np.linalg.solve(whole, whole_right) / scale
    return Fit(model, found[:count].reshape(3, -1), found[count:]), misses


def fit_error(linear: Array, target: Array, light: Array, *, rounds: int) -> tuple[Array, Array]:
    """CIEDE2000 that a 3 × 3 fit leaves at each colour, and the slopes of the light.

    For telling arrangements apart, and outliers from the rest: it is judged on the very colours
    that it was made from. From the second round on a colour counts the less the more the last fit
    missed it, so that a few that are covered or glare do not matter; the round with the least
    median is returned.

    Parameters
    ----------
    linear, target : ndarray, shape (n, 3)
        As `fit_colours`.
    light : ndarray, shape (n, k)
    rounds : int, 1 or more

    Returns
    -------
    errors : ndarray, shape (n,)
    slopes : ndarray, shape (k,)
    """
    rows, wanted = _system(linear, target, light, np.eye(3))
    weight = np.ones((len(linear), 1))
    tried = []
    for _ in range(rounds):
        equations = (rows * weight[..., None]).reshape(-1, rows.shape[2])
        found = np.linalg.lstsq(equations, (wanted * weight).ravel(), rcond=None)[0]
        slopes = np.asarray(found[9:], dtype=np.float64)
        shade = np.maximum(1 + light @ slopes, _DARKEST)
        xyz = linear @ found[:9].reshape(3, 3).T / shade[:, None]
        errors = _apart(xyz, target)
        tried.append((errors, slopes))
        weight = 1 / np.maximum(errors, 1.0)[:, None]
    return min(tried, key=lambda errors_and_slopes: float(np.median(errors_and_slopes[0])))


def _apart(xyz: Array, target: Array) -> Array:
    """CIEDE2000; a fit to colours that are all alike may land anywhere, and is kept in range."""
    return delta_e_2000(xyz_to_lab(np.clip(xyz, 0.0, _BRIGHTEST)), xyz_to_lab(target))


def _system(terms: Array, target: Array, light: Array, metric: Array) -> tuple[Array, Array]:
    """The equations, shape (n, 3, 3 m + k), and their right sides, shape (n, 3)."""
    metric = np.broadcast_to(metric, (len(terms), 3, 3))
    wanted = np.einsum("ijk,ik->ij", metric, target)
    by_terms = np.einsum("ijk,im->ijkm", metric, terms).reshape(len(terms), 3, -1)
    by_light = -wanted[:, :, None] * light[:, None, :]
    return np.concatenate([by_terms, by_light], axis=2), wanted


@lru_cache(maxsize=64)
def _metric(target: bytes) -> NDArray[np.float64]:
    """From a small step in XYZ to the lightness, chroma and hue parts of CIEDE2000."""
    xyz = np.frombuffer(target).reshape(-1, 3)
    lab = xyz_to_lab(xyz)
    columns = []
    for axis in np.eye(3):
        parts = delta_e_2000_parts(lab, xyz_to_lab(xyz + _STEP * axis))
        columns.append(np.stack([parts.lightness, parts.chroma, parts.hue], axis=-1) / _STEP)
    return np.stack(columns, axis=-1)
