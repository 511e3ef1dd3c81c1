"""Makes lights.json, spectra.json, eyes.json and daylight.json.

By `python -m brief.colour.viewing.light_tables`. Their data is colour-science's. They are kept so
that colour-science is not needed where they are used.
"""

from __future__ import annotations

import json
from importlib.resources import files
from itertools import product
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from brief.colour.reference_library import colour_science
from brief.colour.spaces import Array
from brief.colour.viewing.light_fit import errors, left_out_errors, linear_to_lab, white_held_fit
from brief.colour.viewing.light_surfaces import daylight, linear_in, sums, surface_sets
from brief.quiet import quiet

CIE_LIGHTS = (
    "A", "D50", "D55", "D65", "D75",
    *(f"FL{n}" for n in range(1, 13)),
    *(f"FL3.{n}" for n in range(1, 16)),
    *(f"HP{n}" for n in range(1, 6)),
    *(f"LED-B{n}" for n in range(1, 6)),
    "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2",
)  # fmt: skip
Pairs: TypeAlias = dict[str, tuple[Array, Array]]
GLOWING_K = (2200, 2500, 2700, 3000, 3300, 3600, 4000)  # filaments, by Planck's law
MOST = 0.95  # what an uncertainty means in `brief.colour.consensus`, too
# What the fits were tried with; that which does best on sets left out is kept for all lights.
EXPONENTS = (0.0, 0.17, 0.33, 0.5, 0.67)
RIDGES = (1e-4, 3e-4, 1e-3, 3e-3, 1e-2)


def lights_table() -> list[dict[str, Any]]:
    """The rows of lights.json, one for each light.

    Returns
    -------
    list of dict
        key; kelvin, the correlated colour temperature (Ohno 2013); rendering, CIE Ra; model, which
        foretells it best, and its matrix; uncertainty and mean, CIEDE2000 that 95 in 100 stay
        within and their mean, on sets of surfaces that it was not fitted to.

    Notes
    -----
    Every set counts the same, but no doubt is drawn from woods, whose spectra are made up.
    """
    spectra = _spectra()
    sets = surface_sets()
    lit = {key: _lit(sets, spectrum) for key, spectrum in spectra.items()}
    exponent, ridge = _best_fit([pairs for key, pairs in lit.items() if key != "D65"])
    return [_light(key, spectra[key], lit[key], exponent, ridge) for key in spectra]


def spectra_table() -> list[dict[str, Any]]:
    """The rows of spectra.json: key, and power at 380, 385, ... 780 nm, its largest 10,000."""
    shape = colour_science().SpectralShape(380, 780, 5)
    rows = []
    for key, spectrum in _spectra().items():
        power = spectrum.copy().align(shape).values
        rows.append({"key": key, "power": np.rint(power / power.max() * 1e4).astype(int).tolist()})
    return rows


def eyes_table() -> dict[str, list[list[list[float]]]]:
    """The matrices of each kind of eyes, for severities 0, 0.1, ... 1."""
    tables = colour_science().CVD_MATRICES_MACHADO2010
    named = {"protan": "Protanomaly", "deutan": "Deuteranomaly", "tritan": "Tritanomaly"}
    return {
        kind: [np.asarray(tables[name][step]).tolist() for step in sorted(tables[name])]
        for kind, name in named.items()
    }


def daylight_bands() -> Array:
    """XYZ of a perfect diffuser in D65, in bands of 5 nm from 380 to 780 nm, shape (81, 3).

    CIE 1931 observer; they sum to the white, whose Y is 1.
    """
    bands, _ = sums(daylight())
    return bands


def recovered_matrix(spectrum: Any) -> Array:
    """Linear sRGB in daylight to linear sRGB in that light, adapted back to daylight, shape (3, 3).

    References
    ----------
    The reflectance of a colour is recovered on the basis of Mallett and Yuksel (2019), summed up
    under the light for the 2° observer, and adapted by CAT16 (Li et al. 2017), fully.
    """
    basis = colour_science().recovery.MSDS_BASIS_FUNCTIONS_sRGB_MALLETT2019.values.T
    return linear_in(basis, spectrum).T


