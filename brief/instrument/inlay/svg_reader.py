"""What a maker's SVG file draws, read as a stranger's file: outlines, and nothing else of it.

Nothing of the file itself is kept or shown. Expat hands over one tag at a time, so that a file
made to exhaust memory is refused before a tree of it exists. What can act, or points outside the
file, is refused and not skipped, so that the maker knows; what merely is not drawn is skipped.
Reads SVG 2 (W3C, 2018): basic shapes and paths, nested transforms, fill and stroke as attributes,
as `style` and as the plain style sheets that drawing programs write.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal
from xml.parsers import expat

from brief.errors import InputError, quoted
from brief.instrument.curve import Point

MAX_CHARACTERS, MAX_TAGS, MAX_DEPTH, MAX_SUBPATHS = 1_000_000, 3000, 40, 500
MAX_RULES = 1000
NEARLY_WHITE = 250  # of 255: some programs write #fefefe for white (from memory)
MM_PER_PX = 25.4 / 96  # CSS Values and Units 4, 6.2
UNITS_PX = {"": 1.0, "px": 1.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "in": 96.0, "pt": 4 / 3, "pc": 16}
SVG, XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
GROUPS = ("svg", "g", "a", "switch")
# Their contents are drawn only where something points at them.
NOT_DRAWN = ("defs", "symbol", "clipPath", "mask", "pattern", "marker", "metadata")
# Each with the way out.
REFUSED = {
    "script": "a script. Save the drawing as plain SVG, without scripts",
    "foreignObject": "a piece of a web page (foreignObject). Delete it and save again",
    "image": "a picture made of pixels. Trace it into paths in your drawing program",
    "text": "text. Turn the text into paths in your drawing program, and save again",
    "iframe": "a piece of a web page. Delete it and save again",
}
_COMMANDS = re.compile(r"[MmZzLlHhVvCcSsQqTtAaEe0-9+\-., ]*")
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"({_NUMBER})\s*(%|[a-z]*)")
# What is taken is not given back (*+), so that a million blanks take no longer than they should.
_TRANSFORM = re.compile(r"\s*+,?+\s*+(matrix|translate|scale|rotate|skewX|skewY)\s*+\(([^()]*)\)")
_SELECTOR = re.compile(r"(\*|[\w-]+)?((?:[.#][\w-]+)*)")  # of one tag, as in rect.st0
INHERITED = (
    "fill", "fill-opacity", "fill-rule", "stroke", "stroke-dasharray", "stroke-linecap",
    "stroke-linejoin", "stroke-miterlimit", "stroke-opacity", "stroke-width", "visibility",
)  # fmt: skip
STYLED = (*INHERITED, "display", "opacity", "clip-path", "mask")
Matrix = tuple[float, float, float, float, float, float]
"""a, b, c, d, e, f: x' = a x + c y + e, y' = b x + d y + f."""


@dataclass(frozen=True)
class Run:
    """One subpath: its start, and straight (one point) or cubic (three points) steps from there."""

    start: Point
    steps: tuple[tuple[Point, ...], ...]
    closed: bool


@dataclass(frozen=True)
class Outline:
    """One drawn shape in the units of its element; `matrix` takes it to millimetres.

    Attributes
    ----------
    fill
        "stuff", "white" (drawn over others to cut them out) or "none".
    stroke_width
        In the same units, 0 for none.
    white_line
        Whether the line cuts out, too.
    cap, join, mitre
        As SVG has them.
    """

    runs: tuple[Run, ...]
    matrix: Matrix
    fill: Literal["stuff", "white", "none"]
    even_odd: bool = False
    stroke_width: float = 0.0
    cap: str = "butt"
    join: str = "miter"
    mitre: float = 4.0
    white_line: bool = False


@dataclass
class Drawn:
    """What a file draws, and what was made of it in words."""

    outlines: list[Outline] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def remark(self, said: str) -> None:
        """Note something about the file, once."""
        if said not in self.remarks:
            self.remarks.append(said)


def read_svg(text: str) -> Drawn:
    """The shapes of an SVG document, or of path data alone, whose unit then is the millimetre.

    Raises
    ------
    InputError
        In the maker's words, for a file that is no SVG, holds what can act or points elsewhere, is
        too large or too deep, or draws no outline.
    """
    if len(text) > MAX_CHARACTERS:
        raise InputError(
            f"This drawing has {len(text):,} characters; at most {MAX_CHARACTERS:,} are read. "
            "Simplify its paths in your drawing program, and save it as plain SVG."
        )
    stripped = text.strip().lstrip("\ufeff").strip()
    if not stripped:
        raise InputError("The drawing is empty. Choose an SVG file, or paste path data.")
    if stripped[0] in "Mm":
        runs = path_runs(stripped)
        return Drawn([Outline(runs, (1, 0, 0, 1, 0, 0), "stuff", even_odd=True)])
    if stripped[0] != "<":
        raise InputError(
            "This is neither an SVG file, which begins with <, nor path data, which begins "
            "with M. Save the drawing as SVG and choose that file."
        )
    return _Reader().read(stripped)


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


@dataclass
class _Level:
    """A tag, as those within it need it; `style` is what it hands on, None if it is not drawn.

    `first` and `last` are the shapes in it, among all.
    """

    name: str
    attributes: Mapping[str, str]
    above: _Level | None
    matrix: Matrix
    drawn: bool
    style: dict[str, str] | None = None
    styled: bool = False
    first: int = 0
    last: int = 0


@dataclass(frozen=True)
class _Rule:
    """A rule of a style sheet; `weight` is that of its selector (Selectors 4, 17)."""

    tag: str
    parts: frozenset[str]
    weight: tuple[int, int, int]
    style: Mapping[str, str]


class _Reader:
    """Hears of one tag after the other; what it hears of first is refused first."""

    def __init__(self) -> None:
        self.drawn = Drawn()
        self.levels: list[_Level] = []
        self.tags = 0
        self.view = (0.0, 0.0)  # width and height that percentages are of
        self.sheet: str | None = None  # a style sheet being heard
        self.rules: list[_Rule] = []
        self.shapes: list[_Level] = []  # and copies of them, drawn or not, as they stand
        self.named: dict[str, _Level] = {}
        self.copied = 0

    def read(self, text: str) -> Drawn:
        """Read the whole document.

        Raises
        ------
        InputError
            As `read_svg`.
        """
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartDoctypeDeclHandler = _doctype
        parser.EntityDeclHandler = _refuse_entities
        parser.ProcessingInstructionHandler = _instruction
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
        # A style sheet counts for what stood before it, too.
        self.rules.sort(key=lambda rule: rule.weight)
        for level in self.shapes:
            if level.drawn:
                self._show(level)
        return self.drawn

    def _start(self, tag: str, given: dict[str, str]) -> None:
        self.tags += 1
        if self.tags > MAX_TAGS or len(self.levels) >= MAX_DEPTH:
            raise InputError(
                f"The file has more than {MAX_TAGS:,} shapes, or groups {MAX_DEPTH} deep in each "
                "other. Unite its shapes in your drawing program, and save it again."
            )
        space, _, name = tag.rpartition(" ")
        attributes = _checked(given, name)
        above = self.levels[-1] if self.levels else None
        if above is None and (space, name) != (SVG, "svg"):
            raise InputError(
                "This is XML, but no SVG: it does not begin with an svg tag of the SVG standard. "
                "Save the drawing as SVG."
            )
        if space == SVG and name in REFUSED:
            raise InputError(f"The file holds {REFUSED[name]}.")
        if above is None:
            self.levels.append(self._root(attributes))
            return
        if name == "svg":
            raise InputError(
                "The file has a drawing within the drawing. Ungroup it and save again."
            )
        if name == "style":
            self.sheet = ""
        shown = (*GROUPS, *SHAPES, "use")
        drawn = above.drawn and space == SVG and name in shown
        matrix = joined(above.matrix, _transform(attributes.get("transform", "")))
        level = _Level(name, attributes, above, matrix, drawn, first=len(self.shapes))
        if space == SVG and name in (*SHAPES, "use"):
            self.shapes.append(level)
        if "id" in attributes:
            self.named.setdefault(attributes["id"], level)
        self.levels.append(level)

    def _end(self, _tag: str) -> None:
        self.levels.pop().last = len(self.shapes)
        if self.sheet is not None:
            _check_style(self.sheet)
            for rule in _uncommented(self.sheet).split("}")[:-1]:
                around, _, body = rule.rpartition("{")
                for one in around.rpartition("{")[2].split(","):
                    self._rule(one.strip(), _declared(body))
            self.sheet = None

    def _rule(self, selector: str, style: Mapping[str, str]) -> None:
        """Keep a rule whose selector is of one tag, and say so of others that could matter."""
        match = _SELECTOR.fullmatch(selector)
        if not style or not selector:
            return
        if match is None:
            self.drawn.remark(
                f"The rule “{_short(selector)}” of its style sheet was left out. See whether the "
                "shape is right."
            )
            return
        if len(self.rules) >= MAX_RULES:
            raise InputError(
                f"The style sheet of the file has more than {MAX_RULES:,} rules. Save it as plain "
                "SVG."
            )
        tag, parts = match[1] or "*", re.findall(r"[.#][\w-]+", match[2])
        ids = sum(part[0] == "#" for part in parts)
        weight = (ids, len(parts) - ids, int(tag != "*"))
        self.rules.append(_Rule(tag, frozenset(parts), weight, style))

    def _text(self, text: str) -> None:
        if self.sheet is not None:
            self.sheet += text

    def _root(self, attributes: Mapping[str, str]) -> _Level:
        """The page: how long a user unit is, and where its origin lies."""
        box = [float(part) for part in re.findall(_NUMBER, attributes.get("viewBox", ""))]
        sizes = [_length(attributes.get(side, "100%"), math.nan) for side in ("width", "height")]
        scale = 1.0
        if len(box) == 4 and box[2] > 0 and box[3] > 0:
            scales = [size / of for size, of in zip(sizes, box[2:], strict=True) if size > 0]
            scale = min(scales, default=1.0)
            self.view = (box[2], box[3])
        else:
            self.view = (sizes[0], sizes[1])
        mm = MM_PER_PX * scale
        page = joined((mm, 0, 0, mm, 0, 0), _transform(attributes.get("transform", "")))
        return _Level("svg", attributes, None, page, True)

    def _style(self, level: _Level) -> dict[str, str] | None:
        """What a tag is drawn with; None if it, or what it stands in, is not drawn at all."""
        if level.styled:
            return level.style
        level.styled = True
        handed = self._style(level.above) if level.above else {}
        # CSS Cascading 4: a style sheet goes before attributes, a style attribute before it.
        own = _said(level.attributes) | self._matching(level)
        own |= _declared(level.attributes.get("style", ""))
        if own.get("transform", "none") != "none":
            raise InputError(
                "The file moves a shape by its style (transform). Apply the transforms to the "
                "shapes in your drawing program, and save again."
            )
        if any(own.get(cut, "none") != "none" for cut in ("clip-path", "mask")):
            raise InputError(
                "The drawing shows a shape through another one (a clip or a mask). Intersect the "
                "two into one path in your drawing program, or release the clip, and save again."
            )
        if handed is not None and own.get("display") != "none" and _opaque(own, "opacity"):
            level.style = {k: v for k, v in handed.items() if k in INHERITED} | own
        return level.style

    def _show(self, level: _Level, within: tuple[_Level, ...] = ()) -> None:
        """A shape, or the copies that it stands for. within : what is being copied already."""
        if level.name != "use":
            self._shape(level)
            return
        target = self.named.get(level.attributes.get("href", ""))
        if target is None:
            raise InputError(
                "A copy in the drawing points at a shape that is not in it. Delete the copy, or "
                "unlink it in your drawing program, and save again."
            )
        if any(one is target for one in within) or len(within) >= MAX_DEPTH:
            raise InputError(
                "The copies in the drawing point at each other in a circle. Unlink them in your "
                "drawing program, and save again."
            )
        if target.name == "symbol" and "viewBox" in target.attributes:
            raise InputError(
                "The drawing has a copy of a symbol with a window of its own (viewBox). Unlink the "
                "copy in your drawing program, and save again."
            )
        x, y = (
            _length(level.attributes.get(axis, "0"), side)
            for axis, side in zip("xy", self.view, strict=True)
        )
        moved = joined(level.matrix, (1, 0, 0, 1, x, y))
        where = replace(level, matrix=moved)
        for shape in self.shapes[target.first : target.last]:
            self.copied += 1
            if self.copied > MAX_TAGS:
                raise InputError(
                    f"The drawing has more than {MAX_TAGS:,} copies. Unlink and unite them in your "
                    "drawing program, and save it again."
                )
            if (copy := _copied(shape, target, where)) is not None:
                self._show(copy, (*within, target))

    def _shape(self, level: _Level) -> None:
        style = self._style(level)
        if style is None or style.get("visibility") in ("hidden", "collapse"):
            return
        width = _length(style.get("stroke-width", "1"), self.view[0])
        fill = _paint(style.get("fill", "black")) if _opaque(style, "fill-opacity") else "none"
        line = _paint(style.get("stroke", "none")) if _opaque(style, "stroke-opacity") else "none"
        stroked = line != "none" and width > 0
        data = self._data(level.name, level.attributes)
        if not data or (fill == "none" and not stroked):
            return
        if stroked and style.get("stroke-dasharray", "none") not in ("none", "0"):
            self.drawn.remark("Dashed lines were taken as whole ones.")
        self.drawn.outlines.append(
            Outline(
                path_runs(data),
                level.matrix,
                fill,
                style.get("fill-rule") == "evenodd",
                width if stroked else 0.0,
                style.get("stroke-linecap", "butt"),
                style.get("stroke-linejoin", "miter"),
                _plain(style.get("stroke-miterlimit", "4")) or 4.0,
                white_line=line == "white",
            )
        )

    def _matching(self, level: _Level) -> dict[str, str]:
        """What the style sheets say of a tag, by its name, its id or its classes."""
        known = {f".{one}" for one in level.attributes.get("class", "").split()}
        known.add(f"#{level.attributes.get('id', '')}")
        found: dict[str, str] = {}
        for rule in self.rules:
            if rule.tag in ("*", level.name) and rule.parts <= known:
                found |= rule.style
        return found

    def _data(self, name: str, attributes: Mapping[str, str]) -> str:
        """The path data of a basic shape (SVG 2, chapter 10)."""
        if name == "path":
            return attributes.get("d", "").strip()
        if name in ("polygon", "polyline"):
            points = attributes.get("points", "").strip()
            return f"M{points}{'Z' if name == 'polygon' else ''}" if points else ""
        across, down = self.view

        def at(key: str) -> float:
            of = across if key in ("x", "x1", "x2", "cx", "width", "rx") else down
            return _length(attributes.get(key, "0"), math.hypot(*self.view) if key == "r" else of)

        if name == "line":
            return f"M{at('x1')!r} {at('y1')!r} L{at('x2')!r} {at('y2')!r}"
        if name == "rect":
            x, y, wide, tall = (at(key) for key in ("x", "y", "width", "height"))
            rx, ry = at("rx") or at("ry"), at("ry") or at("rx")
            rx, ry = min(rx, wide / 2), min(ry, tall / 2)
            if wide <= 0 or tall <= 0:
                return ""
            if rx <= 0 or ry <= 0:
                return f"M{x!r} {y!r} h{wide!r} v{tall!r} h{-wide!r} Z"
            arcs = [
                f"a{rx!r} {ry!r} 0 0 1 {dx * rx!r} {dy * ry!r}"
                for dx, dy in ((1, 1), (-1, 1), (-1, -1), (1, -1))
            ]
            sides = (f"h{wide - 2 * rx!r}", f"v{tall - 2 * ry!r}")
            back = (f"h{2 * rx - wide!r}", f"v{2 * ry - tall!r}")
            steps = " ".join(f"{s} {a}" for s, a in zip((*sides, *back), arcs, strict=True))
            return f"M{x + rx!r} {y!r} {steps} Z"
        rx, ry = (at("r"), at("r")) if name == "circle" else (at("rx"), at("ry"))
        if rx <= 0 or ry <= 0:
            return ""
        half = f"a{rx!r} {ry!r} 0 1 1"
        return f"M{at('cx') - rx!r} {at('cy')!r} {half} {2 * rx!r} 0 {half} {-2 * rx!r} 0 Z"


def _copied(shape: _Level, target: _Level, where: _Level) -> _Level | None:
    """A shape as it stands in a copy of `target`; None if it is not drawn there.

    It stands in `where` as it stood in what held the target, and takes its style from there (SVG 2,
    5.6).
    """
    above: _Level | None = where
    if shape is not target:
        if shape.above is None:
            return None
        above = _copied(shape.above, target, where)
        if above is None or shape.name not in (*GROUPS, *SHAPES, "use"):
            return None
    elif shape.name not in (*GROUPS, *SHAPES, "use", "symbol"):
        return None
    assert above is not None
    own = _transform(shape.attributes.get("transform", ""))
    return _Level(shape.name, shape.attributes, above, joined(above.matrix, own), True)


def joined(outer: Matrix, inner: Matrix) -> Matrix:
    """The transform that does `inner` first, and then `outer`."""
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (
        a * g + c * h,
        b * g + d * h,
        a * i + c * j,
        b * i + d * j,
        a * k + c * m + e,
        b * k + d * m + f,
    )


def _transform(text: str) -> Matrix:
    """A list of transforms (CSS Transforms 1, 7)."""
    found: Matrix = (1, 0, 0, 1, 0, 0)
    at = 0
    while match := _TRANSFORM.match(text, at):
        at = match.end()
        numbers = [float(part) for part in re.findall(_NUMBER, match[2])]
        found = joined(found, _one_transform(match[1], numbers))
    if text[at:].strip(" ,") not in ("", "none") or not all(abs(one) < 1e6 for one in found):
        raise InputError(
            f"The transform “{text[:40]}” cannot be read. Apply the transforms to the shapes in "
            "your drawing program, and save again."
        )
    return found


def _one_transform(name: str, numbers: Sequence[float]) -> Matrix:
    match name, [*numbers]:
        case "matrix", [a, b, c, d, e, f]:
            return a, b, c, d, e, f
        case "translate", [x, *y] if len(y) < 2:
            return 1, 0, 0, 1, x, y[0] if y else 0.0
        case "scale", [x, *y] if len(y) < 2:
            return x, 0, 0, y[0] if y else x, 0, 0
        case "rotate", [turn, *about] if len(about) in (0, 2):
            cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            x, y0 = about or (0.0, 0.0)
            return cos, sin, -sin, cos, x - cos * x + sin * y0, y0 - sin * x - cos * y0
        case "skewX", [turn]:
            return 1, 0, math.tan(math.radians(turn)), 1, 0, 0
        case "skewY", [turn]:
            return 1, math.tan(math.radians(turn)), 0, 1, 0, 0
    return math.nan, 0, 0, 0, 0, 0


def _checked(given: Mapping[str, str], tag: str) -> dict[str, str]:
    """The attributes that belong to SVG, once none of them can act or points elsewhere."""
    kept: dict[str, str] = {}
    for key, value in given.items():
        space, _, name = key.rpartition(" ")
        if name.lower().startswith("on") and not space:
            raise InputError(
                f"The tag “{tag}” has an event attribute ({name[:30]}), which can run a script. "
                "Save the drawing as plain SVG, without it."
            )
        if name.lower() in ("href", "src") and space in ("", XLINK):
            if not value.strip().startswith("#"):
                raise InputError(
                    f"The tag “{tag}” points outside the drawing ({_short(value)}). Embed nothing "
                    "and link nothing: turn it into paths, or delete it."
                )
            if tag == "use":
                kept.setdefault("href", value.strip()[1:])
            continue
        if not space:
            kept[name] = value
            if name in STYLED or name == "style":
                _check_style(value)
    return kept


def _check_style(text: str) -> None:
    """Style may point within the drawing, not out of it (nor hide that it does by escapes)."""
    bare = _uncommented(text)
    outside = re.search(r"url\(\s*+['\"]?+\s*+(?!#)", bare, re.IGNORECASE)
    if outside or "\\" in bare or re.search(r"@import|expression\s*\(", bare, re.IGNORECASE):
        raise InputError(
            f"The style “{_short(text.strip())}” points outside the drawing. Save it as plain SVG."
        )


def _uncommented(text: str) -> str:
    """Style without its comments; one that is not closed goes to the end (CSS Syntax 3, 4.3.2)."""
    first, *others = text.split("/*")
    return first + "".join(one.partition("*/")[2] for one in others)


def _doctype(_name: str, _system: str | None, _public: str | None, declares: int) -> None:
    """Pass over a document type that only names the standard, as drawing programs write it.

    Expat does not fetch what it names.
    """
    if declares:
        _refuse_entities()


def _refuse_entities(*_: object) -> None:
    raise InputError(
        "The file has a DOCTYPE with declarations, which can hide a file that grows without end. "
        "Save it as plain SVG, or delete all from <!DOCTYPE to ]>."
    )


def _instruction(target: str, _data: str) -> None:
    """What fetches a style sheet is refused; notes that programs leave for themselves are not."""
    if target.lower() == "xml-stylesheet":
        raise InputError(
            f"The file has an instruction to fetch something else ({_short(target)}). Save it as "
            "plain SVG, without a linked style sheet."
        )


def _said(attributes: Mapping[str, str]) -> dict[str, str]:
    known = {name: attributes[name].strip() for name in STYLED if name in attributes}
    return {name: value for name, value in known.items() if value != "inherit"}


def _declared(body: str) -> dict[str, str]:
    pairs = (one.split(":", 1) for one in body.split(";") if ":" in one)
    named = ((name.strip(), value.replace("!important", "").strip()) for name, value in pairs)
    known = (*STYLED, "transform")  # which as an attribute is read apart
    return {name: value for name, value in named if name in known and value != "inherit"}


def _opaque(style: Mapping[str, str], name: str) -> bool:
    """Whether anything is to be seen, by an opacity."""
    given = style.get(name, "1").removesuffix("%").strip()
    return not (re.fullmatch(_NUMBER, given) and float(given) <= 0)


def _paint(colour: str) -> Literal["stuff", "white", "none"]:
    from PIL import ImageColor

    plain = colour.lower().replace(" ", "")
    if plain in ("none", "transparent"):
        return "none"
    try:
        *channels, opacity = ImageColor.getcolor(plain, "RGBA")  # type: ignore[misc]
    except ValueError:  # a gradient, currentColor, or a notation that it does not know
        return "stuff"
    if opacity == 0:
        return "none"
    return "white" if min(channels) >= NEARLY_WHITE else "stuff"


def _length(text: str, of: float) -> float:
    """A length in user units; a percentage of `of`. Raises InputError for what is none."""
    match = _LENGTH.fullmatch(text.strip())
    unit = match[2] if match else "?"
    if match and unit == "%":
        return float(match[1]) / 100 * of
    if match is None or unit not in UNITS_PX:
        raise InputError(f"The length “{_short(text)}” cannot be read. Draw in mm or in pixels.")
    return float(match[1]) * UNITS_PX[unit]


def _plain(text: str) -> float:
    match = _LENGTH.fullmatch(text.strip())
    return float(match[1]) if match else 0.0


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 40 else line[:39] + "…"
