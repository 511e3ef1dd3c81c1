"""Harmony of a pair of colours after Ou and Luo (2006)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import FloatOrArray
from brief.colour.spaces import Array, as_pair, lab_to_lch


@dataclass(frozen=True)
class Harmony(Generic[FloatOrArray]):
    """A harmony score and its three parts: total = chromatic + lightness + hue.

    From about -1.3 to 1.6 over all of sRGB; higher is more harmonious. Nearly every pair of woods
    scores below 0 in hue, since the model marks orange-browns down: rank pairs against each other
    and do not read the total as a mark.
    """

    total: FloatOrArray
    chromatic: FloatOrArray
    lightness: FloatOrArray
    hue: FloatOrArray


def pair_harmony(lab_1: ArrayLike, lab_2: ArrayLike) -> Harmony[Array]:
    """How well two colours go together, as observers judged patches side by side on a screen.

    Parameters
    ----------
    lab_1, lab_2 : array_like, shape (..., 3), broadcast together
        CIELAB, D65 / 2°; L in [0, 100].

    Returns
    -------
    Harmony of ndarrays, shape (...)
        The same whichever colour comes first.

    Raises
    ------
    ColourInputError
        If a last axis is not 3 long, a value is not finite, or the shapes do not broadcast.

    Notes
    -----
    The model comes from uniform patches on a grey surround; figured wood is neither.

    References
    ----------
    Ou and Luo (2006), A colour harmony model for two-colour combinations, Color Research &
    Application 31(3), 191-204.

    Examples
    --------
    >>> round(float(pair_harmony([85, 3, 18], [25, 3, 3]).total), 4)
    0.3165
    """
    one, two, _ = as_pair(lab_1, lab_2)
    L_1, C_1, h_1 = np.moveaxis(lab_to_lch(one), -1, 0)
    L_2, C_2, h_2 = np.moveaxis(lab_to_lch(two), -1, 0)

    # The metric hue difference ΔH*, not the angle between the hues.
    dH = 2 * np.sqrt(C_1 * C_2) * np.sin(np.radians(h_2 - h_1) / 2)
    dC = np.hypot(dH, (C_2 - C_1) / 1.46)
    chromatic = 0.04 + 0.53 * np.tanh(0.8 - 0.045 * dC)

    of_sum = 0.28 + 0.54 * np.tanh(-3.88 + 0.029 * (L_1 + L_2))
    of_difference = 0.14 + 0.15 * np.tanh(-2 + 0.2 * np.abs(L_1 - L_2))
    lightness = of_sum + of_difference

    hue = _hue_effect(L_1, C_1, h_1) + _hue_effect(L_2, C_2, h_2)
    return Harmony(chromatic + lightness + hue, chromatic, lightness, hue)


def _hue_effect(L: Array, C: Array, h_deg: Array) -> Array:
    """What one colour brings by its hue; nothing to speak of where it has no chroma."""
    E_C = 0.5 + 0.5 * np.tanh(-2 + 0.5 * C)
    H_S = -0.08 - 0.14 * np.sin(np.radians(h_deg + 50)) - 0.07 * np.sin(np.radians(2 * h_deg + 90))
    from_yellow = (90 - h_deg) / 10
    E_Y = (0.22 * L - 12.8) / 10 * np.exp(from_yellow - np.exp(from_yellow))
    return E_C * (H_S + E_Y)
