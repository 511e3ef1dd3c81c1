"""The outline that a maker's SVG drawing holds, as a run of points in millimetres."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brief.errors import InputError
from brief.instrument.inlay.svg.outlines import Run
from brief.instrument.inlay.svg.reader import read_svg
from brief.instrument.inlay.svg.transforms import Matrix
from brief.instrument.tracing.symmetry import Run as Points

STEPS = 24  # chords to a curved piece
FEW_SIDES = 4
MOST_PIECES = 1000  # more is no mould, and a file could have them all meet in one place
MEET_MM = 0.05  # within which two ends are one place


def outline_of_svg(text: str) -> tuple[Points, list[str]]:
    """The largest outline of an SVG document, or of path data in millimetres, and remarks.

    Raises
    ------
    InputError
        For what `read_svg` refuses and for a document without an outline.
    """
    drawn = read_svg(text)
    given = [
        (run, _points(run, outline.matrix)) for outline in drawn.outlines for run in outline.runs
    ]
    found = [(_is_box(run), points) for run, points in given if run.closed]
    pieces = [points for run, points in given if not run.closed]
    chains = _chained(pieces)
    found += [(len(points) <= FEW_SIDES + 1, points) for points in chains]
    # A page, a frame or a title block is a box; a body is none.
    runs = [points for box, points in found if not box] or [points for _, points in found]
    if not runs:
        raise InputError(
            "The file draws no outline. Draw the body as one path, and save it as plain SVG."
        )
    runs.sort(key=lambda run: float(np.hypot(*np.ptp(run, axis=0))), reverse=True)
    remarks = list(drawn.remarks)
    if len(chains) < len(pieces):
        remarks.append("Lines and arcs whose ends meet were joined.")
    if len(found) > 1:
        remarks.append(
            f"Of the {len(found)} outlines in the file, the largest that can be a body was taken."
        )
    return runs[0], remarks


def _chained(runs: Sequence[Points]) -> list[Points]:
    """Runs whose ends meet, as one: programs that draw to measure save each line and arc apart.

    Where three meet, as an outline and its centre line do, none goes on in another.
    """
    import shapely

    runs = [run for run in runs if np.ptp(run, axis=0).max() > MEET_MM]
    if not 2 <= len(runs) <= MOST_PIECES:
        return list(runs)
    ends = np.array([end for run in runs for end in (run[0], run[-1])])
    spots = shapely.points(ends)
    near = shapely.STRtree(spots).query(spots, predicate="dwithin", distance=MEET_MM)
    first = np.arange(len(ends))
    np.minimum.at(first, near[0], near[1])
    met = ends[first].reshape(-1, 2, 2)
    lines = [np.vstack([a, run[1:-1], b]) for run, (a, b) in zip(runs, met, strict=True)]
    merged = shapely.line_merge(shapely.multilinestrings([shapely.linestrings(x) for x in lines]))
    return [shapely.get_coordinates(one) for one in shapely.get_parts(merged)]


def _is_box(run: Run) -> bool:
    """Whether it has no more than four corners and nothing round."""
    return len(run.steps) <= FEW_SIDES and all(len(step) == 1 for step in run.steps)


def _points(run: Run, matrix: Matrix) -> Points:
    points = [run.start]
    for step in run.steps:
        if len(step) == 1:
            points.append(step[0])
            continue
        t = np.linspace(0, 1, STEPS + 1)[1:, None]
        corners = [np.array(corner) for corner in (points[-1], *step)]
        weights = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3)
        curve = sum(w * c for w, c in zip(weights, corners, strict=True))
        points += [(float(x), float(y)) for x, y in np.asarray(curve)]
    a, b, c, d, e, f = matrix
    flat = np.array(points)
    if run.closed:
        flat = np.vstack([flat, flat[:1]])
    moved: Points = flat @ np.array([[a, b], [c, d]]) + [e, f]
    return moved
