"""Colours that come out of the renderer, beside published spectra and measured means."""

from __future__ import annotations

import numpy as np
import pytest

from brief.colour import delta_e_2000, srgb_to_lab, srgb_to_linear, xyz_to_lab
from brief.colour.reference_library import colour_science
from brief.colour.spaces import SRGB_TO_XYZ
from brief.colour.viewing.light import DAYLIGHT, light, lights, under
from brief.colour.viewing.spectra import bands_under, power_of, reflectance_of
from brief.instrument.solid.mesh import Solid
from brief.photo import find_chart, fit_correction
from brief.photo.correction.chart_reference import PATCH_SIZE, PLACES
from brief.studio.coats import COATS, IOR, below
from brief.studio.develop import CAT16, WHITE_AT, adapted, developed
from brief.studio.looks import Look
from brief.studio.scene import GREY, Order, Scene, averaged, card, loaded
from brief.studio.surfaces import coated, spectrum, surface
from brief.studio.views import VIEWS, Camera

from .conftest import board

pytestmark = pytest.mark.slow

LAMPS = ("D65", "A", "LED-B3")


def test_spectra_are_those_of_the_cie() -> None:
    # colour-science, SDS_ILLUMINANTS: CIE 15:2018 and CIE 191.
    science = colour_science()
    for key in (*LAMPS, "FL11", "HP1"):
        shape = science.SpectralShape(380, 780, 5)
        published = science.SDS_ILLUMINANTS[key].copy().align(shape).values
        ours = power_of(light(key))
        assert np.abs(ours / ours.max() - published / published.max()).max() < 1e-4
        assert bands_under(light(key)).sum(axis=0)[1] == pytest.approx(1)


def test_every_light_has_its_spectrum() -> None:
    assert all(power_of(one).min() >= 0 for one in lights())


def test_adaptation_is_cat16() -> None:
    # Li et al. 2017, as colour-science has it.
    assert np.array_equal(CAT16, colour_science().adaptation.CAT_CAT16)


@pytest.mark.parametrize("lab", [(70, 8, 30), (25, 6, 5), (12, 1, 1), (95, 0, 5), (60, 30, 30)])
def test_a_recovered_spectrum_has_its_colour(lab: tuple[float, ...]) -> None:
    seen = reflectance_of(lab)
    assert (seen >= 0).all()
    assert (seen <= 1).all()
    bands = bands_under(DAYLIGHT)
    assert delta_e_2000(xyz_to_lab(seen @ bands, bands.sum(axis=0)), lab) < 0.05


@pytest.mark.parametrize("key", ["A", "LED-B3", "FL11"])
def test_recovered_woods_change_as_the_verdicts_have_it(key: str) -> None:
    woods = np.array([(75, 8, 28), (50, 14, 30), (35, 9, 14), (22, 4, 5)], dtype=float)
    bands = bands_under(light(key))
    seen = adapted(np.array([reflectance_of(one) @ bands for one in woods]), bands.sum(axis=0))
    assert delta_e_2000(xyz_to_lab(seen), under(woods, light(key))).max() < 2.0


@pytest.mark.studio
@pytest.mark.parametrize("key", LAMPS)
def test_a_chart_of_published_spectra_is_read_and_corrected(key: str) -> None:
    # BabelColor Average, 24 patches of charts from before November 2014, as colour-science has it.
    science = colour_science()
    shape = science.SpectralShape(380, 780, 5)
    patches = science.SDS_COLOURCHECKERS["BabelColor Average"].values()
    lit = light(key)
    things = {
        "ground": _plate(0, 0, 4.2, 3.0, np.full(81, 0.035), -0.01),
        "lamp": {"type": "constant", "radiance": spectrum(power_of(lit))},
    }
    for place, patch in zip(PLACES, patches, strict=True):
        x, y = place[0] - 2.5, 1.5 - place[1]
        seen = patch.copy().align(shape).values
        things[f"patch{len(things)}"] = _plate(x, y, PATCH_SIZE / 2, PATCH_SIZE / 2, seen, 0)
    camera = Camera(np.array([0.15, 0.1, 14.0]), np.zeros(3), 24.0)
    *_, film = averaged(loaded(things, camera, (640, 460)), 4)
    white = (bands_under(lit).sum(axis=0)) * _white_y(lit)
    chart = find_chart(developed(film, white))
    assert chart is not None
    correction = fit_correction(chart, "before-2014")
    # Each patch as missed by the fit to the others.
    assert correction.residual < 2.5


