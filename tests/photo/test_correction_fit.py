"""The fit: its terms and its exact cases against colour-science, leaving-out against doing it."""

import warnings

import numpy as np
import pytest

from brief.colour import delta_e_2000, xyz_to_lab
from brief.photo.correction.chart_reference import SLOPE, reference_xyz
from brief.photo.correction.fit import MODELS, Model, _metric, fit_colours, fit_error

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science

TARGET = reference_xyz("after-2014")
MATRIX, ROOT = Model(root=False, veil=False), Model(root=True, veil=False)


@pytest.fixture
def linear() -> np.ndarray:
    """What a camera with other primaries would record of the chart, with a little noise."""
    camera = np.array([[2.1, -0.7, -0.2], [-0.6, 1.5, 0.2], [0.1, -0.3, 1.1]])
    noise = np.random.default_rng(0).normal(0, 0.004, TARGET.shape)
    return np.maximum(TARGET @ camera.T * 0.7 + noise, 1e-4)


def test_terms_of_the_root_polynomial_are_those_of_finlayson_2015(linear):
    theirs = colour_science.characterisation.polynomial_expansion_Finlayson2015(
        linear, degree=2, root_polynomial_expansion=True
    )
    np.testing.assert_allclose(np.sort(ROOT.terms(linear)), np.sort(theirs), rtol=1e-12)


def test_an_exact_matrix_is_found_as_colour_science_finds_it(linear):
    true = np.array([[0.5, 0.3, 0.2], [0.2, 0.7, 0.1], [0.0, 0.1, 0.9]])
    target = linear @ true.T
    theirs = colour_science.characterisation.matrix_colour_correction_Cheung2004(
        linear, target, terms=3
    )
    fit, misses = fit_colours(MATRIX, linear, target)
    np.testing.assert_allclose(theirs, true, atol=1e-9)
    np.testing.assert_allclose(fit.coefficients, theirs, atol=1e-9)
    assert misses.max() < 1e-6


def test_an_exact_root_polynomial_is_found_as_colour_science_finds_it(linear):
    true = np.array(
        [[0.5, 0.3, 0.2, 0.1, 0, 0.05], [0.2, 0.7, 0.1, 0, 0.1, 0], [0, 0.1, 0.9, 0.05, 0, 0.02]]
    )
    theirs = colour_science.characterisation.matrix_colour_correction_Finlayson2015(
        linear, linear @ np.eye(3), degree=2, root_polynomial_expansion=True
    )
    assert theirs.shape == (3, 6)
    target = ROOT.terms(linear) @ true.T
    fit, misses = fit_colours(ROOT, linear, target)
    np.testing.assert_allclose(fit.coefficients, true, atol=1e-7)
    corrected = colour_science.characterisation.colour_correction_Finlayson2015(
        linear, linear, target, degree=2, root_polynomial_expansion=True
    )
    np.testing.assert_allclose(fit.xyz(linear), corrected, atol=1e-8)
    assert misses.max() < 1e-5


@pytest.mark.parametrize("scale", [0.25, 0.5, 2.0])
def test_a_root_polynomial_scales_with_the_exposure(scale, linear):
    """The property that Finlayson, Mackiewicz and Hurlbert (2015) chose it for."""
    fit, _ = fit_colours(ROOT, linear, TARGET)
    np.testing.assert_allclose(fit.xyz(linear * scale), fit.xyz(linear) * scale, rtol=1e-12)


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("light", [None, SLOPE], ids=["even", "sloping"])
def test_misses_are_those_of_fits_without_the_colour(model, light, linear):
    """By the long way: each patch left out in turn, the rest fitted by NumPy's least squares."""
    _, misses = fit_colours(model, linear, TARGET, light)
    metric = _metric(TARGET.tobytes())
    terms = model.terms(linear)
    slopes = np.zeros((24, 0)) if light is None else light
    for left_out in (0, 7, 18, 23):
        rows, wanted = [], []
        for i in [i for i in range(24) if i != left_out]:
            for part in range(3):
                goal = metric[i, part] @ TARGET[i]
                rows.append([*np.outer(metric[i, part], terms[i]).ravel(), *(-goal * slopes[i])])
                wanted.append(goal)
        found = np.linalg.lstsq(np.array(rows), np.array(wanted), rcond=None)[0]
        matrix = found[: 3 * terms.shape[1]].reshape(3, -1)
        light_there = 1 + slopes[left_out] @ found[3 * terms.shape[1] :]
        xyz = np.maximum(matrix @ terms[left_out] / light_there, 0)
        expected = delta_e_2000(xyz_to_lab(xyz), xyz_to_lab(TARGET[left_out]))
        assert float(misses[left_out]) == pytest.approx(float(expected), abs=1e-5)


def test_stray_light_and_sloping_light_are_found(linear):
    exact = linear @ np.array([[0.5, 0.3, 0.2], [0.2, 0.7, 0.1], [0.0, 0.1, 0.9]]).T
    light = 1 + SLOPE @ [0.3, -0.2]
    recorded = linear * light[:, None] + 0.01
    fit, misses = fit_colours(Model(root=False, veil=True), recorded, exact, SLOPE)
    np.testing.assert_allclose(fit.slopes, [0.3, -0.2], atol=1e-8)
    assert misses.max() < 1e-5
    assert fit_colours(MATRIX, recorded, exact)[1].mean() > 1
    _, slopes = fit_error(linear * light[:, None], exact, SLOPE, rounds=1)
    np.testing.assert_allclose(slopes, [0.3, -0.2], atol=1e-8)


def test_weights_turn_steps_in_xyz_into_ciede2000():
    """To first order, against colour-science; but for the blues, where the rotation counts."""
    rng = np.random.default_rng(0)
    metric = _metric(TARGET.tobytes())
    white = TARGET * 0 + np.array([0.9505, 1.0, 1.089])
    step = TARGET * rng.normal(0, 0.002, TARGET.shape)
    ours = np.linalg.norm(np.einsum("ijk,ik->ij", metric, step), axis=1)
    lab = colour_science.XYZ_to_Lab(TARGET, colour_science.XYZ_to_xy(white[0]))
    moved = colour_science.XYZ_to_Lab(TARGET + step, colour_science.XYZ_to_xy(white[0]))
    theirs = colour_science.delta_E(lab, moved, method="CIE 2000")
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360
    calm = (hue < 215) | (hue > 335)
    np.testing.assert_allclose(ours[calm], theirs[calm], rtol=0.03)
    np.testing.assert_allclose(ours, theirs, rtol=0.5)
