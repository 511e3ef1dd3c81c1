"""The outline of a plate that has become narrower or wider, as it is drawn over a face."""

from __future__ import annotations

from collections.abc import Iterable

from brief.instrument.curve import polygon
from brief.instrument.outline.outlines import body_outline
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Box

TIMES = (100, 50, 20, 10, 5, 2)
"""How much larger than it is a change may be drawn."""
MOST_SHOWN = 0.1  # of the width
ROOM = 0.07  # beside the body, of its width


def exaggeration(shares: Iterable[float]) -> int:
    """How many times larger than they are changes are drawn, so that the largest shows well.

    Parameters
    ----------
    shares : iterable of float
        Changes as shares of the width.
    """
    largest = max(map(abs, shares), default=0.0)
    return next((times for times in TIMES if largest * times <= MOST_SHOWN), TIMES[-1])


def moved_outline(preset: Preset, share: float, *, behind: bool = False) -> str:
    """The outline of the body, wider by a share of its width, as closed path data.

    Along the grain, which runs from neck to tail, wood keeps its length.

    Parameters
    ----------
    preset : Preset
    share : float
        Of the width; below 0 it is narrower.
    behind : bool
        As the back is seen.
    """
    wider = (1 + share) * (-1 if behind else 1)
    return polygon([(x * wider, y) for x, y in body_outline(preset)[:-1:2]])


def body_box(preset: Preset) -> Box:
    """What shows of a face where its body moves: (x, y, width, height), mm."""
    half, room = preset.width_mm / 2, ROOM * preset.width_mm
    return -half - room, -room, 2 * (half + room), preset.body_mm + 2 * room
