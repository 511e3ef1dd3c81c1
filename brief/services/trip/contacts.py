"""Who to ask on a trip, and how to reach them."""

from __future__ import annotations

from pydantic import Field

from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Line,
    LongLine,
    Title,
    View,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Brief, Contact


class ContactDraft(Draft):
    """A contact as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["The fair’s office"])
    concern: Line = Field("", description="For what", examples=["stand, power, late arrival"])
    reach: LongLine = Field("", description="Telephone, mail, hours")


class ContactView(View):
    """A contact as it is shown."""

    brief_id: Id
    name: str
    concern: str
    reach: str


class Contacts(Noun[Contact, ContactView]):
    """The contacts of a trip."""

    record, draft, view = Contact, ContactDraft, ContactView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Contact | None) -> Columns:
        """Find its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        return dict(fields)

    def show(self, desk: Desk, record: Contact) -> ContactView:
        """The contact."""
        return ContactView(**view_fields(record, "brief_id", "name", "concern", "reach"))


contacts = Contacts()
