"""From the colours a photograph shows to the colours of the things in it.

A phone's photograph of a board in a shed is off by the lamp's colour, the exposure and the
camera's own rendering. A `Correction` undoes what a reference in the shot allows, and says how far
the colours may still lie from the truth.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal, Self, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.colour import srgb_to_linear, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, Array, as_colours
from brief.errors import ImageError, InputError, quoted
from brief.photo.correction.chart import Chart
from brief.photo.correction.chart_reference import (
    AGE_WORDS,
    PATCHES,
    SLOPE,
    ChartAge,
    patch_names,
    reference_xyz,
)
from brief.photo.correction.fit import MODELS, Fit, Model, fit_colours, fit_error
from brief.photo.correction.light import LIGHTS, NOT_KNOWN, PhotoLight
from brief.photo.correction.tone import STRAIGHT, Curve, fit_curve, rises, straightened

CorrectedBy = Literal["chart", "card", "none"]
Method = Literal["3x3", "root-polynomial"]
Mask = NDArray[np.bool_]

# All found as the figures of each light (light.py).
# CIEDE2000 that 9 in 10 true colours lie within, with nothing in the shot to correct it by, the
# light not known. Without automatic white balance it is twice as much.
UNCORRECTED_PHOTO_DELTA_E = LIGHTS[NOT_KNOWN].nothing.within
# Photographs that are corrected alike share most of their error: the mean of several is hardly
# surer than one. These are the shares of one photograph's uncertainty that it has for itself and
# that it has in common with the others; their squares sum to 1.
OWN_SHARE, COMMON_SHARE = 0.6, 0.8
# What an unknown light does to a colour it does, near enough, to another beside it: 9 in 10
# differences between a wood and anything else, both uncorrected, are off by less than this share of
# what the two uncertainties come to together: 0.36 in one photograph, 0.49 in two by any cameras in
# any lights; of two woods 0.26 and 0.58.
PAIR_SHARE = 0.55
# At least 9 in 10 true colours lie within this many times the residual of a chart: 2.5 would do for
# most cameras, not for woods by a sensor in three layers. They lie further off than the chart's own
# patches, whose spectra are more of a kind.
NINE_IN_TEN = 2.8
ODD_ONE_OUT, TIMES_THE_REST = 15.0, 5.0  # CIEDE2000; a covered patch is off by both
MOST_LEFT_OUT = 6
DECISIVE = 3.0  # standard errors
_TO_FIND_CURVE = Model(root=False, veil=True)


@dataclass(frozen=True)
class Correction:
    """How to turn linear RGB of one photograph into true colours, and how good that is.

    Attributes
    ----------
    kind : "chart", "card" or "none"
        The reference in the shot.
    method : "3x3" or "root-polynomial"
        Root-polynomial of degree 2.
    coefficients : 3 rows, for X, Y and Z (D65 / 2°, Y of white = 1)
        The factors of R, G, B, for a root-polynomial √RG, √RB, √GB, and last of 1, for stray
        light. They hold for the light at the reference.
    residual : float
        Mean CIEDE2000 by which it misses. By a chart: each patch as missed by the fit to the
        others.
    uncertainty : float
        CIEDE2000 within which 9 in 10 true colours are.
    notes : tuple of str
        Sentences for whoever took the photograph: patches that were left out, and what seems wrong.
    curve : (float, float)
        The camera's tone curve as `tone.straightened` undoes it, before anything else.
    """

    kind: CorrectedBy
    method: Method
    coefficients: tuple[tuple[float, ...], ...]
    residual: float
    uncertainty: float
    notes: tuple[str, ...] = ()
    curve: Curve = STRAIGHT

    def apply(self, linear: ArrayLike) -> Array:
        """The true colours of linear RGB.

        Parameters
        ----------
        linear : array_like, shape (..., 3), 0 to 1

        Returns
        -------
        ndarray, shape (..., 3)
            CIELAB, D65 / 2°.

        Raises
        ------
        ColourInputError
            If the shape is wrong or a value is not finite.
        """
        colours = straightened(as_colours(linear, "linear RGB"), self.curve)
        model = Model(self.method == "root-polynomial", veil=True)
        return xyz_to_lab(Fit(model, np.array(self.coefficients), np.zeros(0)).xyz(colours))

    def apply_srgb(self, srgb: ArrayLike) -> Array:
        """As `apply`, from the sRGB values of the picture's pixels, 0 to 1."""
        return self.apply(srgb_to_linear(srgb))

    def to_dict(self) -> dict[str, Any]:
        """Everything, as JSON can hold it."""
        return {
            "kind": self.kind,
            "method": self.method,
            "coefficients": [list(row) for row in self.coefficients],
            "residual": self.residual,
            "uncertainty": self.uncertainty,
            "notes": list(self.notes),
            "curve": list(self.curve),
        }

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> Self:
        """The correction that `to_dict` gave.

        One kept before tone curves were undone has none.

        Raises
        ------
        InputError
            If it is not what `to_dict` gives.
        """
        stored = {"curve": STRAIGHT, **stored}
        wanted = {field.name for field in fields(cls)}
        if set(stored) != wanted:
            raise InputError(
                f"a stored correction must have {', '.join(sorted(wanted))}; "
                f"got {', '.join(sorted(stored))}"
            )
        kind, method = stored["kind"], stored["method"]
        if kind not in get_args(CorrectedBy) or method not in get_args(Method):
            raise InputError(f"a stored correction has an unknown kind or method: {kind}, {method}")
        try:
            coefficients = np.array(stored["coefficients"], dtype=np.float64)
            doubts = np.array([stored["residual"], stored["uncertainty"]], dtype=np.float64)
            curve = np.array(stored["curve"], dtype=np.float64)
        except (TypeError, ValueError) as exc:
            raise InputError(f"a stored correction must be made of numbers: {exc}") from exc
        shape = (3, 4 if method == "3x3" else 7)
        if coefficients.shape != shape or not np.isfinite(coefficients).all():
            raise InputError(
                f"the coefficients of a {method} correction must be {shape[0]} by {shape[1]} "
                f"finite numbers; got shape {coefficients.shape}"
            )
        if not (np.isfinite(doubts) & (doubts >= 0)).all():
            raise InputError(f"residual and uncertainty must be 0 or more; got {doubts.tolist()}")
        if curve.shape != (2,) or not np.isfinite(curve).all() or not rises((curve[0], curve[1])):
            raise InputError(f"a tone curve must be two numbers and rise; got {curve.tolist()}")
        notes = stored["notes"]
        if not isinstance(notes, list | tuple) or not all(isinstance(note, str) for note in notes):
            raise InputError(f"the notes of a correction must be sentences; got {quoted(notes)}")
        residual, uncertainty = (float(doubt) for doubt in doubts)
        rows, bend = _rows(coefficients), (float(curve[0]), float(curve[1]))
        return cls(kind, method, rows, residual, uncertainty, tuple(notes), bend)


