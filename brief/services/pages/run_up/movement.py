"""The Movement sheet."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

from brief.instrument import Face
from brief.instrument.drawing.moved import body_box, exaggeration, moved_outline
from brief.services import nouns
from brief.services.common.noun import etag_of
from brief.services.drawing.instrument_drawing import loupe_views
from brief.services.instrument.dimensions import instrument_of
from brief.services.pages.shared import CUTS, Along, Choices, along, front, same, views
from brief.services.pairing.view_settings import Shown
from brief.services.spec.movement.climates import ClimateView, Stage
from brief.services.spec.movement.movement import movement_of
from brief.services.spec.movement.movement_words import MovementView, PartMovement
from brief.store.desk import Desk
from brief.store.records import Brief

FACES: Mapping[Face, str] = {"front": "top", "back": "back"}


@dataclass(frozen=True)
class MovedFace:
    """A face of the instrument with what its plate becomes. drawn : SVG, whole; whole_box : its
    viewBox. view_box : what is shown of it. dry, damp : path data, "" where nothing changes.
    """

    face: Face
    drawn: str
    whole_box: str
    view_box: str
    part: PartMovement | None
    dry: str
    damp: str


@dataclass(frozen=True)
class MovementSheet:
    """times : how much larger than it is the movement is drawn. along : of climates. etags : of
    the pieces that the parts are made of, by their ids.
    """

    movement: MovementView
    moved_faces: Sequence[MovedFace]
    times: int
    climates: Sequence[ClimateView]
    along: Along
    stages: Choices
    months: Choices
    cuts: Choices
    etags: Mapping[str, str]


def movement_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[MovementSheet]:
    """What the Movement sheet shows."""
    found = movement_of(desk, brief)
    climates = views(desk, nouns.climates, brief)
    plates = {one.role: one for one in found.parts if one.role in FACES.values()}
    ends = [end.share for one in plates.values() for end in (one.dry, one.damp) if end]
    times = exaggeration(ends)
    sheet = MovementSheet(
        movement=found,
        moved_faces=[
            _face(desk, brief, shown, face, plates.get(role), times) for face, role in FACES.items()
        ],
        times=times,
        climates=climates,
        along=along(desk, nouns.climates, climates),
        stages=same(get_args(Stage)),
        months=[(str(number), month_name[number]) for number in range(1, 13)],
        cuts=CUTS,
        etags={
            one.material_id: etag_of(nouns.materials.get(desk, one.material_id, binned=True))
            for one in found.parts
            if one.material_id
        },
    )
    return (sheet,)


def _face(
    desk: Desk, brief: Brief, shown: Shown, face: Face, part: PartMovement | None, times: int
) -> MovedFace:
    made = instrument_of(brief)
    ends = [
        moved_outline(made, end.share * times, behind=face == "back") if end else ""
        for end in ((part.dry, part.damp) if part else (None, None))
    ]
    return MovedFace(
        face=face,
        drawn=front(desk, brief, f"whole-{face}", shown.switches.state, face),
        whole_box=dict(loupe_views(brief, face))["whole"],
        view_box=" ".join(f"{one:.1f}" for one in body_box(made)),
        part=part,
        dry=ends[0],
        damp=ends[1],
    )
