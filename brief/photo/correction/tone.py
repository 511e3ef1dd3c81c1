"""Light as it was before a camera's tone curve.

A camera brightens the middle of what it recorded and darkens the shadows, so that a picture
pleases on a screen. A correction that holds for light must have that undone first.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from brief.colour.spaces import Array

# p and q of R^(p + q √R), from the linear light R that a picture shows to that which came in, each
# channel for itself; black and white stay. Two terms of the generalised gamma curve (Ng, Chang and
# Lin 2007, from memory), which follow those of nine cameras within 4 % of the light.
Curve = tuple[float, float]

STRAIGHT: Curve = (1.0, 0.0)
# Nearly every camera and phone has a curve. This one, where nothing tells which it was, leaves
# shots with none, with a medium and with a strong one about as much in doubt as each other: no
# curve found has a worst of the three that is 5 % less.
TYPICAL: Curve = (0.81, 0.45)
# Enough to know a colour chart by, none first: they undo x^g / (x^g + (1 - x)^g) on the levels of
# sRGB, with g = 1.35, 1.8 and 2.4, within 5 % of the light. With them measured curves of cameras
# leave a chart within 6 CIEDE2000, one within 8, from up to 15.
KNOWN_BY: tuple[Curve, ...] = (STRAIGHT, (0.76, 0.21), (0.57, 0.4), (0.45, 0.5))
_FLATTEST = 0.2  # slope, logarithm to logarithm
_FIRST_TRIED = np.array([STRAIGHT, (0.8, 0.4), (1.1, 0.1)])
_MOST_TRIED = 40


def straightened(linear: Array, curve: Curve) -> Array:
    """Linear RGB of any shape, 0 and more, with the curve undone."""
    light = np.maximum(linear, 0.0)
    straight: Array = light ** (curve[0] + curve[1] * np.sqrt(light))
    return straight


def curve_by_two(dark: float, light: float, ratio: float) -> Curve:
    """The curve with which two greys come out as far apart as they are, by p; q is typical.

    The two say one thing of a curve that has two terms: p is what they say most surely.

    Parameters
    ----------
    dark, light : float, above 0
        Their linear light as the picture shows it.
    ratio : float, above 1
        Of their own light.

    Returns
    -------
    (float, float)
        p and q.
    """
    q = TYPICAL[1]
    bent = q * (np.sqrt(light) * np.log(light) - np.sqrt(dark) * np.log(dark))
    return float((np.log(ratio) - bent) / np.log(light / dark)), q


def rises(curve: Curve) -> bool:
    """Whether more light is more light after the curve, too, nowhere nearly flat.

    The slope of the logarithms is p + q √R (1 + ln √R), and the last part is −e⁻² to 1.
    """
    p, q = curve
    return p + min(q, -q * float(np.exp(-2))) >= _FLATTEST


def fit_curve(missed: Callable[[Curve], float]) -> Curve:
    """The curve with which `missed`, 0 or more, is least, by Nelder and Mead's method."""
    from scipy.optimize import minimize

    def tried(terms: Array) -> float:
        curve = float(terms[0]), float(terms[1])
        return missed(curve) if rises(curve) else float("inf")

    found = minimize(
        tried,
        STRAIGHT,
        method="Nelder-Mead",
        options={
            "initial_simplex": _FIRST_TRIED,
            "maxfev": _MOST_TRIED,
            "xatol": 0.05,
            "fatol": 0.02,
        },
    )
    return float(found.x[0]), float(found.x[1])
