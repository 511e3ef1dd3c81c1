"""One tag of a file after the other, as Expat hands them over: kept, passed over or refused."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from xml.parsers import expat

from brief.errors import InputError
from brief.instrument.inlay.svg.outlines import Drawn
from brief.instrument.inlay.svg.refusals import (
    REFUSED,
    SVG,
    check_doctype,
    check_instruction,
    checked_attributes,
    refuse_entities,
)
from brief.instrument.inlay.svg.shapes import SHAPES
from brief.instrument.inlay.svg.style_sheet import StyleSheets
from brief.instrument.inlay.svg.transforms import Matrix, joined, transform
from brief.instrument.inlay.svg.units import MM_PER_PX, NUMBER, length

MAX_TAGS = 3000
MAX_DEPTH = 40
GROUPS = ("svg", "g", "a", "switch")
DRAWN = (*GROUPS, *SHAPES, "use")


@dataclass
class Tag:
    """A tag, as those within it need it; `style` is what it hands on, None if it is not drawn.

    `first` and `last` are the shapes in it, among all.
    """

    name: str
    attributes: Mapping[str, str]
    above: Tag | None
    matrix: Matrix
    drawn: bool
    style: dict[str, str] | None = None
    styled: bool = False
    first: int = 0
    last: int = 0


class HeardTags:
    """What was heard of a whole file; what is heard of first is refused first.

    Attributes
    ----------
    drawn
        With remarks, and no outline yet.
    shapes
        Shapes and copies of them, drawn or not, as they stand.
    named
        Tags by their ids.
    sheets
        The style sheets.
    view
        Width and height that percentages are of.
    """

    def __init__(self, text: str) -> None:
        self.drawn = Drawn()
        self.shapes: list[Tag] = []
        self.named: dict[str, Tag] = {}
        self.sheets = StyleSheets()
        self.view = (0.0, 0.0)
        self._open: list[Tag] = []
        self._count = 0
        self._sheet: str | None = None  # a style sheet being heard
        self._hear(text)

    def _hear(self, text: str) -> None:
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartDoctypeDeclHandler = check_doctype
        parser.EntityDeclHandler = refuse_entities
        parser.ProcessingInstructionHandler = check_instruction
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        try:
            parser.Parse(text, True)
        except (expat.ExpatError, UnicodeEncodeError) as exc:
            raise InputError(
                f"The SVG is damaged or cut off at line "
                f"{getattr(exc, 'lineno', 1)}. Save it again from your drawing program."
            ) from exc

    def _start(self, tag: str, given: dict[str, str]) -> None:
        self._count += 1
        if self._count > MAX_TAGS or len(self._open) >= MAX_DEPTH:
            raise InputError(
                f"The file has more than {MAX_TAGS:,} shapes, or groups {MAX_DEPTH} deep in each "
                "other. Unite its shapes in your drawing program, and save it again."
            )
        space, _, name = tag.rpartition(" ")
        attributes = checked_attributes(given, name)
        above = self._open[-1] if self._open else None
        if above is None and (space, name) != (SVG, "svg"):
            raise InputError(
                "This is XML, but no SVG: it does not begin with an svg tag of the SVG standard. "
                "Save the drawing as SVG."
            )
        if space == SVG and name in REFUSED:
            raise InputError(f"The file holds {REFUSED[name]}.")
        if above is None:
            self._open.append(self._root(attributes))
            return
        if name == "svg":
            raise InputError(
                "The file has a drawing within the drawing. Ungroup it and save again."
            )
        if name == "style":
            self._sheet = ""
        drawn = above.drawn and space == SVG and name in DRAWN
        matrix = joined(above.matrix, transform(attributes.get("transform", "")))
        heard = Tag(name, attributes, above, matrix, drawn, first=len(self.shapes))
        if space == SVG and name in (*SHAPES, "use"):
            self.shapes.append(heard)
        if "id" in attributes:
            self.named.setdefault(attributes["id"], heard)
        self._open.append(heard)

    def _root(self, attributes: Mapping[str, str]) -> Tag:
        """The page: how long a user unit is, and where its origin lies."""
        box = [float(part) for part in re.findall(NUMBER, attributes.get("viewBox", ""))]
        sizes = [length(attributes.get(side, "100%"), math.nan) for side in ("width", "height")]
        scale = 1.0
        if len(box) == 4 and box[2] > 0 and box[3] > 0:
            scales = [size / of for size, of in zip(sizes, box[2:], strict=True) if size > 0]
            scale = min(scales, default=1.0)
            self.view = (box[2], box[3])
        else:
            self.view = (sizes[0], sizes[1])
        mm = MM_PER_PX * scale
        page = joined((mm, 0, 0, mm, 0, 0), transform(attributes.get("transform", "")))
        return Tag("svg", attributes, None, page, True)

    def _end(self, _tag: str) -> None:
        self._open.pop().last = len(self.shapes)
        if self._sheet is not None:
            self.sheets.read(self._sheet, self.drawn)
            self._sheet = None

    def _text(self, text: str) -> None:
        if self._sheet is not None:
            self._sheet += text
