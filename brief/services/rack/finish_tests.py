"""Finish tests: one offcut before and after a finish, as a shift of its colour."""

from __future__ import annotations

from typing import ClassVar

from pydantic import BaseModel, Field

from brief.colour.consensus import lab_shift
from brief.errors import InputError
from brief.photo import OWN_SHARE
from brief.services.common.care import Careful, careful
from brief.services.common.colour_view import ColourView, colour_view
from brief.services.common.field_types import Columns, Draft, Fields, Id, Json, Lab, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import FinishTest, Material, Photograph
from brief.wood import finish_cautions


class FinishTestDraft(Draft):
    """A finish test as it is sent."""

    material_id: Id
    name: Title = Field(examples=["French polish, four coats"], description="Which finish")
    before_id: Id = Field(description="The photograph before")
    after_id: Id = Field(description="The photograph after, of the same piece")


class ShiftView(BaseModel):
    """What the finish did: after less before."""

    d_lab: Lab
    delta_e: float = Field(description="CIEDE2000 between before and after")
    uncertainty: float


class FinishTestView(Careful, View):
    """A finish test as it is shown."""

    material_id: Id
    name: str
    before_id: Id
    after_id: Id
    before: ColourView
    after: ColourView
    shift: ShiftView


class FinishTests(Noun[FinishTest, FinishTestView]):
    """Finish tests, each of one offcut before and after."""

    record, draft, view = FinishTest, FinishTestDraft, FinishTestView
    settled = frozenset({"material_id"})
    filters = ("material_id",)
    hangs_by: ClassVar = {
        "material_id": Material,
        "before_id": Photograph,
        "after_id": Photograph,
    }

    def settle(self, desk: Desk, fields: Fields, record: FinishTest | None) -> Columns:
        """Work out the shift between its two photographs, which must be of the same piece."""
        check_pointers(
            desk,
            fields,
            record,
            material_id=Material,
            before_id=Photograph,
            after_id=Photograph,
        )
        material_id = record.material_id if record else fields["material_id"]
        before, after = (
            desk.session.get_one(Photograph, fields.get(field) or getattr(record, field))
            for field in ("before_id", "after_id")
        )
        for field, photograph in (("before_id", before), ("after_id", after)):
            if photograph.material_id != material_id:
                raise InputError.at(field, "This photograph is of another piece.")
        if before is after:
            raise InputError.at("after_id", "Before and after are two photographs.")
        return {**fields, "shift": _shift(before, after)}

    def follow(self, desk: Desk, record: FinishTest) -> None:
        """Work the shift out anew; a photograph of it may have been measured anew."""
        before = desk.session.get_one(Photograph, record.before_id)
        after = desk.session.get_one(Photograph, record.after_id)
        record.shift = _shift(before, after)
        desk.session.flush()

    def show(self, desk: Desk, record: FinishTest) -> FinishTestView:
        """The finish test, with both colours and the shift."""
        before = desk.session.get_one(Photograph, record.before_id)
        after = desk.session.get_one(Photograph, record.after_id)
        return FinishTestView(
            **view_fields(record, "material_id", "name", "before_id", "after_id"),
            before=colour_view(before.lab, before.uncertainty),
            after=colour_view(after.lab, after.uncertainty),
            shift=ShiftView(**record.shift),
            **careful(finish_cautions(record.name)),
        )


def _shift(before: Photograph, after: Photograph) -> Json:
    """After less before.

    Of two photographs as shot, or by a card, the same light and camera err alike, and only what
    each errs for itself is left in the shift; by simulation that holds for woods up to 12 apart.
    By a chart little is left that is common, and different corrections err differently, as those
    for daylight and for a lamp do.
    """
    by_one = before.correct_by == after.correct_by and before.light == after.light
    cancels = by_one and before.correct_by != "chart"
    share = OWN_SHARE if cancels else 1.0
    shift = lab_shift(before.lab, after.lab, share * before.uncertainty, share * after.uncertainty)
    return {
        "d_lab": [shift.dL, shift.da, shift.db],
        "delta_e": shift.delta_e,
        "uncertainty": shift.uncertainty,
    }


finish_tests = FinishTests()
