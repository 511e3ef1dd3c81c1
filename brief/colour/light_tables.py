"""Makes lights.json, eyes.json and daylight.json: `python -m brief.colour.light_tables`.

Their data is colour-science's. They are kept so that colour-science, which takes a second to
load, is not needed where they are used.
"""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from brief.colour.difference import delta_e_2000
from brief.colour.libraries import colour_science
from brief.colour.spaces import D65_WHITE, SRGB_TO_XYZ, XYZ_TO_SRGB, Array, xyz_to_lab
from brief.quiet import quiet

CIE_LIGHTS = (
    "A", "D50", "D55", "D65", "D75",
    *(f"FL{n}" for n in range(1, 13)),
    *(f"FL3.{n}" for n in range(1, 16)),
    *(f"HP{n}" for n in range(1, 6)),
    *(f"LED-B{n}" for n in range(1, 6)),
    "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2",
)  # fmt: skip
GLOWING_K = (2200, 2500, 2700, 3000, 3300, 3600, 4000)  # filaments, by Planck's law
CHART = "ISO 17321-1"  # reflectances of a 24-patch chart
MOST = 95  # in 100: what an uncertainty means in `brief.colour.combine`, too


def lights_table() -> list[dict[str, Any]]:
    """Each light: key, correlated colour temperature, CIE Ra, matrix, and how far the model goes
    wrong on 123 surfaces, see `surface_labs`: CIEDE2000 that 95 in 100 stay within, and their mean.
    """
    science = colour_science()
    spectra = {key: science.SDS_ILLUMINANTS[key] for key in CIE_LIGHTS}
    for kelvin in GLOWING_K:
        spectra[f"{kelvin} K"] = science.sd_blackbody(kelvin, science.SpectralShape(380, 780, 5))
    return [_light(key, spectrum) for key, spectrum in spectra.items()]


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
    bands, _ = _sums(colour_science().SDS_ILLUMINANTS["D65"])
    return bands


def light_matrix(spectrum: Any) -> Array:
    """Linear sRGB in daylight to linear sRGB in that light, adapted back to daylight.

    The reflectance of a colour is recovered on the basis of Mallett and Yuksel (2019), summed up
    under the light for the 2° observer, and adapted by CAT16 (Li et al. 2017), fully.
    """
    basis = colour_science().recovery.MSDS_BASIS_FUNCTIONS_sRGB_MALLETT2019.values.T
    to_xyz, white = _sums(spectrum)
    seen: Array = XYZ_TO_SRGB @ _adapted(white) @ (basis @ to_xyz).T
    return seen


def surface_labs(spectrum: Any) -> Array:
    """123 surfaces by their own spectra in that light, adapted to daylight: Lab, shape (123, 3).

    The 24 patches of a chart first (ISO 17321-1), then the 99 samples of CIE 224:2017: nature,
    skin, textiles, paints, plastics, prints.
    """
    to_xyz, white = _sums(spectrum)
    return xyz_to_lab(_reflectances() @ to_xyz @ _adapted(white).T)


def surfaces_linear() -> Array:
    """The same surfaces in daylight, linear sRGB, shape (123, 3)."""
    to_xyz, white = _sums(colour_science().SDS_ILLUMINANTS["D65"])
    linear: Array = _reflectances() @ to_xyz @ _adapted(white).T @ XYZ_TO_SRGB.T
    return linear


def _light(key: str, spectrum: Any) -> dict[str, Any]:
    science = colour_science()
    matrix = np.eye(3) if key == "D65" else light_matrix(spectrum)
    told = xyz_to_lab(surfaces_linear() @ matrix.T @ SRGB_TO_XYZ.T)
    off = delta_e_2000(told, surface_labs(spectrum))
    uv = science.UCS_to_uv(science.XYZ_to_UCS(science.sd_to_XYZ(spectrum)))
    kelvin, _ = science.temperature.uv_to_CCT_Ohno2013(uv)
    return {
        "key": key,
        "kelvin": round(float(kelvin)),
        "rendering": round(float(science.colour_rendering_index(spectrum)), 1),
        "matrix": np.round(matrix, 6).tolist(),
        "uncertainty": round(float(np.percentile(off, MOST, method="higher")), 2),
        "mean": round(float(off.mean()), 2),
    }


def _sums(spectrum: Any) -> tuple[Array, Array]:
    """What turns reflectances at 380, 385, ... 780 nm into XYZ, shape (81, 3), and the white."""
    science = colour_science()
    shape = science.SpectralShape(380, 780, 5)
    observer = science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    power = spectrum.copy().align(shape).values[:, np.newaxis] * observer
    to_xyz: Array = power / power[:, 1].sum()
    return to_xyz, to_xyz.sum(axis=0)


def _adapted(white: Array) -> Array:
    matrix: Array = colour_science().adaptation.matrix_chromatic_adaptation_VonKries(
        white, D65_WHITE, transform="CAT16"
    )
    return matrix


def _reflectances() -> Array:
    science = colour_science()
    shape = science.SpectralShape(380, 780, 5)
    patches = science.SDS_COLOURCHECKERS[CHART].values()
    chart = np.array([patch.copy().align(shape).values for patch in patches])
    samples = science.quality.cfi2017.load_TCS_CIE2017(shape)
    return np.vstack([chart, samples.values.T])


def write(folder: Path) -> None:
    surfaces = np.round(xyz_to_lab(surfaces_linear() @ SRGB_TO_XYZ.T), 2).tolist()
    lights = ",\n".join(json.dumps(row) for row in lights_table())
    lit = f'{{"surfaces": {json.dumps(surfaces)},\n"lights": [\n{lights}\n]}}\n'
    (folder / "lights.json").write_text(lit, encoding="utf-8")
    bands = ",\n".join(json.dumps(row) for row in np.round(daylight_bands(), 9).tolist())
    (folder / "daylight.json").write_text(f"[\n{bands}\n]\n", encoding="utf-8")
    (folder / "eyes.json").write_text(json.dumps(eyes_table()) + "\n", encoding="utf-8")


if __name__ == "__main__":
    with quiet:  # of what colour-science says of aligning tables
        write(Path(str(files("brief.colour"))))
