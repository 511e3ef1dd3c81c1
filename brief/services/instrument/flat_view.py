"""A traced outline as it is, flat, with its widths and what they may be off by written on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brief.instrument.curve import path_data
from brief.instrument.outline.bouts import SAID, bouts
from brief.instrument.outline.fair import closed_outline
from brief.instrument.presets import Stations

ROOM_MM = 12.0  # round the outline


@dataclass(frozen=True)
class Width:
    """A width across the outline; `doubt_mm` is None where it is exact."""

    name: str
    at_mm: float
    half_mm: float
    width_mm: float
    doubt_mm: float | None


@dataclass(frozen=True)
class FlatView:
    """The outline in mm: its viewBox, its path data, and its widths from the neck down.

    `left_mm` and `top_mm` are where the box begins, `wide_mm` and `high_mm` how large it is.
    """

    box: str
    left_mm: float
    top_mm: float
    wide_mm: float
    high_mm: float
    curve: str
    tail_mm: float
    widths: tuple[Width, ...]


def flat_view(outline: Stations, doubts: Sequence[float]) -> FlatView:
    """What an outline looks like; `doubts` are those of its widths, or none."""
    half, tail = max(half for _, half in outline) + ROOM_MM, outline[-1][0]
    known = bouts(outline)
    return FlatView(
        box=f"{-half:.1f} {-ROOM_MM} {2 * half:.1f} {tail + 2 * ROOM_MM:.1f}",
        left_mm=-half,
        top_mm=-ROOM_MM,
        wide_mm=2 * half,
        high_mm=tail + 2 * ROOM_MM,
        curve=path_data(closed_outline(outline)) + "Z",
        tail_mm=tail,
        widths=tuple(
            Width(
                SAID[bout.name].removeprefix("the "),
                bout.at_mm,
                bout.width_mm / 2,
                bout.width_mm,
                doubts[i] if i < len(doubts) else None,
            )
            for i, bout in enumerate(known)
        ),
    )