def no_correction(light: PhotoLight = NOT_KNOWN) -> Correction:
    """The correction of a photograph without a reference: its own sRGB, in more doubt."""
    doubt = LIGHTS[light].nothing
    return linear_correction("none", SRGB_TO_XYZ, doubt.within, doubt.residual)


def linear_correction(
    kind: CorrectedBy, matrix: Array, uncertainty: float, residual: float, curve: Curve = STRAIGHT
) -> Correction:
    """A correction by a matrix, shape (3, 3), from linear RGB, the curve undone, to XYZ.

    `uncertainty` and `residual` are CIEDE2000, as of a `Correction`.
    """
    rows = _rows(np.column_stack([matrix, np.zeros(3)]))
    return Correction(kind, "3x3", rows, residual, uncertainty, curve=curve)


def fit_correction(chart: Chart, age: ChartAge = "after-2014") -> Correction:
    """Fit the colours of a chart in the shot to those published for charts of its age.

    Raises
    ------
    InputError
        For an unknown age.
    ImageError
        If more than 6 patches would be left out.

    Notes
    -----
    A 3 × 3 matrix and a root-polynomial of degree 2 are tried, each with and without stray light,
    light that slopes across the chart and a tone curve; the one that misses left-out patches by
    least is kept. Patches at the end of their range are left out, and so is one that is covered or
    glares. For the source of the root-polynomial see `Model`.
    """
    target, linear, usable = reference_xyz(age), chart.linear, chart.usable
    _refuse_few(usable, "are blown out, at the end of their range; photograph it again, darker")
    notes = [_left_out(~usable, "at the end of their range")] if not usable.all() else []
    odd = usable & _odd(linear, target, usable)
    if odd.any():
        notes.append(_left_out(odd, "far from the colours they should have: covered, or glaring"))
    usable &= ~odd
    _refuse_few(usable, "do not fit; see that nothing covers it and that no lamp glares in it")
    curve, fit, misses = _unbent(linear, target, usable)
    notes += _wrong_age(straightened(linear, curve), usable, misses, age)
    coefficients = fit.coefficients
    if not fit.model.veil:
        coefficients = np.column_stack([coefficients, np.zeros(3)])
    residual = float(misses[usable].mean())
    uncertainty = NINE_IN_TEN * residual
    if uncertainty >= UNCORRECTED_PHOTO_DELTA_E:
        notes.append(
            f"The colours of the chart cannot be brought nearer than {residual:.1f} on average, so "
            "that little is gained: photograph it in one kind of light, with no lamp glaring in it."
        )
    return Correction(
        kind="chart",
        method="root-polynomial" if fit.model.root else "3x3",
        coefficients=_rows(coefficients),
        residual=residual,
        uncertainty=uncertainty,
        notes=tuple(notes),
        curve=curve,
    )


