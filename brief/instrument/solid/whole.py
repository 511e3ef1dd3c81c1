"""All solids of an instrument."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import Fill
from brief.instrument.solid.mesh import Solid


def solids(
    preset: Preset, fills: Mapping[str, Fill] | None = None, let_in: Sequence[object] = ()
) -> tuple[Solid, ...]:
    """The instrument as a body in space.

    Parameters
    ----------
    preset : Preset
    fills : mapping of str to Fill, optional
        Material by role, whose photograph is laid as the flat picture lays it. A part that has none
        has its places in shares of its own box.
    let_in : sequence
        The maker's own designs.
    """
    return ()
