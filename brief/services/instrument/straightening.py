"""A photograph of a mould brought flat: by a sheet of paper on it, or by what was measured."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from PIL import Image

from brief.errors import InputError
from brief.instrument.outline.bouts import SAID, bouts
from brief.instrument.tracing.perspective import (
    PAPERS,
    READ_MM,
    STEEPEST,
    Places,
    Straightening,
    by_cameras,
    by_sheet,
    doubt_by_sheet,
    which_paper,
)
from brief.instrument.tracing.symmetry import Run
from brief.instrument.tracing.traced import Traced
from brief.photo.outline.paper_sheet import PaperSheet, find_sheet, sheet_between
from brief.services.common.field_types import Json, in_field
from brief.services.photos.shot_correction import points

NO_SHEET = "none"
ALONG, MOST_ALONG = 0.002, 0.015  # of the longer side; of the outline: a sheet that hangs over
OVERHANGS = (
    "The sheet hangs over the mould’s edge, and its edge was traced there. Lay it within, or use "
    "the half where it is within."
)
WELL_INSIDE = 0.6  # percent of the picture
IN_THE_WAY = 0.1  # of the outline inside the sheet: it is what the mould lies on
MOST_OF_IT = 0.8  # of the area that was traced: it was traced itself


@dataclass(frozen=True, eq=False)
class TracingDoubt:
    """How far off what was traced may be; `doubts` beside the bouts, mm.

    `by` takes the picture to what was traced.
    """

    by: Straightening
    doubts: tuple[float, ...]
    length_doubt_mm: float
    notes: list[str] = field(default_factory=list)
    checked: bool = False


def sheet_by_itself(picture: Image.Image, outline: Run) -> tuple[Json | None, str, str]:
    """The sheet found in a new photograph, which paper it is, and what is to be said.

    outline : of the mould, percent of the picture.
    """
    try:
        found = find_sheet(picture)
    except InputError as exc:
        return None, NO_SHEET, str(exc)
    if found is None or _surrounds(found, outline):
        return None, NO_SHEET, ""
    corners = found.corners / 100 * picture.size
    paper = which_paper(corners, picture.size)
    try:
        by_sheet(corners, PAPERS[paper], picture.size)
    except InputError:  # a label, or a rectangle that only the maker knows
        return None, NO_SHEET, ""
    return _kept(found), paper, ""


def sheet_asked_for(picture: Image.Image, corners: str | None) -> Json:
    """The sheet whose corners were marked, or the one that is in the picture."""
    with in_field("sheet_corners"):
        if corners:
            return _kept(sheet_between(picture, tuple(points(corners, 4))))
        found = find_sheet(picture)
        if found is None:
            raise InputError(
                "No sheet of paper was found in this photograph. Mark its four corners, or choose "
                "“no sheet”."
            )
        return _kept(found)


def _kept(sheet: PaperSheet) -> Json:
    return {
        "corners": sheet.corners.round(4).tolist(),
        "miss": round(sheet.miss_percent, 4),
        "fitted": sheet.fitted,
    }


def _surrounds(sheet: PaperSheet, outline: Run) -> bool:
    """Whether the mould lies on the sheet, or the sheet is all there is."""
    inside = np.ones(len(outline), dtype=bool)
    for start, end in zip(sheet.corners, np.roll(sheet.corners, -1, axis=0), strict=True):
        (dx, dy), (x, y) = end - start, (outline - start).T
        inside &= (dx * y - dy * x) / np.hypot(dx, dy) > WELL_INSIDE
    return bool(inside.mean() > IN_THE_WAY) or _area(sheet.corners) > MOST_OF_IT * _area(outline)


def _area(run: Run) -> float:
    x, y = run.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def paper_mm(asked: Mapping[str, Any]) -> tuple[float, float]:
    """The two sides of the sheet that is asked for."""
    if asked["sheet"] in PAPERS:
        return PAPERS[asked["sheet"]]
    for name in ("sheet_width_mm", "sheet_height_mm"):
        if asked[name] is None:
            raise InputError.at(
                name, "Give both sides of the rectangle, for example 300 mm and 450 mm."
            )
    return asked["sheet_width_mm"], asked["sheet_height_mm"]


class OnTheSheet:
    """A photograph with a sheet of known size in it."""

    def __init__(self, sheet: Json, asked: Mapping[str, Any], size: tuple[int, int]) -> None:
        self.size = size
        self.corners = np.array(sheet["corners"]) / 100 * size
        self.miss_px = sheet["miss"] / 100 * max(size)
        self.fitted = sheet["fitted"]
        self._paper, self._above = paper_mm(asked), asked["above_mm"] or 0.0
        with in_field("sheet_corners" if asked["sheet_corners"] else "sheet"):
            self.by = self._made(self.corners, 0.0)

    def _made(self, corners: Run, higher_mm: float) -> Straightening:
        return by_sheet(corners, self._paper, self.size, self._above + higher_mm)

    def hangs_over(self, outline: Run) -> bool:
        """Whether the outline runs along an edge of the sheet. outline : pixels."""
        along = np.zeros(len(outline), dtype=bool)
        room = ALONG * max(self.size)
        for start, end in zip(self.corners, np.roll(self.corners, -1, axis=0), strict=True):
            (dx, dy), (x, y) = end - start, (outline - start).T
            share = (dx * x + dy * y) / (dx * dx + dy * dy)
            off = np.abs(dx * y - dy * x) / np.hypot(dx, dy)
            along |= (off < room) & (share > 0) & (share < 1)
        return bool(along.mean() > MOST_ALONG)

    def measured(self, made: Traced, share: float) -> TracingDoubt:
        """What is known of the sizes of what was traced by it.

        share : by which all was made larger, for the length that was measured on the mould.
        """
        by = larger(self.by, share)
        places = places_of(made, by)
        known = (self._made, self.corners, self.miss_px, self.size, self._above)
        doubt = doubt_by_sheet(places, *known)
        (long,) = doubt_by_sheet(Places(places.ends, places.ends[None]), *known)
        notes = []
        if not self.fitted:
            notes.append("The sheet’s edges were not found; its corners count as they were marked.")
        return TracingDoubt(by, tuple(map(float, doubt)), float(long), notes)


def by_tape(
    made: Traced,
    by: Straightening,
    size: tuple[int, int],
    length_doubt_mm: float,
    known: tuple[str, float] | None,
    focal: float | None,
) -> TracingDoubt:
    """Of a photograph without a sheet: by the length, and by a width that was measured.

    focal : of the lens, of the picture's longer side, where the file tells it.
    """
    places = places_of(made, by)
    which = None
    if known is not None:
        names = [bout.name for bout in bouts(made.stations)]
        which = (names.index(known[0]), known[1])
    with in_field("check_mm"):
        likely = by_cameras(places, size, made.body_mm, made.asymmetry_mm, which, focal)
    share = length_doubt_mm / made.body_mm
    doubts = np.hypot(likely.doubt, share * places.sizes(by)[1])
    narrower = round(100 * abs(likely.narrower))
    notes = []
    if focal is not None:
        notes.append(
            "The file tells the camera’s lens, so only its tilt is in doubt, up to "
            f"{math.degrees(STEEPEST):.0f}° taken as likely. Of a cropped picture that is wrong."
        )
    if known is not None and narrower:
        end = "tail" if likely.narrower > 0 else "neck"
        notes.append(
            f"By the width you measured, the {end} end is seen about {narrower} % too narrow; "
            "the outline is straightened by that."
        )
    straight = larger(likely.by, made.body_mm / places.sizes(likely.by)[0])
    return TracingDoubt(
        by if known is None else straight, tuple(map(float, doubts)), length_doubt_mm, notes
    )


def places_of(made: Traced, by: Straightening) -> Places:
    """Where the length and the widths of what was traced are, in the picture."""
    ends = np.array(made.axis)
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    across = np.array([along[1], -along[0]])
    sides = [
        [ends[0] + along * bout.at_mm + across * side * bout.width_mm / 2 for side in (-1, 1)]
        for bout in bouts(made.stations)
    ]
    return Places(by.seen(ends), by.seen(np.array(sides)))


def larger(by: Straightening, share: float) -> Straightening:
    """The same with all lengths in that proportion."""
    return Straightening(np.diag([share, share, 1.0]) @ by.grid)


def check(made: Traced, measured: TracingDoubt, asked: Mapping[str, Any]) -> tuple[bool, str]:
    """Whether a width that was measured on the mould is as it was traced, and that in words."""
    known = known_width(made, asked)
    if known is None:
        return False, ""
    for bout, doubt in zip(bouts(made.stations), measured.doubts, strict=True):
        if bout.name == known[0]:
            off, room = bout.width_mm - known[1], float(np.hypot(doubt, READ_MM))
            said = f"{SAID[bout.name].removeprefix('the ').capitalize()}: {known[1]:g} mm measured"
            if abs(off) <= room:
                return True, f"{said}, {bout.width_mm:.1f} mm traced. They agree."
            return False, (
                f"{said}, {bout.width_mm:.1f} mm traced, {abs(off):.1f} mm apart. Measure again; "
                "else the sheet is not level with the mould’s face, or its size is another."
            )
    return False, ""


def known_width(made: Traced, asked: Mapping[str, Any]) -> tuple[str, float] | None:
    """The bout whose width was measured, and that."""
    if asked["check_mm"] is None:
        return None
    names = [bout.name for bout in bouts(made.stations)]
    if asked["check_at"] not in names:
        raise InputError.at(
            "check_at", f"This body has no {asked['check_at']} bout. Choose the lower bout."
        )
    return asked["check_at"], asked["check_mm"]


def pixel_mm(by: Straightening, size: tuple[int, int]) -> float:
    """About how large a pixel in the middle of the picture is on the mould, mm."""
    middle = np.array([[size[0] / 2, size[1] / 2], [size[0] / 2 + 1, size[1] / 2]])
    one, other = by.flat(middle)
    return float(np.hypot(*(other - one)))
