"""The sheet of the head, with its posts or slots.

What the instrument's numbers leave open is drawn at a usual size: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from brief.english import words
from brief.instrument.curve import Point
from brief.instrument.drawing.parts.neck import (
    SLOT_BEYOND_MM,
    SLOT_INNER_MM,
    SLOT_OUTER_MM,
    post_places,
)
from brief.instrument.frets.fret_lines import fret_ends
from brief.instrument.outline.outlines import NUT_MM, head_outline
from brief.instrument.plans.draughting import Draughting, Outline, arc, millimetres
from brief.instrument.plans.plan import Plan, TitleBlock
from brief.instrument.presets import Preset

POST_MM, ROLLER_MM = 10.0, 11.0


def head_sheet(preset: Preset, block: TitleBlock, let_in: Sequence[Outline] = ()) -> Plan:
    """The head with its posts or slots; the nut at the foot."""
    drawn, head, base = Draughting(), preset.head, preset.nut_y - NUT_MM
    run = head_outline(preset)
    drawn.outline("cut through", run)
    for inlay in let_in:
        drawn.outline("pocket", inlay)
    top, widest = min(y for _, y in run), max(x for x, _ in run)
    foot = preset.nut_mm / 2
    (x, y), (x_2, y_2) = ((x, base + y) for x, y in fret_ends(preset, 0))
    drawn.outline("reference", [(x, y), (x_2, y_2), (x_2, y_2 + NUT_MM), (x, y + NUT_MM)])
    drawn.line("centre line", (0.0, top - 6), (0.0, base + 10))
    posts = post_places(preset)
    if head.slotted:
        for middle, slot in slots_of_head(preset):
            drawn.outline("hole", slot)
            for _, y in posts[: len(head.posts_mm)]:
                drawn.line("reference", (middle - ROLLER_MM, y), (middle + ROLLER_MM, y))
    else:
        for post in posts:
            drawn.circle("hole", post, POST_MM / 2)
            drawn.mark(post)
    drawn.across((-foot, base), (foot, base), base + 12)
    broad = max(run, key=lambda point: point[0])[1]
    drawn.across((-widest, broad), (widest, broad), top - 8)
    for i, distance in enumerate(head.posts_mm):
        drawn.down((posts[-1][0], base - distance), (foot, base), widest + 8 + 7 * i)
    drawn.down((0.0, top), (foot, base), widest + 8 + 7 * len(head.posts_mm))
    drawn.notes((-widest, base + 22), _head_notes(preset, run))
    return drawn.plan("Headstock", block)


def slots_of_head(preset: Preset) -> list[tuple[float, list[Point]]]:
    """The slots of a head that has them: where the middle of each is, and its outline, mm."""
    base, head = preset.nut_y - NUT_MM, preset.head
    ends = [base - head.posts_mm[-1] - SLOT_BEYOND_MM, base - head.posts_mm[0] + SLOT_BEYOND_MM]
    radius, found = (SLOT_OUTER_MM - SLOT_INNER_MM) / 2, []
    for middle in (radius + SLOT_INNER_MM, -radius - SLOT_INNER_MM):
        upper = arc((middle, ends[0] + radius), radius, math.pi, 2 * math.pi)
        lower = arc((middle, ends[1] - radius), radius, 0.0, math.pi)
        found.append((middle, [*upper, *lower]))
    return found


def _head_notes(preset: Preset, run: Sequence[Point]) -> list[str]:
    """How large the holes of the head are, and how far from its edge."""
    import shapely

    notes = ["Distances are from the headstock side of the nut."]
    if preset.head.slotted:
        wide = millimetres(SLOT_OUTER_MM - SLOT_INNER_MM)
        notes.append(
            f"Slots {wide} wide, from {millimetres(SLOT_INNER_MM)} to {millimetres(SLOT_OUTER_MM)} "
            "beside the centre line (common practice, no source). Holes for the rollers: by your "
            "tuners."
        )
        return notes
    edge, count = shapely.LineString(run), len(preset.head.posts_mm)
    away = [edge.distance(shapely.Point(post)) for post in post_places(preset)[:count]]
    told = words([millimetres(one) for one in away])
    notes.append(
        f"Post holes {millimetres(POST_MM)} across (common practice, no source; measure yours). "
        f"Their middles are {told} from the edge, from the nut up."
    )
    return notes