@pytest.mark.studio
@pytest.mark.parametrize("key", LAMPS)
@pytest.mark.parametrize("lab", [(74.0, 8.0, 29.0), (38.0, 9.0, 14.0), (20.0, 3.0, 4.0)])
def test_flat_bare_wood_keeps_its_measured_mean(key: str, lab: tuple[float, ...]) -> None:
    lit = light(key)
    look = Look(lab, "wood", "bare", board(lab))
    things = {
        "board": {"type": "rectangle", "bsdf": surface(look)},
        "lamp": {"type": "constant", "radiance": spectrum(power_of(lit))},
    }
    camera = Camera(np.array([0.0, 0.0, 12.0]), np.zeros(3), 9.0)
    *_, film = averaged(loaded(things, camera, (160, 160)), 8)
    white = bands_under(lit).sum(axis=0) * _white_y(lit)
    picture = np.asarray(developed(film, white)) / 255
    linear = srgb_to_linear(picture).mean(axis=(0, 1)) / WHITE_AT
    seen = xyz_to_lab(SRGB_TO_XYZ @ linear)
    flat = under(np.array(lab), lit)  # what the flat picture shows under that lamp
    assert delta_e_2000(seen, flat) < 3
    if key == "D65":
        assert delta_e_2000(seen, lab) < 1


@pytest.mark.studio
@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("key", ["A", "LED-B3"])
def test_a_grey_card_in_each_view_is_neutral(view: str, key: str, plank: tuple[Solid, ...]) -> None:
    order = Order(view, light(key), 2.0, 90, 130, passes=12, spot_mm=(0, 120))  # type: ignore[arg-type]
    scene = Scene(plank, {"top": Look((45, 8, 18), "wood", "gloss")}, order)
    white = scene.white()
    towards = scene.camera.origin - scene.camera.target
    towards = towards / np.linalg.norm(towards)
    at = scene.camera.target + towards * 0.14
    near = Camera(at + towards * 0.4, at, 5.0)
    *_, film = averaged(loaded({**scene.things, "held": card(at, towards)}, near, (24, 24)), 40)
    picture = np.asarray(developed(film, white)) / 255
    seen = srgb_to_lab(np.median(picture, axis=(0, 1)))
    grey = srgb_to_lab(_shown(GREY))
    assert delta_e_2000(seen, grey) < 2
    assert np.hypot(seen[1], seen[2]) < 1.5


@pytest.mark.studio
@pytest.mark.parametrize("gloss", ["oil", "satin", "gloss"])
def test_what_is_measured_through_a_coat_is_measured_again(gloss: str) -> None:
    for reflectance in (0.12, 0.35, 0.7):
        seen = _from_45(coated(np.full(81, reflectance), gloss))  # type: ignore[arg-type]
        assert seen == pytest.approx(reflectance, abs=0.006)


@pytest.mark.studio
@pytest.mark.parametrize("gloss", ["oil", "satin", "gloss"])
def test_coats_are_as_the_renderer_has_them(gloss: str) -> None:
    coat = COATS[gloss]  # type: ignore[index]
    assert coat is not None
    plastic = {"type": "roughplastic", "distribution": "beckmann", "alpha": coat.roughness}
    dark, light_one = (
        _from_45({**plastic, "int_ior": IOR, "diffuse_reflectance": spectrum(np.full(81, r))})
        for r in (1e-6, 0.5)
    )
    assert dark == pytest.approx(coat.own, abs=0.003)
    assert (light_one - dark) / 0.5 == pytest.approx(coat.through, abs=0.01)


def test_dark_wood_is_never_only_its_coat() -> None:
    assert below(np.full(81, 0.02), "oil").min() > 0


def _shown(reflectance: float) -> np.ndarray:
    from brief.colour import linear_to_srgb

    return linear_to_srgb(np.full(3, reflectance * WHITE_AT))


def _white_y(lit: object) -> float:
    """What a perfect diffuser under a sky of `power_of` comes to on the film."""
    things = {
        "board": {"type": "rectangle", "bsdf": coated(np.full(81, 0.5), "bare")},
        "lamp": {"type": "constant", "radiance": spectrum(power_of(lit))},  # type: ignore[arg-type]
    }
    camera = Camera(np.array([0.0, 0.0, 12.0]), np.zeros(3), 5.0)
    *_, film = averaged(loaded(things, camera, (16, 16)), 24)
    return float(film[..., 1].mean() / 0.5)


def _from_45(bsdf: dict[str, object]) -> float:
    """Reflectance factor with the light from 45°, seen straight on."""
    aside = float(np.sqrt(0.5))
    sun = {
        "type": "directional",
        "direction": [aside, 0, -aside],
        "irradiance": spectrum(power_of(DAYLIGHT)),
    }
    camera = Camera(np.array([0.0, 0.0, 12.0]), np.zeros(3), 3.0)
    read = []
    for one in (bsdf, coated(np.full(81, 0.5), "bare")):
        things = {"board": {"type": "rectangle", "bsdf": one}, "sun": sun}
        *_, film = averaged(loaded(things, camera, (16, 16)), 24)
        read.append(film[..., 1].mean())
    return float(read[0] / read[1] * 0.5)


def _plate(
    x: float, y: float, half_x: float, half_y: float, seen: np.ndarray, z: float
) -> dict[str, object]:
    from brief.studio.renderer import mitsuba

    transform = mitsuba().ScalarTransform4f()
    return {
        "type": "rectangle",
        "to_world": transform.translate([x, y, z]).scale([half_x, half_y, 1]),
        "bsdf": coated(np.clip(seen, 1e-4, 1), "bare"),
    }
