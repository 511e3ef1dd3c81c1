"""Days on which the bench is not free: holidays, fairs, the commissions that come before."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from brief.errors import InputError
from brief.services.common.field_types import Columns, Day, Draft, Fields, Id, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Absence, Brief


class AbsenceDraft(Draft):
    """Days away from this instrument as they are sent."""

    brief_id: Id
    name: Title = Field(examples=["the tenor ukulele for the school"])
    first_on: Day | None = Field(None, description="The first day; null for what has begun")
    last_on: Day = Field(description="The last day")


class AbsenceView(View):
    """Days away as they are shown."""

    brief_id: Id
    name: str
    first_on: date | None
    last_on: date


class Absences(Noun[Absence, AbsenceView]):
    """Days on which nothing is done at an instrument."""

    record, draft, view = Absence, AbsenceDraft, AbsenceView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Absence | None) -> Columns:
        """Check that they end after they begin; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        _check_days(
            *(
                fields[name] if name in fields else getattr(record, name)
                for name in ("first_on", "last_on")
            )
        )
        return dict(fields)

    def show(self, desk: Desk, record: Absence) -> AbsenceView:
        """The days away."""
        return AbsenceView(**view_fields(record, "brief_id", "name", "first_on", "last_on"))

    def vet(self, desk: Desk, record: Absence) -> None:
        """Refuse days that end before they begin."""
        _check_days(record.first_on, record.last_on)
        super().vet(desk, record)


def _check_days(first_on: date | None, last_on: date) -> None:
    if first_on is not None and first_on > last_on:
        raise InputError.at("last_on", "This is before the first day. Choose a later day.")


absences = Absences()
