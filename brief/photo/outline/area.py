"""What of a photograph is measured: outlines of the wood, less what lies on it or beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brief.photo.outline.polygon import Mask, Ring, filled, refused
from brief.photo.outline.region import Region
from brief.photo.outline.selection import Selection, bounds_of

GRID = 24  # lines each way between which a rectangle of nothing but wood is looked for
SURVEY_PX = 240  # longest side at which it is


@dataclass(frozen=True)
class Area:
    """Outlines, each place counted once, less what is left out.

    Attributes
    ----------
    selections : tuple of Selection
        Where to look; all of the picture if there are none.
    without : tuple of Ring
        Outlines of the parts left out, such as a chart with a margin; percent of the picture, and
        may reach beyond it.
    """

    selections: tuple[Selection, ...] = ()
    without: tuple[Ring, ...] = ()

    @property
    def is_whole(self) -> bool:
        """Whether it is all of the picture."""
        return not self.selections and not self.without

    @property
    def bounds(self) -> Region:
        """The smallest rectangle round the outlines."""
        return bounds_of(self.selections) if self.selections else Region(0, 0, 100, 100)

    def mask(self, width: int, height: int) -> Mask:
        """Which pixels of the upright picture, of that size, are measured; errors as `mask_in`.

        Returns
        -------
        ndarray of bool, shape (height, width)
        """
        return self.mask_in(Region(0, 0, 100, 100), width, height)

    def mask_in(self, part: Region, width: int, height: int) -> Mask:
        """The mask of a part of the picture, cropped to it.

        Parameters
        ----------
        part : Region
        width, height : int
            Of the part, pixels.

        Returns
        -------
        ndarray of bool, shape (height, width)

        Raises
        ------
        InputError
            If no pixel is left.
        """
        inside = np.full((height, width), not self.selections)
        for one in self.selections:
            if isinstance(one.outline, Region):
                left, top, right, bottom = _within(one.outline, part).box(width, height)
                inside[top:bottom, left:right] = True
                continue
            drawn = filled(_moved(one.outline, part), width, height)
            for hole in one.holes:
                drawn &= ~filled(_moved(hole, part), width, height)
            inside |= drawn
        if not inside.any():
            raise refused(
                f"the outline holds not one pixel of a picture of {width} by {height}; "
                "draw it larger"
            )
        for ring in self.without:
            inside &= ~filled(_moved(ring, part), width, height)
        if not inside.any():
            raise refused(
                "nothing of it is left without the chart or card, which is not measured; outline "
                "wood that lies clear of them"
            )
        return inside

    def clear(self, size: tuple[int, int]) -> Region:
        """The largest upright rectangle of nothing but what is measured, to a hundredth.

        `size` is the width and height of the upright picture; errors as `mask_in`.
        """
        scale = min(1.0, SURVEY_PX / max(size))
        width, height = (max(1, round(side * scale)) for side in size)
        left, top, right, bottom = _largest(self.mask(width, height))
        x, y = (round(edge, 2) for edge in (left / width * 100, top / height * 100))
        return Region(x, y, round(right / width * 100 - x, 2), round(bottom / height * 100 - y, 2))


def _largest(inside: Mask) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of a largest rectangle of True, on a grid; one pixel at least."""
    rows, columns = (np.flatnonzero(inside.any(axis=axis)) for axis in (1, 0))
    lines = [
        np.unique(np.linspace(ends[0], ends[-1] + 1, GRID).round().astype(int))
        for ends in (rows, columns)
    ]
    held = np.pad(inside.cumsum(axis=0, dtype=np.int32).cumsum(axis=1), ((1, 0), (1, 0)))
    (tops, bottoms), (lefts, rights) = (np.triu_indices(len(line), 1) for line in lines)
    top, bottom = (lines[0][ends][:, None] for ends in (tops, bottoms))
    left, right = (lines[1][ends] for ends in (lefts, rights))
    count = held[bottom, right] - held[top, right] - held[bottom, left] + held[top, left]
    size = (bottom - top) * (right - left)
    row, column = np.unravel_index(np.where(count == size, size, 0).argmax(), size.shape)
    if count[row, column] < size[row, column]:  # nothing is as wide as the grid
        y, x = (int(place[0]) for place in np.nonzero(inside))
        return x, y, x + 1, y + 1
    return int(left[column]), int(top[row, 0]), int(right[column]), int(bottom[row, 0])


def _moved(ring: Ring, part: Region) -> Ring:
    """The same in percent of a part of the picture."""
    return tuple(((x - part.x) / part.w * 100, (y - part.y) / part.h * 100) for x, y in ring)


def _within(box: Region, part: Region) -> Region:
    """The same rectangle in percent of a part that holds it."""
    ((left, top), (right, bottom)) = np.clip(
        _moved(((box.x, box.y), (box.x + box.w, box.y + box.h)), part), 0, 100
    ).tolist()
    return Region(left, top, right - left, bottom - top)
