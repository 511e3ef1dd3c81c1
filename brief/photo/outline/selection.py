"""Where in a picture to look: a rectangle, or an outline drawn by hand, with holes.

Everything is in percent of the upright picture, so that it holds at every size of that picture.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np

from brief.errors import quoted
from brief.photo.outline.polygon import (
    Mask,
    Ring,
    filled,
    in_words,
    lies_inside,
    refused,
    sound_ring,
)
from brief.photo.outline.region import Region

MOST_POINTS = 1000  # outline and holes together; a finger leaves some hundreds
LONGEST_TEXT = 64_000
_SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.IGNORECASE | re.ASCII)
_WRITTEN_AS = (
    'an outline is written <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
    '<polygon points="10,10 60,12 30,40"/></svg>, '
    'a hole in it as a further <polygon class="hole" points="..."/>'
)


@dataclass(frozen=True)
class Selection:
    """A part of a picture: a rectangle, or an outline with holes in it.

    Read and written as W3C Web Annotation's selectors are (Data Model, 4.2.1 and 4.2.7): a media
    fragment, or an SVG polygon whose viewBox, 0 0 100 100, is the whole picture.

    Attributes
    ----------
    outline : Region or Ring
        A Region, or points (x, y) in percent of the width and height of the upright picture, the
        last joined to the first.
    holes : tuple of Ring
        Outlines of the parts left out; a rectangle has none. Holes may overlap.

    Raises
    ------
    InputError
        On more than 1000 points in all, on an outline or hole that is not sound (`sound_ring`), and
        on a hole that is not wholly inside.
    """

    outline: Region | Ring
    holes: tuple[Ring, ...] = ()

    def __post_init__(self) -> None:
        if isinstance(self.outline, Region):
            if self.holes:
                raise refused("a rectangle has no holes; draw it as an outline of four points")
            return
        points = sum(len(ring) for ring in (self.outline, *self.holes))
        if points > MOST_POINTS:
            raise refused(
                f"an outline and its holes may have {MOST_POINTS} points together; got {points}; "
                "draw it simpler"
            )
        outline = sound_ring(self.outline, "the outline")
        holes = tuple(sound_ring(hole, "a hole") for hole in self.holes)
        for hole in holes:
            if not lies_inside(hole, outline):
                raise refused(
                    "a hole must lie wholly inside the outline; "
                    f"the one that starts at {in_words(hole[0])} does not"
                )
        object.__setattr__(self, "outline", outline)
        object.__setattr__(self, "holes", holes)

    @classmethod
    def parse(cls, text: str) -> Selection:
        """Read a selection as it is written, or as somebody types it.

        Parameters
        ----------
        text : str
            ``xywh=percent:10,20,30,40``, an SVG polygon, or its points, ``10,10 60,12 30,40``.

        Raises
        ------
        InputError
            For anything else.
        """
        if not text.lstrip().startswith("<"):
            words = _words(text)
            points = len(words) > 4 and _NUMBER.fullmatch(words[0])
            return cls(_pairs(words) if points else Region.parse(text))
        polygons = _polygons(text)
        outlines = [_points(p) for p in polygons if p.get("class") is None]
        if len(outlines) != 1:
            raise refused(f"there must be one outline; got {len(outlines)}. {_WRITTEN_AS}")
        return cls(outlines[0], tuple(_points(p) for p in polygons if p.get("class") is not None))

    def __str__(self) -> str:
        if isinstance(self.outline, Region):
            return str(self.outline)
        holes = "".join(f'<polygon class="hole" points="{_written(h)}"/>' for h in self.holes)
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
            f'<polygon points="{_written(self.outline)}"/>{holes}</svg>'
        )

    @property
    def ring(self) -> Ring:
        """Its outline as points, also of a rectangle."""
        box = self.outline
        if not isinstance(box, Region):
            return box
        right, low = box.x + box.w, box.y + box.h
        return (box.x, box.y), (right, box.y), (right, low), (box.x, low)

    @property
    def bounds(self) -> Region:
        """The smallest rectangle round it."""
        if isinstance(self.outline, Region):
            return self.outline
        (left, top), (right, bottom) = np.min(self.outline, axis=0), np.max(self.outline, axis=0)
        return Region(float(left), float(top), float(right - left), float(bottom - top))

    def mask(self, width: int, height: int) -> Mask:
        """Which pixels of the upright picture, of that size, have their middle inside.

        Returns
        -------
        ndarray of bool, shape (height, width)

        Raises
        ------
        InputError
            If no pixel's middle is inside.
        """
        if isinstance(self.outline, Region):
            left, top, right, bottom = self.outline.box(width, height)
            inside = np.zeros((height, width), dtype=np.bool_)
            inside[top:bottom, left:right] = True
            return inside
        return _filled(self.outline, self.holes, width, height)


def _filled(outline: Ring, holes: Sequence[Ring], width: int, height: int) -> Mask:
    inside = filled(outline, width, height)
    for hole in holes:
        inside &= ~filled(hole, width, height)
    if not inside.any():
        raise refused(
            f"the outline holds not one pixel of a picture of {width} by {height}; draw it larger"
        )
    return inside


def bounds_of(selections: Sequence[Selection]) -> Region:
    """The smallest rectangle round all of them, one or more."""
    boxes = [one.bounds for one in selections]
    left, top = min(box.x for box in boxes), min(box.y for box in boxes)
    right, bottom = max(box.x + box.w for box in boxes), max(box.y + box.h for box in boxes)
    return Region(left, top, right - left, bottom - top)


def _written(ring: Ring) -> str:
    numbers = ((np.format_float_positional(v, trim="-") for v in point) for point in ring)
    return " ".join(",".join(pair) for pair in numbers)


def _polygons(text: str) -> list[ElementTree.Element]:
    """The polygons of an SVG that holds nothing else."""
    if len(text) > LONGEST_TEXT:
        raise refused(
            f"an outline may be {LONGEST_TEXT} characters long; got {len(text)}; draw it simpler"
        )
    # A document type is how XML is made to fetch files or to grow without end.
    if "<!" in text or "<?" in text:
        raise refused(f"nothing that starts with <! or <? may stand in an outline; {_WRITTEN_AS}")
    try:
        svg = ElementTree.fromstring(text)
    except ElementTree.ParseError as exc:
        raise refused(f"this outline is not well-formed XML ({exc}); {_WRITTEN_AS}") from exc
    box = re.split(r"[\s,]+", svg.get("viewBox", "").strip())
    if svg.tag != f"{_SVG}svg" or box != ["0", "0", "100", "100"]:
        raise refused(f"this is no SVG with the viewBox 0 0 100 100; {_WRITTEN_AS}")
    _only(svg, {"viewBox"})
    for element in svg:
        if element.tag != f"{_SVG}polygon" or len(element):
            found = element.tag.removeprefix(_SVG)
            raise refused(
                f"only polygons may stand in an outline; found {quoted(found)}. {_WRITTEN_AS}"
            )
        _only(element, {"points", "class"})
        if element.get("class") not in (None, "hole"):
            raise refused(
                f'the class of a polygon must be "hole"; got {quoted(element.get("class"))}'
            )
    return list(svg)


def _only(element: ElementTree.Element, allowed: set[str]) -> None:
    """Refuse attributes and text that could carry a script, a style or a turn of the shape."""
    for name in sorted(set(element.keys()) - allowed):
        raise refused(f"{quoted(name)} may not stand in an outline; {_WRITTEN_AS}")
    if ((element.text or "") + (element.tail or "")).strip():
        raise refused(f"no text may stand in an outline; {_WRITTEN_AS}")


def _points(polygon: ElementTree.Element) -> Ring:
    return _pairs(_words(polygon.get("points", "")))


def _words(text: str) -> list[str]:
    return re.split(r"\s*,\s*|\s+", text.strip())


def _pairs(words: Sequence[str]) -> Ring:
    for word in words:
        if not _NUMBER.fullmatch(word):
            raise refused(
                f"the points of an outline must be numbers of percent; got {quoted(word)}"
            )
    if len(words) % 2:
        raise refused(f"each point has two numbers, x and y; got {len(words)} numbers")
    numbers = [float(word) for word in words]
    return tuple(zip(numbers[::2], numbers[1::2], strict=True))
