"""What a maker says besides, who hands a brief over themselves, on paper."""

from __future__ import annotations

from itertools import groupby

from brief.instrument.model.sizes import PART_TITLES, says_nothing
from brief.instrument.plans.plan import as_line, box_of_all
from brief.paper.contents import LineDrawing, Stroke
from brief.services.common.formatting import plain
from brief.services.common.typed_numbers import other_unit
from brief.services.drawing.in_numbers import PARTS
from brief.services.drawing.plans import plan_of
from brief.services.instrument.dimensions import NumberView, numbers_view
from brief.services.sharing.seen import HandedOver
from brief.services.sharing.share_scope import Scope
from brief.services.spec.schemes import scheme_view
from brief.store.records import Brief


def said_besides(scope: Scope) -> HandedOver:
    """What goes with the sheets that the scope shows."""
    brief = scope.brief
    scheme = scheme_view(scope.desk, brief, scope.swatches) if "pairings" in scope.sheets else None
    is_drawn = "drawing" in scope.sheets
    return HandedOver(
        show=brief.show,
        wanted_by=brief.wanted_by,
        version=brief.version,
        whole=tuple(scheme.sentences) if scheme else (),
        line_drawing=_line_drawing(scope) if is_drawn else None,
        numbers=_numbers(brief) if is_drawn else (),
    )


def _line_drawing(scope: Scope) -> LineDrawing:
    """Front, side and back as the overview has them, without what is written on it."""
    plan = plan_of(scope.desk, scope.brief, "overview")
    lines = [one for shape in plan.drawing if (one := as_line(shape)) is not None]
    left, top, right, low = box_of_all(lines)
    strokes = tuple(
        Stroke(tuple((x - left, y - top) for x, y in one.points), one.closed) for one in lines
    )
    return LineDrawing(strokes, right - left, low - top)


def _numbers(brief: Brief) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    every = numbers_view(brief).numbers
    nothing = says_nothing({one.name: one.value for one in every})
    told = [one for one in every if one.name not in nothing]
    view = sorted(told, key=lambda one: PARTS.index(one.part))
    return tuple(
        (PART_TITLES[part], tuple((one.label, _value(one)) for one in those))
        for part, those in groupby(view, key=lambda one: one.part)
    )


def _value(one: NumberView) -> str:
    """In millimetres, which the heading says; and as it was typed, if that was in another unit."""
    typed = other_unit(one.typed)
    return f"{plain(one.value)} ({typed})" if typed else plain(one.value)
