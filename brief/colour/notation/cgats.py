"""Colours in CGATS.17 text files, the tables that colour meters and print shops exchange."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brief.colour.difference import delta_e_2000
from brief.colour.notation.adaptation import LIGHTS, Lab, MeterReading, lab_under, reading_to_lab
from brief.colour.notation.cgats_declared import (
    ReflectanceColumn,
    bands,
    conditions,
    declared_full,
    refuse_percent,
    refuse_xyz_below_1,
)
from brief.colour.notation.cgats_table import CONTROL, SampleRow, SampleTable, at_line, read_tables
from brief.colour.notation.spectrum import spectrum_to_lab
from brief.colour.spaces import as_colours
from brief.errors import ColourInputError, quoted

LONGEST_NAME = 200
MOST_TOLD = 5  # samples that were left out, each with its line
AT_ODDS = 1.0  # CIEDE2000 beyond their uncertainties, where two colours of a line disagree

_COLUMNS = {
    "lab": ("LAB_L", "LAB_A", "LAB_B"),
    "xyz": ("XYZ_X", "XYZ_Y", "XYZ_Z"),
    "lch": ("LAB_L", "LAB_C", "LAB_H"),
}
_OURS = ("LAB_D65_L", "LAB_D65_A", "LAB_D65_B")
_OUR_UNCERTAINTY = "LAB_D65_UNCERTAINTY"
_NAMES = ("SAMPLE_NAME", "SAMPLE_ID", "SAMPLENAME", "SAMPLEID")
_UNDECLARED = (
    "The file does not say under which light and observer its colours were measured; D50 and 2°, "
    "the rule of the graphic arts, were taken."
)
_UNSCALED = (
    "The file does not say how its reflectances are written; none is above 1.5, so that 1 was "
    "taken for full reflectance."
)

Spectrum = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class CgatsSample:
    """One line of such a table.

    Attributes
    ----------
    lab : tuple of float
        CIELAB, D65 / 2°.
    uncertainty : float
        CIEDE2000: what reading the line so adds (as in `MeterReading`), or what the file itself
        says beside our own columns.
    is_told : bool
        Whether that is all of it, by the file's own word.
    illuminant, observer : str or None
        What the file declares its Lab or XYZ to be under ("D50", "2"), None where it does not.
    spectrum : tuple of pairs, or None
        Wavelength in nm and reflectance, 1 = a perfect diffuser.
    warnings : tuple of str
        Sentences about what had to be assumed.
    """

    name: str
    lab: Lab
    uncertainty: float = 0.0
    is_told: bool = False
    illuminant: str | None = None
    observer: str | None = None
    spectrum: Spectrum | None = None
    warnings: tuple[str, ...] = ()


def read_cgats(
    text: str | bytes, *, full_reflectance: float | None = None
) -> tuple[CgatsSample, ...]:
    """Read the colours of a CGATS.17 text file.

    Of each sample, on one line or over several, the surest colour is taken: our own columns under
    D65, else the spectrum, else Lab, XYZ or LCh under the light and observer that the file
    declares, which are D50 and 2° (the rule of the graphic arts) where it declares none. A sample
    that has a gap in each of these, or too few or too many values, is left out, and the others of
    its table say so among their warnings.

    Parameters
    ----------
    text : str or bytes
        Bytes are UTF-8, or Latin-1 where they are not.
    full_reflectance : float, above 0, optional
        What full reflectance is written as, 1 or 100, in a file that does not say so by
        SPECTRAL_NORM or by the names of its bands. Values beyond 1.5 are refused without.

    Returns
    -------
    tuple of CgatsSample
        In the order of the file.

    Raises
    ------
    ColourInputError
        If the file is not such a text, its counts disagree with its lines, a number cannot be
        used, or no sample has a colour; the message names the line if it is one line's fault.
    TooLarge
        Beyond 4 million characters or 5000 samples.

    References
    ----------
    ANSI CGATS.17 for the format, ISO 13655 for D50 / 2°.
    """
    if full_reflectance is not None and not 0 < full_reflectance < math.inf:
        raise ColourInputError(
            f"full reflectance must be a number above 0, as 1 or 100; "
            f"got {quoted(full_reflectance)}"
        )
    samples: list[CgatsSample] = []
    faults: list[tuple[int, str]] = []
    for table in read_tables(text):
        plan = _plan(table, full_reflectance)
        gaps = {row.number: plan.gap(row) for row in table.rows}
        left_out = sorted([*table.left_out, *((at, gap) for at, gap in gaps.items() if gap)])
        told = (_left_out(left_out),) if left_out else ()
        plan = replace(plan, warnings=(*told, *plan.warnings))
        samples += [_sample(row, plan) for row in table.rows if not gaps[row.number]]
        faults += left_out
    if not samples and faults:
        raise at_line(*faults[0])
    return tuple(samples)


def read_cgats_rows(
    text: str | bytes, *, longest: int, most: int
) -> Iterator[tuple[int, CgatsSample | str]]:
    """As `read_cgats`, sample by sample: one at fault costs none of the others.

    Parameters
    ----------
    text : str or bytes
        Bytes are UTF-8, or Latin-1 where they are not.
    longest, most : int, above 0
        Characters and samples that it may have.

    Yields
    ------
    tuple of int and CgatsSample or str
        The line of each sample, from 1, and the sample or its fault in words.

    Raises
    ------
    ColourInputError
        If the file is not such a text, or its counts disagree with its lines.
    TooLarge
        Beyond `longest` or `most`.
    """
    for table in read_tables(text, longest=longest, most=most):
        plan = _plan(table, None)
        yield from table.left_out
        for row in table.rows:
            try:
                yield row.number, plan.gap(row) or _sample(row, plan)
            except ColourInputError as exc:
                yield row.number, str(exc).removeprefix(f"line {row.number}: ")


def _left_out(faults: Sequence[tuple[int, str]]) -> str:
    told = [f"line {number} ({fault})" for number, fault in faults[:MOST_TOLD]]
    more = f" and {len(faults) - MOST_TOLD} more" if len(faults) > MOST_TOLD else ""
    return f"Left out: {', '.join(told)}{more}."


def write_cgats(samples: Iterable[CgatsSample], *, title: str = "") -> str:
    """Write colours as a CGATS.17 text: Lab under D50 / 2°, and beside it ours under D65 / 2°.

    `read_cgats` reads the same colours and uncertainties back, to 4 decimals. Names lose line
    breaks and runs of blanks, and double quotes become single ones. Spectra are not written.

    Parameters
    ----------
    samples : iterable of CgatsSample
    title : str
        Written as FILE_DESCRIPTOR.

    Returns
    -------
    str

    Raises
    ------
    ColourInputError
        If there is nothing to write or a colour is not three finite numbers.

    References
    ----------
    ANSI CGATS.17.
    """
    written = list(samples)
    if not written:
        raise ColourInputError("there is no colour to write; give at least one")
    ours = as_colours([sample.lab for sample in written], "Lab")
    doubts = [[sample.uncertainty] for sample in written]
    theirs = lab_under(ours)
    theirs[:, 0] = theirs[:, 0].clip(0, 100)  # white with a cast comes out beyond
    numbers = np.round(np.hstack([theirs, ours, doubts]), 4) + 0.0  # none is -0
    rows = [
        "\t".join(
            [str(place), f'"{_one_line(sample.name)}"', *(f"{value:.4f}" for value in values)]
        )
        for place, (sample, values) in enumerate(zip(written, numbers.tolist(), strict=True), 1)
    ]
    fields = ["SAMPLE_ID", "SAMPLE_NAME", *_COLUMNS["lab"], *_OURS, _OUR_UNCERTAINTY]
    lines = [
        "CGATS.17",
        'ORIGINATOR "luthiers-brief"',
        f'FILE_DESCRIPTOR "{_one_line(title)}"',
        "# LAB_L, LAB_A and LAB_B are under illuminant D50 with the 2 degree observer, as is usual",
        "# in the graphic arts. LAB_D65_L, _A and _B are the same colour under D65 with the same",
        "# observer, from which it was adapted (Bradford); its uncertainty is in CIEDE2000.",
        'WEIGHTING_FUNCTION "ILLUMINANT, D50"',
        'WEIGHTING_FUNCTION "OBSERVER, 2 degree"',
        *(f'KEYWORD "{name}"' for name in (*_OURS, _OUR_UNCERTAINTY)),
        f"NUMBER_OF_FIELDS {len(fields)}",
        "BEGIN_DATA_FORMAT",
        "\t".join(fields),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(rows)}",
        "BEGIN_DATA",
        *rows,
        "END_DATA",
    ]
    return "\n".join(lines) + "\n"


@dataclass(frozen=True)
class _Plan:
    """What holds for every line of a table: which columns to read, and as what."""

    space: str | None
    light: str
    observer: str
    declared: tuple[str | None, str | None]
    bands: tuple[ReflectanceColumn, ...]
    full: float
    warnings: tuple[str, ...]

    def sources(self, row: SampleRow) -> list[tuple[str, ...]]:
        """The columns of each colour that a row may hold, the surest first."""
        ours = (*_OURS, _OUR_UNCERTAINTY) if row.has([_OUR_UNCERTAINTY]) else _OURS
        return [
            *([ours] if row.has(_OURS) else []),
            *([tuple(band.name for band in self.bands)] if self.bands else []),
            *([_COLUMNS[self.space]] if self.space else []),
        ]

    def gap(self, row: SampleRow) -> str | None:
        """What is missing of a row that has no colour without a gap, in words."""
        gaps = [row.gap(columns) for columns in self.sources(row)]
        return f"{gaps[0]} has no value" if gaps and all(gaps) else None


def _plan(table: SampleTable, full: float | None) -> _Plan:
    light, observer = conditions(table)
    space = next((name for name, needed in _COLUMNS.items() if table.has(needed)), None)
    reflectances = bands(table)
    if not (space or reflectances or table.has(_OURS)):
        raise ColourInputError(
            "there is no colour in the table; it takes LAB_L, LAB_A and LAB_B, or XYZ_X, XYZ_Y "
            f"and XYZ_Z, or bands such as SPECTRAL_NM400; got {', '.join(table.fields)}"
        )
    if space == "xyz":
        refuse_xyz_below_1(table)
    if reflectances and light not in (None, *LIGHTS):
        space = None  # a spectrum needs no light
    undeclared = space and not reflectances and not (light and observer)
    full = declared_full(table) or full
    if full is None:
        refuse_percent(table)
    unscaled = full is None and any(band.full is None for band in reflectances)
    return _Plan(
        space=space,
        light=light or "d50",
        observer=observer or "2",
        declared=(light and light.upper(), observer),
        bands=reflectances,
        full=full or 1.0,
        warnings=(*([_UNDECLARED] if undeclared else []), *([_UNSCALED] if unscaled else [])),
    )


def _sample(row: SampleRow, plan: _Plan) -> CgatsSample:
    whole = [columns for columns in plan.sources(row) if not row.gap(columns)]
    spectrum: Spectrum = ()
    if tuple(band.name for band in plan.bands) in whole:
        spectrum = tuple(
            (band.nm, row.value(band.name) / (band.full or plan.full)) for band in plan.bands
        )
    found = []  # the surest first
    if any(columns[:3] == _OURS for columns in whole):
        ours = _converted(row, reading_to_lab, row.values(_OURS), "lab", "d65", "2")
        found.append(MeterReading(ours.lab, _known_uncertainty(row)))
    if spectrum:
        found.append(_converted(row, spectrum_to_lab, *zip(*spectrum, strict=True)))
    if plan.space and _COLUMNS[plan.space] in whole:
        stated = row.values(_COLUMNS[plan.space])
        found.append(_converted(row, reading_to_lab, stated, plan.space, plan.light, plan.observer))
    best = found[0]
    illuminant, observer = plan.declared
    return CgatsSample(
        name=_name(row),
        lab=best.lab,
        uncertainty=best.uncertainty,
        is_told=whole[0][-1] == _OUR_UNCERTAINTY,
        illuminant=illuminant,
        observer=observer,
        spectrum=spectrum or None,
        warnings=tuple(
            text for text in (*plan.warnings, best.note, _contradiction(best, found[-1])) if text
        ),
    )


def _converted(
    row: SampleRow, convert: Callable[..., MeterReading], *values: object
) -> MeterReading:
    try:
        return convert(*values)
    except ColourInputError as exc:
        raise at_line(row.number, exc) from exc


def _known_uncertainty(row: SampleRow) -> float:
    value = row.value(_OUR_UNCERTAINTY) if row.has([_OUR_UNCERTAINTY]) else 0.0
    if value < 0:
        raise at_line(row.number, f"{_OUR_UNCERTAINTY} must be 0 or more; got {value:g}")
    return value


def _contradiction(best: MeterReading, other: MeterReading) -> str:
    apart = float(delta_e_2000(best.lab, other.lab))
    if apart <= best.uncertainty + other.uncertainty + AT_ODDS:
        return ""
    return (
        f"This line holds two colours that lie {apart:.1f} apart; the surer was taken, but the "
        "light, the observer or the scale of the file may not be what it says."
    )


def _name(row: SampleRow) -> str:
    names = (row.cells.get(column, "").strip() for column in _NAMES)
    return next((name for name in names if name), f"line {row.number}")[:LONGEST_NAME]


def _one_line(text: str) -> str:
    return CONTROL.sub("", " ".join(text.split())).replace('"', "'")[:LONGEST_NAME]
