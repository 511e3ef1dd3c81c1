"""What is let into fretboard, headplate, bridge, rosette and top: marks and the maker's designs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.drawing.parts.marks import BILL_MM, usual_marks
from brief.instrument.model.contacts import INLAY_THICK_MM
from brief.instrument.presets import Preset
from brief.instrument.solid.making.plate import plate
from brief.instrument.solid.making.surface import ShadedFaces, joined
from brief.instrument.solid.making.walls import Height

SHOWN_MM = 0.02  # by which a chord of a design may miss it
SPACING_MM = 4.0
CLEAR_MM = 0.05  # a design keeps so far from the edge of its part
SAWN_MM = 0.005  # between an inlay and its pocket


@dataclass(frozen=True)
class LaidDesign:
    """A design of the maker's own, all its copies.

    Attributes
    ----------
    role : str
        The part whose material it shows.
    lies_on : str
    shape : shapely geometry
        In the drawing's places, mm.
    """

    role: str
    lies_on: LiesOn
    shape: Any


def all_laid(preset: Preset, own: Sequence[LaidDesign], *, bill: bool) -> tuple[LaidDesign, ...]:
    """The maker's own, and the usual marks in a fretboard that has none."""
    import shapely

    tidy = [
        LaidDesign(o.role, o.lies_on, shapely.make_valid(o.shape).simplify(SHOWN_MM)) for o in own
    ]
    if any(one.lies_on == "fretboard" for one in tidy):
        return tuple(tidy)
    from shapely.affinity import rotate

    marks = usual_marks(preset, bill=bill)
    t = np.linspace(0.0, 1.0, 17)
    x = marks.middle - marks.long + 2 * marks.long * t
    off = 4 * marks.thick * t * (1 - t)
    lens = [*zip(x, marks.y - off, strict=True), *zip(x[::-1], marks.y + off, strict=True)]
    shapes = [shapely.Polygon(lens).buffer(0)]
    shapes += [shapely.Point(at, marks.y).buffer(marks.dot, quad_segs=8) for at in marks.dots]
    drawn = [LaidDesign("inlay", "fretboard", shapely.union_all(shapes))]
    if marks.bill:
        u = 1 - t
        weights = np.stack([u**3, 3 * u * u * t, 3 * u * t * t, t**3], axis=1)
        curve = shapely.LineString(weights @ np.array(marks.bill))
        # Where it begins the lens goes before it.
        line = curve.buffer(BILL_MM / 2, quad_segs=4).difference(shapes[0].buffer(0.01))
        drawn.append(LaidDesign("bill", "fretboard", line))
    turned = [
        LaidDesign(o.role, o.lies_on, rotate(o.shape, marks.turn, (0.0, marks.y))) for o in drawn
    ]
    return (*tidy, *turned)


def pockets(laid: Sequence[LaidDesign], lies_on: LiesOn, within: Any) -> list[tuple[Any, float]]:
    """What has to be cut out of a part for them: shape and depth."""
    import shapely

    shapes = [one.shape for one in laid if one.lies_on == lies_on]
    if not shapes:
        return []
    return [(shapely.union_all(shapes).intersection(within.buffer(-CLEAR_MM)), INLAY_THICK_MM)]


def inlaid(one: LaidDesign, within: Any, face: Height) -> ShadedFaces | None:
    """A design flush with the face that it lies in; None where nothing of it lies there."""
    import shapely

    shape = one.shape.intersection(within.buffer(-CLEAR_MM)).buffer(-SAWN_MM)
    pieces = [piece for piece in shapely.get_parts(shape) if piece.area > 0.01]
    if not pieces:
        return None

    def floor(x: Any, y: Any) -> Any:
        return face(x, y) - INLAY_THICK_MM

    return joined([plate(piece, floor, face, spacing=SPACING_MM) for piece in pieces])
