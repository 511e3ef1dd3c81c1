"""Looks as Mitsuba's surfaces. Every colour is a spectrum; no red, green and blue goes in."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

from brief.colour.spaces import Array
from brief.colour.viewing.spectra import WAVELENGTHS, reflectance_of
from brief.studio.coats import COATS, IOR, below
from brief.studio.figure import figured
from brief.studio.looks import Look
from brief.studio.renderer import mitsuba
from brief.wood.gloss import Gloss

Described: TypeAlias = dict[str, Any]
METAL_ROUGHNESS = 0.12  # drawn wire and sheet that were rubbed, not polished; no source
BRIGHTEST = 0.95  # of what a metal that is known by its colour alone mirrors at most


def spectrum(values: Array) -> Described:
    """Values in 5 nm from 380 to 780 nm."""
    return {
        "type": "regular",
        "wavelength_min": float(WAVELENGTHS[0]),
        "wavelength_max": float(WAVELENGTHS[-1]),
        "values": ", ".join(f"{value:.6g}" for value in values),
    }


def coated(reflectance: Array, gloss: Gloss) -> Described:
    """One colour under its coat."""
    coat = COATS[gloss]
    inner = spectrum(below(reflectance, gloss))
    if coat is None:
        return {"type": "diffuse", "reflectance": inner}
    return {
        "type": "roughplastic",
        "distribution": "beckmann",
        "alpha": coat.roughness,
        "int_ior": IOR,
        "diffuse_reflectance": inner,
    }


def surface(look: Look) -> Described:
    """The surface of a look, seen from both sides."""
    return {"type": "twosided", "bsdf": _one_sided(look)}


def _one_sided(look: Look) -> Described:
    if look.substance == "metal":
        return _metal(look)
    if look.picture is None:
        return coated(reflectance_of(look.lab), look.gloss)
    parted = figured(look.picture, look.lab, axes=2 if look.substance == "shell" else 1)
    below_each = [coated(reflectance_of(end), look.gloss) for end in parted.ends]
    for mask in parted.masks:
        below_each = [
            {"type": "blendbsdf", "weight": _mask(mask), "dark": dark, "light": light}
            for dark, light in zip(below_each[::2], below_each[1::2], strict=True)
        ]
    return below_each[0]


def _metal(look: Look) -> Described:
    made: Described = {
        "type": "roughconductor",
        "distribution": "ggx",
        "alpha": METAL_ROUGHNESS,
        "material": look.conductor or "none",
    }
    if look.conductor is None:
        tint = reflectance_of(look.lab)
        made["specular_reflectance"] = spectrum(tint / tint.max() * BRIGHTEST)
    return made


def _mask(values: np.ndarray[Any, np.dtype[np.float32]]) -> Described:
    return {
        "type": "bitmap",
        "bitmap": mitsuba().Bitmap(np.ascontiguousarray(values[..., np.newaxis])),
        "raw": True,
        "wrap_mode": "mirror",
    }
