"""Contrast that a camera or an app put on, taken off well enough to know a colour chart by.

A tone curve bends the greys of a chart, so that a straight fit misses, as it misses where light is
uneven. Whoever tells a chart or a shadow from a misfit tries a few curves and takes the best.
"""

from __future__ import annotations

import numpy as np

from brief.colour import linear_to_srgb, srgb_to_linear
from brief.colour.spaces import Array

# Exponents of x**g / (x**g + (1 - x)**g) on the levels of sRGB, 0 to 1, none first. Our own
# choice: with them measured curves of cameras leave a chart within 6 CIEDE2000, from up to 15.
CONTRASTS = (1.0, 1.35, 1.8, 2.4)
_END = 1e-4  # of the range; the curve is flat at its ends


def without_contrast(linear: Array, contrast: float) -> Array:
    """Linear RGB, 0 to 1, as it was before that contrast was put on."""
    if contrast == 1.0:
        return linear
    level = np.clip(linear_to_srgb(np.clip(linear, 0.0, 1.0)), _END, 1 - _END)
    return srgb_to_linear(1 / (1 + ((1 - level) / level) ** (1 / contrast)))
