"""What is drawn over a tracing's picture, and its outline as it is, flat."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brief.instrument.tracing.symmetry import Run
from brief.services.instrument.flat_view import FlatView, flat_view
from brief.services.instrument.known_kinds import stations_of
from brief.services.photos.pictures import existing_image
from brief.store.desk import Desk
from brief.store.records import Tracing


@dataclass(frozen=True)
class Overlay:
    """What is laid over the picture: its viewBox, and as path data what was found in it, the curve
    that was made, its axis, the sheet of paper, its corners as a field has them, and what was
    smoothed; empty where there is none.

    `flat` is what was made of it.
    """

    box: str
    found: str
    curve: str
    axis: str
    sheet: str
    corners: str
    hairs: str
    flat: FlatView | None


def overlay(desk: Desk, record: Tracing) -> Overlay:
    """Of one tracing, on its picture or, of a drawing, on its own outline."""
    size = size_of(desk, record)
    found = record.findings
    sheet = found.get("sheet")
    run = np.array(record.points or np.zeros((0, 2)))
    scaled = run / 100 * size if record.image_sha256 else run
    if record.image_sha256:
        box = (0.0, 0.0, float(size[0]), float(size[1]))
    else:
        all_of_it = np.vstack([scaled, np.array(found.get("curve", scaled))])
        low, high = all_of_it.min(axis=0), all_of_it.max(axis=0)
        room = 0.04 * float((high - low).max())
        box = (*(low - room), *(high - low + 2 * room))
    return Overlay(
        box=" ".join(f"{side:.1f}" for side in box),
        found=_path(scaled),
        curve=_path(np.array(found["curve"])) if "curve" in found else "",
        axis=_path(np.array(found["axis"]), closed=False) if "axis" in found else "",
        sheet=_path(np.array([*sheet["corners"], sheet["corners"][0]]) / 100 * size)
        if sheet
        else "",
        corners=record.sheet_corners
        or " ".join(f"{x:.1f},{y:.1f}" for x, y in (sheet["corners"] if sheet else ())),
        hairs="".join(
            f"M{a:.1f} {b:.1f}L{c:.1f} {d:.1f}" for (a, b), (c, d) in found.get("hairs", ())
        ),
        flat=flat_view(stations_of(found["stations"]), found["doubts"])
        if "doubts" in found
        else None,
    )


def _path(run: Run, *, closed: bool = True) -> str:
    if not len(run):
        return ""
    open_ended = math.dist(run[0], run[-1]) > 0.05 * float(np.ptp(run, axis=0).max())
    data = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in run)
    return data if open_ended or not closed else data + "Z"


def size_of(desk: Desk, record: Tracing) -> tuple[int, int]:
    """Of a tracing's picture, in pixels; (1, 1) of a drawing, which is in millimetres."""
    if record.image_sha256 is None:
        return (1, 1)
    image = existing_image(desk, record.image_sha256)
    return image.width_px, image.height_px
