"""Photographs by thirty measured cameras with tone curves, some to fit by, others to judge by.

What a camera does to colours is its sensitivities (rawtoaces-data of the Academy Software
Foundation, Apache-2.0, `tests/published/cameras`, each file with its header), a matrix, saturation
and a tone curve; what it looks at are lights and surfaces of colour-science. No phone is among the
cameras: none was found measured under a licence that lets it be kept here.

To fit by (`FIT`) and to judge by (`JUDGE`) nothing is shared:
cameras: Canon, ARRI and Panasonic | Nikon, Sony, Fujifilm and Hasselblad;
lights: 13 CIE illuminants | 20 other CIE illuminants and lamps measured by NIST and others;
surfaces: the 190 of raw-to-ACES | the 99 of CIE 224:2017, 15 of NIST's CQS 9.0, 14 of CIE 13.3;
tone curves: Nikon D750, Pentax K-5, mean of 201 | Canon 6D, X100S, E-M10 II, RX100M2, a phone's.
The chart is the same in both ("BabelColor Average"): there is but one to be had.
"""

from __future__ import annotations

import json
import warnings
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from brief.colour import linear_to_srgb, srgb_to_linear

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science

Floats = NDArray[np.float64]
FILES = Path(__file__).parents[1] / "published" / "cameras"
_NM = colour_science.SpectralShape(380, 780, 5)
_XYZ_TO_SRGB = np.linalg.inv(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
_Y = np.linalg.inv(_XYZ_TO_SRGB)[1]

# E^(a + b √E + c E), from light to the light that a screen shows, 0 to 1: three terms of the
# generalised gamma curve (Ng, Chang and Lin 2007, from memory). Fitted by us to 17 samples each of
# curves measured of cameras, within 0.009 of the range of sRGB codes (root mean square), and to
# the mean of the database of response functions (Grossberg and Nayar 2004).
CURVES = {
    "none": (1.0, 0.0, 0.0),
    "Nikon D750": (1.164, -2.065, 0.957),
    "Canon EOS 6D": (1.302, -2.636, 1.436),
    "Fujifilm X100S": (1.259, -2.090, 0.881),
    "Pentax K-5": (1.429, -1.916, 0.970),
    "Olympus E-M10 II": (1.318, -3.232, 2.342),
    "Sony RX100M2": (1.362, -1.980, 0.817),
    "a phone's": (1.662, -2.644, 1.334),
    "mean of 201": (1.377, -0.506, -0.223),
}
# Strong: where white comes out at 3/4 of the range, what gives back 3 % of the light comes out as
# 1.1 % of white or less; medium ones leave it 1.2 to 2 %.


@dataclass(frozen=True)
class Split:
    """What photographs are drawn from. medium, strong : names of tone curves."""

    makers: tuple[str, ...]
    lights: tuple[str, ...]
    surfaces: tuple[str, ...]
    medium: tuple[str, ...]
    strong: tuple[str, ...]

    @property
    def cameras(self) -> list[str]:
        return sorted(
            path.stem for path in FILES.glob("*.json") if path.name.startswith(self.makers)
        )


FIT = Split(
    makers=("Canon", "ARRI", "Panasonic"),
    lights=(
        *("A", "D50", "D55", "D65", "FL2", "FL3", "FL8", "FL11", "FL12"),
        *("LED-B1", "LED-B3", "LED-B5", "LED-V1"),
    ),
    surfaces=("raw-to-ACES",),
    medium=("Nikon D750", "Pentax K-5"),
    strong=("mean of 201",),
)
JUDGE = Split(
    makers=("Nikon", "Sony", "Fujifilm", "Hasselblad"),
    lights=(
        *("D60", "D75", "ID50", "FL4", "FL7", "FL9", "FL10", "FL3.4", "FL3.8", "FL3.14"),
        *("LED-B2", "LED-B4", "LED-BH1", "LED-V2", "Natural", "Incandescent", "Luxeon WW 2880"),
        *("60 A/W (Soft White)", "F32T8/TL830 (Triphosphor)", "F32T8/TL850 (Triphosphor)"),
    ),
    surfaces=("CIE 224", "CQS", "CIE 13.3"),
    medium=("Canon EOS 6D", "Fujifilm X100S", "Olympus E-M10 II"),
    strong=("Sony RX100M2", "a phone's"),
)


@dataclass(frozen=True)
class Shot:
    """One exposure by a camera.

    own : whether its matrix was made for this light; otherwise for daylight, as most are.
    balanced : whether white comes out white, as by an automatic balance; otherwise as in daylight.
    white : what a perfect white gets in its strongest channel, in the picture's linear light.
    veil : stray light, in linear RGB, on all alike.
    """

    camera: str
    light: str
    own: bool = False
    curve: str = "none"
    saturation: float = 1.0
    balanced: bool = True
    white: float = 0.75
    veil: float = 0.0

    def linear(self, surfaces: str | Floats, lit: Floats | float = 1.0) -> Floats:
        """Linear RGB of a set of surfaces, by name or as spectra, shape (n, 3), without noise.

        lit : how much light falls on each, shape (n,), as a share.
        """
        terms = CURVES[self.curve]
        rgb, white = self._rendered(surfaces), self._rendered("white").max()
        light = rgb / white * exposed(terms, self.white) * np.reshape(lit, (-1, 1))
        return toned(light, terms) + self.veil

    def seen(self, surfaces: str | Floats, rng: np.random.Generator) -> Floats:
        """As `linear`, as the mean of some hundred pixels of 8 bits gives it back."""
        codes = linear_to_srgb(np.clip(self.linear(surfaces), 0, 1))
        codes = codes + rng.normal(0, 0.15 / 255, codes.shape)
        return srgb_to_linear(np.clip(codes, 0, 1))

    def _rendered(self, surfaces: str | Floats) -> Floats:
        if isinstance(surfaces, str):
            recorded = _recorded(self.camera, self.light, surfaces)
        else:
            recorded = _as_recorded(self.camera, self.light, surfaces)
        if not self.balanced:
            daylight = _sensor(self.camera) @ _light("D65")
            recorded = recorded * (_sensor(self.camera) @ _light(self.light)) / daylight
        rgb = recorded @ _matrix(self.camera, self.light if self.own else "D65").T
        grey = (rgb @ _Y)[:, None]
        return grey + self.saturation * (rgb - grey)


def toned(light: Floats, terms: tuple[float, float, float]) -> Floats:
    """What a screen shows of light, both linear, 0 to 1."""
    light = np.clip(light, 1e-6, 1)
    root = np.sqrt(light)
    return light ** (terms[0] + terms[1] * root + terms[2] * light)


def exposed(terms: tuple[float, float, float], white: float) -> float:
    """The light that comes out as `white`."""
    light = np.linspace(0, 1, 2001)
    return float(np.interp(white, toned(light, terms), light))


@cache
def reflectances(which: str) -> Floats:
    """Spectra from 380 to 780 nm in steps of 5, shape (n, 81)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        match which:
            case "white":
                return np.ones((1, 81))
            case "chart":
                spectra = colour_science.SDS_COLOURCHECKERS["BabelColor Average"].values()
            case "raw-to-ACES":
                return _aligned(colour_science.characterisation.read_training_data_rawtoaces_v1())
            case "CIE 224":
                return _aligned(colour_science.quality.cfi2017.load_TCS_CIE2017(_NM))
            case "CQS":
                spectra = colour_science.quality.SDS_VS["NIST CQS 9.0"].values()
            case "CIE 13.3":
                spectra = colour_science.quality.SDS_TCS["CIE 1995"].values()
        return np.array([_aligned(one) for one in spectra])


@cache
def true_xyz(which: str) -> Floats:
    """Under D65, 2°; a perfect white has Y = 1 and the white of sRGB."""
    light, eye = _light("D65"), _eye()
    white = np.linalg.inv(_XYZ_TO_SRGB).sum(axis=1)
    return (reflectances(which) * light) @ eye.T / (eye @ light) * white


@cache
def _recorded(camera: str, light: str, surfaces: str) -> Floats:
    return _as_recorded(camera, light, reflectances(surfaces))


def _as_recorded(camera: str, light: str, spectra: Floats) -> Floats:
    """The channels, with those of white at 1."""
    sensor = _sensor(camera) * _light(light)
    return spectra @ sensor.T / sensor.sum(axis=1)


@cache
def _matrix(name: str, light: str) -> Floats:
    """From balanced channels to sRGB: least squares on the chart with white held."""
    recorded, wanted = _recorded(name, light, "chart"), true_xyz("chart") @ _XYZ_TO_SRGB.T
    free = recorded[:, :2] - recorded[:, 2:]
    two = np.linalg.lstsq(free, wanted - recorded[:, 2:], rcond=None)[0].T
    return np.column_stack([two, 1 - two.sum(axis=1)])


@cache
def _sensor(name: str) -> Floats:
    stored = json.loads((FILES / f"{name}.json").read_text(encoding="utf-8"))
    rows = stored["spectral_data"]["data"]["main"]
    return np.array([rows[str(nm)] for nm in range(380, 785, 5)]).T


@cache
def _light(name: str) -> Floats:
    lights = colour_science.SDS_ILLUMINANTS
    return _aligned(lights[name] if name in lights else colour_science.SDS_LIGHT_SOURCES[name])


@cache
def _eye() -> Floats:
    return _aligned(colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])


def _aligned(spectra) -> Floats:
    return spectra.copy().align(_NM).values.T
