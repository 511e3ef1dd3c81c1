"""The shapes of a file that was heard as a whole, styled and copied, as outlines."""

from __future__ import annotations

from dataclasses import replace

from brief.errors import InputError
from brief.instrument.inlay.svg.outlines import Drawn, Outline
from brief.instrument.inlay.svg.path_data import path_runs
from brief.instrument.inlay.svg.shapes import shape_data
from brief.instrument.inlay.svg.style import INHERITED, declared, opaque, paint, presented
from brief.instrument.inlay.svg.tags import DRAWN, MAX_DEPTH, MAX_TAGS, HeardTags, Tag
from brief.instrument.inlay.svg.transforms import joined, transform
from brief.instrument.inlay.svg.units import length, plain_number


def shown(heard: HeardTags) -> Drawn:
    """All that is drawn. Style sheets count for what stood before them, too."""
    showing = _Showing(heard)
    for shape in heard.shapes:
        if shape.drawn:
            showing.show(shape)
    return heard.drawn


class _Showing:
    def __init__(self, heard: HeardTags) -> None:
        self.heard = heard
        self.copied = 0

    def show(self, tag: Tag, within: tuple[Tag, ...] = ()) -> None:
        """A shape, or the copies that it stands for.

        Parameters
        ----------
        tag
            Of the shape, or of a `use`.
        within
            What is being copied already.

        Raises
        ------
        InputError
            For copies of nothing, of each other, or too many.
        """
        if tag.name != "use":
            self._shape(tag)
            return
        target = self._target(tag, within)
        x, y = (
            length(tag.attributes.get(axis, "0"), side)
            for axis, side in zip("xy", self.heard.view, strict=True)
        )
        where = replace(tag, matrix=joined(tag.matrix, (1, 0, 0, 1, x, y)))
        for shape in self.heard.shapes[target.first : target.last]:
            self.copied += 1
            if self.copied > MAX_TAGS:
                raise InputError(
                    f"The drawing has more than {MAX_TAGS:,} copies. Unlink and unite them in your "
                    "drawing program, and save it again."
                )
            if (copy := _copied(shape, target, where)) is not None:
                self.show(copy, (*within, target))

    def _target(self, tag: Tag, within: tuple[Tag, ...]) -> Tag:
        """What a `use` copies."""
        target = self.heard.named.get(tag.attributes.get("href", ""))
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
        return target

    def _shape(self, tag: Tag) -> None:
        style = self._style(tag)
        if style is None or style.get("visibility") in ("hidden", "collapse"):
            return
        width = length(style.get("stroke-width", "1"), self.heard.view[0])
        fill = paint(style.get("fill", "black")) if opaque(style, "fill-opacity") else "none"
        line = paint(style.get("stroke", "none")) if opaque(style, "stroke-opacity") else "none"
        stroked = line != "none" and width > 0
        data = shape_data(tag.name, tag.attributes, self.heard.view)
        if not data or (fill == "none" and not stroked):
            return
        if stroked and style.get("stroke-dasharray", "none") not in ("none", "0"):
            self.heard.drawn.remark("Dashed lines were taken as whole ones.")
        self.heard.drawn.outlines.append(
            Outline(
                path_runs(data),
                tag.matrix,
                fill,
                style.get("fill-rule") == "evenodd",
                width if stroked else 0.0,
                style.get("stroke-linecap", "butt"),
                style.get("stroke-linejoin", "miter"),
                plain_number(style.get("stroke-miterlimit", "4")) or 4.0,
                white_line=line == "white",
            )
        )

    def _style(self, tag: Tag) -> dict[str, str] | None:
        """What a tag is drawn with; None if it, or what it stands in, is not drawn at all."""
        if tag.styled:
            return tag.style
        tag.styled = True
        handed = self._style(tag.above) if tag.above else {}
        # CSS Cascading 4: a style sheet goes before attributes, a style attribute before it.
        own = presented(tag.attributes) | self.heard.sheets.matching(tag.name, tag.attributes)
        own |= declared(tag.attributes.get("style", ""))
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
        if handed is not None and own.get("display") != "none" and opaque(own, "opacity"):
            tag.style = {k: v for k, v in handed.items() if k in INHERITED} | own
        return tag.style


def _copied(shape: Tag, target: Tag, where: Tag) -> Tag | None:
    """A shape as it stands in a copy of `target`; None if it is not drawn there.

    It stands in `where` as it stood in what held the target, and takes its style from there (SVG 2,
    5.6).
    """
    above: Tag | None = where
    if shape is not target:
        if shape.above is None:
            return None
        above = _copied(shape.above, target, where)
        if above is None or shape.name not in DRAWN:
            return None
    elif shape.name not in (*DRAWN, "symbol"):
        return None
    assert above is not None
    own = transform(shape.attributes.get("transform", ""))
    return Tag(shape.name, shape.attributes, above, joined(above.matrix, own), True)
