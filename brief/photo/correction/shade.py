"""Whether part of a colour chart lies in shade.

A shadow's edge shows as a step in the light between patches, where a lamp nearby makes a slope.
A tone curve makes neither, but a misfit that looks like both until it is undone.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
from numpy.typing import NDArray

from brief.colour.spaces import Array
from brief.photo.correction.chart_reference import PATCHES, SLOPE, reference_xyz
from brief.photo.correction.fit import fit_error
from brief.photo.correction.tone import KNOWN_BY, straightened

SURELY_EVEN = 2.0  # CIEDE2000, median left by a fit; with a step in the light it is more
EXPLAINS = 0.7  # of what a slope leaves; a step has to leave less
LEAST_USABLE = 18  # patches
LIKELY = 2  # curves, those that fit best without a shadow, with which one is looked for
LEAST_PATCHES = 3  # on the smaller side of a shadow's edge


def light_in_shade(linear: Array, usable: NDArray[np.bool_]) -> float:
    """The light on the darker part of a chart as a share of that on the other; 1 if all is even.

    Parameters
    ----------
    linear : ndarray, shape (24, 3)
        Mean linear RGB of the patches.
    usable : ndarray of bool, shape (24,)
        Those not blown out; with fewer than 18 the result is 1.

    Returns
    -------
    float
    """
    if np.count_nonzero(usable) < LEAST_USABLE:
        return 1.0
    target, slope = reference_xyz("after-2014")[usable], SLOPE[usable]
    likely = []
    for curve in KNOWN_BY:
        taken = straightened(linear[usable], curve)
        sloping = float(np.median(fit_error(taken, target, slope, rounds=1)[0]))
        if sloping < SURELY_EVEN:
            return 1.0
        likely.append((sloping, curve))
    likely = sorted(likely)[:LIKELY]
    least, share = EXPLAINS * likely[0][0], 1.0
    for (_, curve), side in product(likely, _sides()):
        light = np.column_stack([slope, side[usable] - 0.5])
        taken = straightened(linear[usable], curve)
        misses, slopes = fit_error(taken, target, light, rounds=1)
        if np.median(misses) < least:
            least, half = float(np.median(misses)), abs(float(slopes[2])) / 2
            share = (1 - half) / (1 + half)
    return share


def _sides() -> Iterator[NDArray[np.bool_]]:
    """The ways to part the patches by a straight line."""
    seen = set()
    for angle in np.radians(np.arange(0, 180, 30) + 0.5):  # the half keeps ties apart
        ranks = np.argsort(np.argsort(SLOPE @ [np.cos(angle), np.sin(angle)]))
        for count in range(LEAST_PATCHES, PATCHES - LEAST_PATCHES + 1):
            side = ranks < count
            if side.tobytes() not in seen:
                seen.add(side.tobytes())
                yield side
