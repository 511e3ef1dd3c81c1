"""The stages that a run-up starts with: common practice, or what the maker has noted since."""

from __future__ import annotations

from statistics import median

from sqlalchemy import select

from brief.english import number_of
from brief.errors import InputError
from brief.plan.usual import InlayPieces, Instrument, UsualStage, usual_stages
from brief.services.instrument.brief_inlays import inlays_of
from brief.services.instrument.known_kinds import kind_of
from brief.services.run_up.stages import StageDraft, stages
from brief.store.desk import Desk
from brief.store.records import Brief, Inlay, Part, Stage

OF_ITS_OWN = "inlay-"  # no two inlays take the same time


def fill(desk: Desk, brief: Brief) -> list[Stage]:
    """Give a brief its starting list. Raises InputError if it has stages already."""
    there = stages.page(desk, brief_id=brief.id)
    if there:
        raise InputError(
            f"This brief has {number_of(len(there), 'stage')} already. Remove them first to start "
            "again from the usual list."
        )
    ids: dict[str, str] = {}
    made = []
    for one in usual_stages(_goes_by(desk, brief)):
        own = _from_own_record(desk, one, kind_of(brief).family)
        quick, likely, slow = own.hours
        draft = StageDraft(
            brief_id=brief.id,
            name=own.name[:200],
            follows=[ids[key] for key in own.after],
            quick_h=quick,
            likely_h=likely,
            slow_h=slow,
            wait_days=own.wait_days,
            wait_for=own.wait_for,
            spare=own.spare,
        )
        stage = stages.add(desk, draft)
        stage.usual = own.key
        ids[own.key] = stage.id
        made.append(stage)
    desk.session.flush()
    return made


def _goes_by(desk: Desk, brief: Brief) -> Instrument:
    """What of a brief its starting list goes by."""
    parts = desk.session.scalars(
        select(Part).where(Part.brief_id == brief.id, Part.binned_utc.is_(None)).order_by(Part.id)
    ).all()
    return Instrument(
        family=kind_of(brief).family,
        roles=frozenset(part.role for part in parts),
        inlays=tuple(_design(held.record) for held in inlays_of(desk, brief)),
        finishes=tuple(dict.fromkeys(part.finish for part in parts if part.finish)),
    )


def _design(inlay: Inlay) -> InlayPieces:
    copies = max(len(inlay.frets), inlay.copies, 1)
    pieces = int(inlay.measured.get("pieces", 1)) * copies
    return InlayPieces(inlay.name, pieces, dots=inlay.shape == "dot")


def _from_own_record(desk: Desk, one: UsualStage, family: str) -> UsualStage:
    """The same with the hours that the maker noted for it on other instruments of that family."""
    if one.key.startswith(OF_ITS_OWN):
        return one
    noted = desk.session.execute(
        select(Stage.spent_h, Brief)
        .join(Brief, Stage.brief_id == Brief.id)
        .where(
            Stage.usual == one.key,
            Stage.done_on.is_not(None),
            Stage.spent_h > 0,
            Stage.binned_utc.is_(None),
            Brief.binned_utc.is_(None),
        )
    ).all()
    hours = [spent for spent, brief in noted if spent and kind_of(brief).family == family]
    return one.by(median(hours) / one.hours[1]) if hours else one
