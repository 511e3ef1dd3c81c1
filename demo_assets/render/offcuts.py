"""Offcuts of the invented timbers, finished or aged: the same wood, otherwise coloured."""

from __future__ import annotations

import numpy as np

from brief.colour import lab_to_srgb, srgb_to_lab
from demo_assets.render import wood
from demo_assets.render.noise import Array

ROWS, COLUMNS = slice(200, 1000), slice(160, 960)


def cedar_polished() -> Array:
    """Western red cedar under French polish: darker, redder, its late wood deeper."""
    return _turned(wood.cedar(), (-6.4, 3.6, 5.2), 1.12)


def walnut_polished() -> Array:
    """Feathered walnut under French polish: darker and warmer, the plume livelier."""
    return _turned(wood.walnut(), (-7.2, 2.3, 3.4), 1.18)


def walnut_aged() -> Array:
    """The polished walnut after years by a window: lighter and yellower again."""
    return _turned(wood.walnut(), (-1.9, 2.6, 7.0), 1.08)


def _turned(srgb: Array, shift: tuple[float, float, float], contrast: float) -> Array:
    lab = srgb_to_lab(srgb[ROWS, COLUMNS])
    mean = lab.reshape(-1, 3).mean(axis=0)
    return np.asarray(lab_to_srgb(mean + shift + contrast * (lab - mean)))
