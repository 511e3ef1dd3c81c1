"""Path data as subpaths, whose curves are all cubic."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from brief.errors import InputError, quoted
from brief.instrument.curve import Point
from brief.instrument.inlay.svg.outlines import Run

MAX_SUBPATHS = 500
_COMMANDS = re.compile(r"[MmZzLlHhVvCcSsQqTtAaEe0-9+\-., ]*")


def path_runs(data: str) -> tuple[Run, ...]:
    """The subpaths of path data.

    Raises
    ------
    InputError
        Where it cannot be read.

    References
    ----------
    SVG 2, 9.3.
    """
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    plain = " ".join(data.replace(",", " ").split())
    if odd := _COMMANDS.sub("", plain):
        raise InputError(
            f"The path data holds {quoted(odd[:20])}, which is no path command and no number. "
            "Copy the path again, from its first M to its end."
        )
    pen = RecordingPen()
    try:
        parse_path(plain, pen)
    except (ValueError, OverflowError, ZeroDivisionError, IndexError, TypeError) as exc:
        shown = plain if len(plain) <= 40 else plain[:40] + "…"
        raise InputError(
            f"The path “{shown}” breaks off or cannot be read. Copy it again, whole."
        ) from exc
    return _runs(pen.value)


def _runs(recorded: Sequence[tuple[str, Any]]) -> tuple[Run, ...]:
    runs: list[Run] = []
    start: Point = (0.0, 0.0)
    steps: list[tuple[Point, ...]] = []

    def end(closed: bool) -> None:
        if steps:
            runs.append(Run(start, tuple(steps), closed))

    for name, points in recorded:
        if any(not abs(value) < 1e6 for point in points for value in point):  # nan, too
            raise InputError("The drawing has places beyond a million units. Draw it smaller.")
        match name:
            case "moveTo":
                start, steps = points[0], []
            case "lineTo" | "curveTo":
                steps.append(tuple(points))
            case "qCurveTo":
                # A quadratic piece as a cubic one: its handles lie two thirds of the way.
                before = steps[-1][-1] if steps else start
                handle, to = points
                first, second = (
                    tuple(a + 2 / 3 * (h - a) for a, h in zip(at, handle, strict=True))
                    for at in (before, to)
                )
                steps.append(((first[0], first[1]), (second[0], second[1]), to))
            case "closePath" | "endPath":
                end(name == "closePath")
                steps = []
    end(False)
    if len(runs) > MAX_SUBPATHS:
        raise InputError(
            f"One shape has {len(runs):,} outlines; at most {MAX_SUBPATHS} are read. Simplify it."
        )
    return tuple(runs)