def _odd(linear: Array, target: Array, usable: Mask) -> Mask:
    """The patches that stand out from a fit to most of the usable ones."""
    errors = np.zeros(PATCHES)
    errors[usable] = fit_error(linear[usable], target[usable], SLOPE[usable], rounds=5)[0]
    return errors > max(ODD_ONE_OUT, TIMES_THE_REST * float(np.median(errors[usable])))


def _unbent(linear: Array, target: Array, usable: Mask) -> tuple[Curve, Fit, Array]:
    """The tone curve, if undoing one brings left-out patches nearer; and as `_best`.

    All patches say what it is, which by simulation is a fifth nearer than by the greys alone: their
    row runs along the chart, as light does that slopes.
    """

    def missed(curve: Curve) -> float:
        light = straightened(linear[usable], curve)
        misses = fit_colours(_TO_FIND_CURVE, light, target[usable], SLOPE[usable])[1]
        return float(misses.mean())

    tried = [
        (curve, *_best(straightened(linear, curve), target, usable))
        for curve in (STRAIGHT, fit_curve(missed))
    ]
    return min(tried, key=lambda one: float(np.nanmean(one[2])))


def _best(linear: Array, target: Array, usable: Mask) -> tuple[Fit, Array]:
    """The fit with the least mean miss, and its misses, shape (24,), NaN where not usable."""
    tried = [
        fit_colours(model, linear[usable], target[usable], light)
        for model in MODELS
        for light in (None, SLOPE[usable])
    ]
    fit, missed = min(tried, key=lambda fit_and_misses: float(fit_and_misses[1].mean()))
    misses = np.full(PATCHES, np.nan)
    misses[usable] = missed
    return fit, misses


def _refuse_few(usable: Mask, why: str) -> None:
    left_out = PATCHES - int(np.count_nonzero(usable))
    if left_out > MOST_LEFT_OUT:
        raise ImageError(
            f"{left_out} of the {PATCHES} patches of the colour chart {why}. "
            f"At most {MOST_LEFT_OUT} can be done without"
        )


def _left_out(which: Mask, why: str) -> str:
    names = [name for name, out in zip(patch_names(), which, strict=True) if out]
    return f"Left out of the fit, {why}: {', '.join(names)}."


def _wrong_age(linear: Array, usable: Mask, misses: Array, age: ChartAge) -> list[str]:
    """A note if charts of the other age fit better, by more than chance makes them."""
    other = next(known for known in get_args(ChartAge) if known != age)
    gained = (misses - _best(linear, reference_xyz(other), usable)[1])[usable]
    if gained.mean() <= DECISIVE * gained.std(ddof=1) / np.sqrt(len(gained)):
        return []
    before = float(misses[usable].mean())
    return [
        f"The chart looks like one {AGE_WORDS[other]}: taken for such it is missed by "
        f"{before - gained.mean():.1f} instead of {before:.1f}."
    ]


def _rows(matrix: Array) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(float(value) for value in row) for row in matrix)
