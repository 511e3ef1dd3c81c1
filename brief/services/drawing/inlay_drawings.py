"""The inlays of a brief as the Inlay sheet shows them: in their places, and by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brief.colour.viewing.conditions import State
from brief.instrument import Preset
from brief.instrument.drawing.pair_sample import SAMPLE_LINE_LIMITS
from brief.instrument.drawing.parts.inlay_drawing import draw_design
from brief.instrument.inlay.places import room, shown_copy
from brief.instrument.inlay.polygons import Shapes
from brief.instrument.inlay.spots import Spot, along_of, spots
from brief.instrument.rendering.fill import Box
from brief.services.common.finding import listed
from brief.services.drawing.instrument_drawing import draw_instrument
from brief.services.instrument.brief_inlays import copies_of, inlays_of, place_on
from brief.services.instrument.dimensions import instrument_of
from brief.services.instrument.inlays.noun import inlays
from brief.services.instrument.inlays.view import InlayView
from brief.services.instrument.inlays.wording import even, thin_mm
from brief.store.desk import Desk
from brief.store.records import Brief, Inlay, Pairing, Part

SAME_LINE_MM = 0.02


@dataclass(frozen=True)
class Hold:
    """What a page needs to move an inlay about on the picture of its part.

    box : what of the front is shown, mm. spots : where each copy lies; shown : which of them is in
    the middle of the picture. ground : the outline of where it may lie, path data. along_mm :
    from where its part is measured from.
    """

    box: Box
    spots: Sequence[Spot]
    shown: int
    ground: str
    along_mm: float

    @property
    def view_box(self) -> str:
        """As SVG has it."""
        return " ".join(f"{side:.2f}" for side in self.box)


@dataclass(frozen=True)
class InlayRow:
    """One inlay. in_place : its part with it, from the front; None where the board no longer has
    its fret, as is hold. design : its outline with the thinnest place ringed. line_mm : what a
    pairing takes as the width of its line. pairing : the one that asks about it there."""

    view: InlayView
    in_place: str | None
    hold: Hold | None
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
        in_place, hold = None, None
        if copies:
            hold = _hold(made, record, copies)
            in_place = draw_instrument(
                desk, brief, parts, prefix=f"i{record.id}", state=state, box=hold.box
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
                hold,
                draw_design(view.path, (view.width_mm, view.height_mm), rings, label),
                ringed,
                line,
                _asked(asked, view, line),
            )
        )
    return rows


def _hold(made: Preset, record: Inlay, copies: Sequence[Shapes]) -> Hold:
    place = place_on(made, record)
    assert place is not None  # it has copies
    shown = shown_copy(copies, place.lies_on)
    box, ground = room(made, place.lies_on, shown)
    return Hold(box, spots(made, place), copies.index(shown), ground, along_of(made, place))


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
