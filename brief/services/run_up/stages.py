"""The stages of the work on an instrument."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from pydantic import Field
from sqlalchemy import select

from brief.errors import InputError
from brief.plan.network import in_order
from brief.plan.simulate import Estimate
from brief.services.common.field_types import (
    Columns,
    Day,
    Draft,
    Fields,
    Id,
    Line,
    Title,
    View,
    in_field,
)
from brief.services.common.foreign_keys import check_pointers, existing
from brief.services.common.naming import label
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import Hours, WaitDays
from brief.store.desk import Desk
from brief.store.records import Brief, Stage

ESTIMATES = ("quick_h", "likely_h", "slow_h")
MOST_BEFORE = 100


class StageDraft(Draft):
    """A stage as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["Close the box"])
    follows: list[Id] = Field([], max_length=MOST_BEFORE, description="What must come before it")
    quick_h: Hours = Field(description="Hours at the bench if all goes well")
    likely_h: Hours = Field(description="Hours at the bench as usual")
    slow_h: Hours = Field(description="Hours at the bench if little goes well")
    wait_days: WaitDays = Field(0, description="On the calendar, until what follows can begin")
    wait_for: Line = Field("", description="What that wait is for", examples=["glue"])
    spare: bool = Field(False, description="Whether the instrument could be without it")
    spent_h: Hours | None = Field(None, description="Hours spent on it so far")
    done_on: Day | None = Field(None, description="The day it was done")


class StageView(View):
    """A stage as it is shown."""

    brief_id: Id
    name: str
    follows: list[Id]
    quick_h: float
    likely_h: float
    slow_h: float
    wait_days: float
    wait_for: str
    spare: bool
    spent_h: float | None
    done_on: date | None


class Stages(Noun[Stage, StageView]):
    """Stages."""

    record, draft, view = Stage, StageDraft, StageView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Stage | None) -> Columns:
        """Check the estimates, the day, and that nothing waits for itself; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        kept = dict(fields)
        _check_hours(
            [fields[name] if name in fields else getattr(record, name) for name in ESTIMATES]
        )
        if fields.get("done_on") is not None and fields["done_on"] > date.today():
            raise InputError.at("done_on", "That day is still to come. Leave it empty until then.")
        if "follows" in fields:
            kept["follows"] = list(dict.fromkeys(fields["follows"]))
            for one in kept["follows"]:
                found = existing(desk, "follows", Stage, one)
                if found.brief_id != (record.brief_id if record else fields["brief_id"]):
                    raise InputError.at("follows", f"“{label(found)}” is a stage of another brief.")
            if record is not None:
                _check_circles(desk, record.brief_id, {record.id: kept["follows"]})
        if record is None:
            kept.setdefault("usual", "")
        return kept

    def show(self, desk: Desk, record: Stage) -> StageView:
        """The stage, with what comes before it as far as it is not in the offcuts bin."""
        return self._show(record, _of_brief(desk, record.brief_id))

    def show_all(self, desk: Desk, records: Sequence[Stage]) -> list[StageView]:
        """The stages; those of a brief are looked up once."""
        by_brief = {one: _of_brief(desk, one) for one in {each.brief_id for each in records}}
        return [self._show(one, by_brief[one.brief_id]) for one in records]

    def _show(self, record: Stage, of_brief: Mapping[str, Stage]) -> StageView:
        return StageView(
            **view_fields(
                record,
                "brief_id",
                "name",
                *ESTIMATES,
                "wait_days",
                "wait_for",
                "spare",
                "spent_h",
                "done_on",
            ),
            follows=before(record, of_brief),
        )

    def vet(self, desk: Desk, record: Stage) -> None:
        """Refuse estimates out of order, and a circle."""
        _check_hours([getattr(record, name) for name in ESTIMATES])
        _check_circles(desk, record.brief_id, {})
        super().vet(desk, record)


def stages_of(desk: Desk, brief_id: str) -> list[StageView]:
    """The stages of a brief in the order of making."""
    return stages.show_all(desk, stages.page(desk, brief_id=brief_id))


def before(record: Stage, of_brief: Mapping[str, Stage]) -> list[str]:
    """What comes before it: for one in the offcuts bin, what came before that."""
    found: dict[str, None] = {}
    seen = {record.id}
    waiting = list(record.follows)
    while waiting:
        one = waiting.pop(0)
        stage = of_brief.get(one)
        if stage is None or one in seen:
            continue
        seen.add(one)
        if stage.binned_utc is None:
            found[one] = None
        else:
            waiting += stage.follows
    return list(found)


def _of_brief(desk: Desk, brief_id: str) -> dict[str, Stage]:
    """All stages of a brief by their ids, those in the offcuts bin, too."""
    found = desk.session.scalars(select(Stage).where(Stage.brief_id == brief_id).order_by(Stage.id))
    return {one.id: one for one in found}


def _check_hours(hours: Sequence[Any]) -> None:
    with in_field("likely_h"):
        Estimate(*map(float, hours))


def _check_circles(desk: Desk, brief_id: str, changed: Mapping[str, Sequence[str]]) -> None:
    """Those in the offcuts bin count: they may come back."""
    known = _of_brief(desk, brief_id)
    after = {
        key: [one for one in changed.get(key, stage.follows) if one in known]
        for key, stage in known.items()
    }
    with in_field("follows"):
        in_order(after, {key: stage.name for key, stage in known.items()})


stages = Stages()
