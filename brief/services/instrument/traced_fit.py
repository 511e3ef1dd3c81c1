"""What is made of an outline found in a file: its size, its stations, and its doubts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from brief.errors import InputError
from brief.instrument.tracing.perspective import READ_MM, Straightening
from brief.instrument.tracing.symmetry import Run
from brief.instrument.tracing.traced import Traced, trace
from brief.photo import Scale
from brief.services.common.field_types import Json, in_field
from brief.services.instrument.straightening import (
    OVERHANGS,
    OnTheSheet,
    by_tape,
    check,
    known_width,
    larger,
    pixel_mm,
)
from brief.services.photos.shot_correction import known_length

SEEN_PX = 1500  # what a photograph is looked at within
DRAWN_WAVER_MM = 0.02
PHOTO_WAVER = 0.1  # of a pixel: how far a contour strays in even light, by rendered moulds
HAIRS, LARGER = 160, 20.0  # how many show what was smoothed, and how much larger
PIXELS = Straightening(np.eye(3))


def fitted(
    run: Sequence[Sequence[float]] | None,
    size: tuple[int, int],
    asked: Mapping[str, Any],
    remarks: Sequence[str],
    sheet: Json | None,
    focal: float | None = None,
) -> Json:
    """Stations of the outline, and how well they fit; or what is still lacking.

    focal : of the lens of a whole photograph, of its longer side, where its file tells it.
    """
    kept = {"remarks": list(remarks), "notes": list(remarks), "problem": "", "sheet": sheet}
    if run is None:
        return kept | {"problem": "No outline was found yet: tap inside the mould."}
    drawn = size == (1, 1)
    flat = np.array(run, dtype=np.float64) * (1.0 if drawn else np.array(size) / 100)
    paper = OnTheSheet(sheet, asked, size) if sheet else None
    scale = None if paper else _scale(size, asked)
    if not (scale or drawn or paper) and asked["body_mm"] is None:
        return kept | {
            "problem": "The outline is found. Say how large it is: how long the body is, or a "
            "known length in the picture."
        }
    mm = scale.width_mm / size[0] if scale else 1.0
    # In pixels of the picture as it was looked at, which may be smaller than the file's.
    shrunk = max(1.0, max(size) / SEEN_PX)

    def traced(by: Straightening) -> Traced:
        waver = DRAWN_WAVER_MM if drawn else PHOTO_WAVER * shrunk * pixel_mm(by, size)
        points = by.flat(flat)
        return trace(points, waver_mm=waver, turned=asked["turned"], halves=asked["halves"])

    by = paper.by if paper else larger(PIXELS, mm)
    if asked["body_mm"] is not None and not paper:
        by = larger(PIXELS, asked["body_mm"] / float(np.ptp(flat, axis=0).max()))
    hangs = paper is not None and paper.hangs_over(flat)
    try:
        made, notes = traced(by), [*remarks, *([OVERHANGS] if hangs else [])]
    except InputError as exc:
        raise InputError(OVERHANGS if hangs else str(exc)) from exc
    share = 1.0
    if asked["body_mm"] is not None:  # along the centre line, now that it is known
        share = asked["body_mm"] / made.body_mm
        if paper:
            notes.append(f"By the sheet alone the body would be {made.body_mm:.1f} mm long.")
        by = larger(by, share)
        made = traced(by)
    if drawn:
        return kept | _found(made, by, by.flat(flat)) | {"notes": [*notes, *made.notes]}
    if paper:
        measured = paper.measured(made, share)
    else:
        rough = scale.error * made.body_mm if scale and asked["body_mm"] is None else READ_MM
        known = known_width(made, asked)
        measured = by_tape(made, by, size, rough, known, focal)
        if measured.by is not by:
            by = measured.by
            made = traced(by)
    # A width that it was straightened by agrees with itself.
    checked, said = check(made, measured, asked) if paper else (False, "")
    return kept | _found(made, by, by.flat(flat)) | {
        "notes": [*notes, *measured.notes, *([said] if said else []), *made.notes],
        "length_error_mm": measured.length_doubt_mm,
        "doubts": list(measured.doubts),
        "straightened": "sheet" if paper else "width" if asked["check_mm"] is not None else "",
        "checked": checked,
    }  # fmt: skip


def _found(made: Traced, by: Straightening, run: Run) -> Json:
    """What was traced, as a record keeps it. run : what was found in the file, mm."""
    return {
        "stations": [list(station) for station in made.stations],
        "off_mm": made.off_mm,
        "off_at_mm": made.off_at_mm,
        "usually_off_mm": made.usually_off_mm,
        "asymmetry_mm": made.asymmetry_mm,
        "half": made.half,
        "length_error_mm": None,
        "curve": by.seen(made.laid_back()).round(2).tolist(),
        "axis": by.seen(np.array(made.axis)).round(2).tolist(),
        "hairs": by.seen(made.smoothed(run, HAIRS, LARGER)).round(2).tolist(),
    }


def _scale(size: tuple[int, int], asked: Mapping[str, Any]) -> Scale | None:
    known = known_length(asked)
    if known is None:
        return None
    if size == (1, 1):
        raise InputError.at(
            "scale_mm", "A drawing has no taps to measure by: say how long the body is instead."
        )
    with in_field("scale_points"):
        return Scale.from_taps(*known, size)
