"""The inlays of a brief as the Inlay sheet shows them: in their places, and by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brief.colour.viewing.conditions import State
from brief.instrument.drawing.inlay_drawing import close_box, draw_design
from brief.instrument.drawing.pair_sample import SAMPLE_LINE_LIMITS
from brief.instrument.inlay.places import box_of, shown_copy
from brief.services.common.finding import listed
from brief.services.drawing.instrument_drawing import draw_instrument
from brief.services.instrument.brief_inlays import copies_of, inlays_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.instrument.inlays import InlayView, even, inlays, thin_mm
from brief.store.desk import Desk
from brief.store.records import Brief, Pairing, Part

SAME_LINE_MM = 0.02


@dataclass(frozen=True)
class InlayRow:
    """One inlay. in_place : the front, close by; None where the board no longer has its fret.
    design : its outline with the thinnest place ringed. line_mm : what a pairing takes as the
    width of its line. pairing : the one that was asked about that line in that ground."""

    view: InlayView
    in_place: str | None
    across_mm: float
    design: str
    ringed: bool
    line_mm: float
    pairing: Pairing | None


def inlay_rows(desk: Desk, brief: Brief, state: State) -> list[InlayRow]:
    """The inlays of a brief, each with its drawing and its colours in that state of the wood."""
    made = instrument_of(brief)
    parts = listed(desk, Part, brief_id=brief.id)
    asked = listed(desk, Pairing, brief_id=brief.id)
    rows = []
    for held in inlays_of(desk, brief):
        record = held.record
        view = inlays.show(desk, record)
        copies = copies_of(made, record)
        in_place, across = None, 0.0
        if copies:
            box = close_box(box_of(shown_copy(copies, view.lies_on)))
            across = box[2]
            in_place = draw_instrument(
                desk, brief, parts, prefix=f"i{record.id}", state=state, box=box
            )
        ringed = not even(record.measured)
        rings = [(view.thinnest.at, view.thinnest.width_mm)] if ringed else []
        label = f"{view.name}, {view.sentences[0]}"
        least, most = SAMPLE_LINE_LIMITS
        line = round(min(most, max(least, view.thinnest.width_mm)), 2)
        rows.append(
            InlayRow(
                view,
                in_place,
                across,
                draw_design(view.path, (view.width_mm, view.height_mm), rings, label),
                ringed,
                line,
                _asked(asked, view, line),
            )
        )
    return rows


def thinnest_of(desk: Desk, brief: Brief) -> list[str]:
    """ "Curlew 0.9 mm" for each inlay, for whoever asks about a line."""
    return [
        f"{held.record.name} {thin_mm(held.record.measured['thinnest']['width_mm'])} mm"
        for held in inlays_of(desk, brief)
    ]


def _asked(asked: Sequence[Pairing], view: InlayView, line_mm: float) -> Pairing | None:
    """The latest question about this line of this material in this ground."""
    for one in reversed(asked):
        if (one.ground_id, one.inlay_id) == (view.ground_id, view.material_id) and (
            one.line_mm is not None and abs(one.line_mm - line_mm) < SAME_LINE_MM
        ):
            return one
    return None
