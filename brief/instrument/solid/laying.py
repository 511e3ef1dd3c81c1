"""Each surface under the photograph of its part, laid as the flat picture lays it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from brief.instrument.drawing.parts.inlay_drawing import Inlaid
from brief.instrument.drawing.side import BINDING_MM
from brief.instrument.drawing.views import painted_parts
from brief.instrument.outline.outlines import side_lengths_mm
from brief.instrument.plans.side_sheets import PURFLING_DEEP_MM
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Fill, Painted, laid_on
from brief.instrument.rendering.placement import as_taken, shares
from brief.instrument.solid.making.surface import Floats, ShadedFaces

WITHIN = 1e-6
"""A corner on a joint belongs to the side that its face is on: it is taken so much nearer to it."""


def painted(
    preset: Preset, fills: Mapping[str, Fill], inlays: Sequence[Inlaid]
) -> dict[str, Painted]:
    """The box that each part is painted in, by role.

    Those of front and back, but for what bends round the body, which is laid as if rolled out.
    """
    long = sum(length for _, length in side_lengths_mm(preset)[:1])
    long = max(long, sum(length for _, length in side_lengths_mm(preset)[1:]))
    deep = max(preset.side_neck_mm, preset.side_tail_mm)
    rolled = {
        "sides": deep,
        "binding": BINDING_MM + preset.binding_mm,
        "purfling": 2 * PURFLING_DEEP_MM + preset.purfling_mm,
    }
    return {
        **painted_parts(preset, fills, "back"),
        **painted_parts(preset, fills, "front", inlays),
        **{role: Painted((0.0, 0.0, wide, long)) for role, wide in rolled.items()},
    }


def placed(made: ShadedFaces, how: Painted | None, fill: Fill | None) -> Floats:
    """Where each corner of each face lies on the photograph of its part, an (m, 3, 2) array.

    In shares of the photograph as it was taken; of the part's box where there is none.
    """
    if how is None:
        return np.zeros(made.places.shape)
    left, top, width, height = how.box
    middle = made.places.mean(axis=1, keepdims=True)
    inward = made.places + WITHIN * (middle - made.places)
    x, y = inward[..., 0] - left, inward[..., 1] - top
    laid = None
    if fill is not None and fill.picture is not None:
        laid = laid_on(fill, (width, height), grain=how.grain, matched=how.matched, bent=how.bent)
    if laid is None:
        return np.stack([x / width, y / height], axis=-1)
    across, down = shares(laid, width, x, y)
    return np.stack(as_taken(laid.turn, across, down), axis=-1)