def _best_fit(lights: list[Pairs]) -> tuple[float, float]:
    """Exponent and ridge that foretell sets left out best: least mean over lights and sets."""

    def mean_error(choice: tuple[float, float]) -> float:
        exponent, ridge = choice
        return float(
            np.mean(
                [
                    [
                        off.mean()
                        for off in left_out_errors(pairs, exponent=exponent, ridge=ridge).values()
                    ]
                    for pairs in lights
                ]
            )
        )

    return min(product(EXPONENTS, RIDGES), key=mean_error)


def _spectra() -> dict[str, Any]:
    """Each light's spectrum, by key."""
    science = colour_science()
    spectra = {key: science.SDS_ILLUMINANTS[key] for key in CIE_LIGHTS}
    for kelvin in GLOWING_K:
        spectra[f"{kelvin} K"] = science.sd_blackbody(kelvin, science.SpectralShape(380, 780, 5))
    return spectra


def _lit(sets: dict[str, Array], spectrum: Any) -> Pairs:
    """Each set in daylight and in that light."""
    return {
        name: (linear_in(one, daylight()), linear_in(one, spectrum)) for name, one in sets.items()
    }


def _light(key: str, spectrum: Any, pairs: Pairs, exponent: float, ridge: float) -> dict[str, Any]:
    science = colour_science()
    model, matrix, off = _best_model(spectrum, pairs, exponent, ridge)
    uv = science.UCS_to_uv(science.XYZ_to_UCS(science.sd_to_XYZ(spectrum)))
    kelvin, _ = science.temperature.uv_to_CCT_Ohno2013(uv)
    return {
        "key": key,
        "kelvin": round(float(kelvin)),
        "rendering": round(float(science.colour_rendering_index(spectrum)), 1),
        "model": model,
        "matrix": np.round(matrix, 6).tolist(),
        "uncertainty": round(_most(off), 2),
        "mean": round(float(np.mean([one.mean() for one in off.values()])), 2),
    }


def _best_model(
    spectrum: Any, pairs: Pairs, exponent: float, ridge: float
) -> tuple[str, Array, dict[str, Array]]:
    """The model that goes least wrong on sets left out: its name, its matrix, its errors by set."""
    recovered = recovered_matrix(spectrum)
    models = {
        "none": (np.eye(3), _errors_by_set(np.eye(3), pairs)),
        "recovered": (recovered, _errors_by_set(recovered, pairs)),
        "fitted": (
            white_held_fit(list(pairs.values()), exponent=exponent, ridge=ridge),
            left_out_errors(pairs, exponent=exponent, ridge=ridge),
        ),
    }
    name = min(
        models, key=lambda one: float(np.mean([off.mean() for off in models[one][1].values()]))
    )
    return name, *models[name]


def _errors_by_set(matrix: Array, pairs: Pairs) -> dict[str, Array]:
    return {name: errors(matrix, *one) for name, one in pairs.items()}


def _most(off: dict[str, Array]) -> float:
    """What `MOST` of the errors on measured surfaces are within, each set counting the same."""
    measured = [one for name, one in off.items() if name != "woods"]
    sizes = [len(one) for one in measured]
    weights = np.repeat([1 / size for size in sizes], sizes)
    return float(
        np.quantile(
            np.concatenate(measured), MOST, weights=weights / weights.sum(), method="inverted_cdf"
        )
    )


def write(folder: Path) -> None:
    """Write lights.json, spectra.json, daylight.json and eyes.json into a folder."""
    labs = linear_to_lab(linear_in(np.vstack(list(surface_sets().values())), daylight()))
    surfaces = np.round(labs, 2).tolist()
    lights = ",\n".join(json.dumps(row) for row in lights_table())
    lit = f'{{"surfaces": {json.dumps(surfaces)},\n"lights": [\n{lights}\n]}}\n'
    (folder / "lights.json").write_text(lit, encoding="utf-8")
    powers = ",\n".join(json.dumps(row) for row in spectra_table())
    (folder / "spectra.json").write_text(f"[\n{powers}\n]\n", encoding="utf-8")
    bands = ",\n".join(json.dumps(row) for row in np.round(daylight_bands(), 9).tolist())
    (folder / "daylight.json").write_text(f"[\n{bands}\n]\n", encoding="utf-8")
    (folder / "eyes.json").write_text(json.dumps(eyes_table()) + "\n", encoding="utf-8")


if __name__ == "__main__":
    with quiet:  # of what colour-science says of aligning tables
        write(Path(str(files("brief.colour.viewing"))))
