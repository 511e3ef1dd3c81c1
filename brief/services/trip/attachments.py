"""Documents of a trip, kept with the pictures and shown to nobody else.

They stay in this home: no saved brief, revision, link or file by mail has them. A backup does.
"""

from __future__ import annotations

from pydantic import Field

from brief.services.common.field_types import Columns, Draft, Fields, Id, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.trip.attached import PDF, Attached, look_at
from brief.store.desk import Desk
from brief.store.records import Attachment, Brief, Image


class AttachmentDraft(Draft):
    """What can be said of an attachment; the file itself comes as one."""

    brief_id: Id
    name: Title = Field(examples=["Ticket there"])


class AttachmentView(View):
    """An attachment as it is shown."""

    brief_id: Id
    name: str
    file_name: str = Field(description="As it was given, without folders")
    media_type: str
    size_bytes: int
    pages: int
    file: str = Field(description="Where the file is")
    words: str = Field(examples=["PDF, 2 pages, 0.3 MB"])


class Attachments(Noun[Attachment, AttachmentView]):
    """The attachments of a trip."""

    record, draft, view = Attachment, AttachmentDraft, AttachmentView
    settled = frozenset({"brief_id"})
    made_by_json = False  # it comes as a file

    def settle(self, desk: Desk, fields: Fields, record: Attachment | None) -> Columns:
        """Find its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        return dict(fields)

    def add_file(self, desk: Desk, brief_id: str, name: str, data: bytes) -> Attachment:
        """Attach a document. Raises as `look_at`, and then keeps nothing."""
        check_pointers(desk, {"brief_id": brief_id}, None, brief_id=Brief)
        found = look_at(name, data)
        record = Attachment(
            brief_id=brief_id,
            name=found.name,
            image_sha256=_keep(desk, found, data),
            pages=found.pages,
        )
        desk.session.add(record)
        desk.session.flush()
        return record

    def show(self, desk: Desk, record: Attachment) -> AttachmentView:
        """The attachment, with the address of its file."""
        image = desk.session.get_one(Image, record.image_sha256)
        kind = "PDF" if image.media_type == PDF else "picture"
        pages = f", {record.pages} pages" if record.pages > 1 else ""
        return AttachmentView(
            **view_fields(record, "brief_id", "name", "pages"),
            file_name=image.name,
            media_type=image.media_type,
            size_bytes=image.size_bytes,
            file=f"/api/attachments/{record.id}/file",
            words=f"{kind}{pages}, {max(image.size_bytes / 1e6, 0.1):.1f} MB",
        )


def _keep(desk: Desk, found: Attached, data: bytes) -> str:
    """Keep the file beside the pictures, where backup, check and sweep know it."""
    sha256 = desk.keep_image(data)
    image = desk.session.get(Image, sha256)
    if image is None:
        image = Image(sha256=sha256, name=found.name)
        desk.session.add(image)
    image.media_type, image.size_bytes = found.media_type, len(data)
    image.width_px, image.height_px = found.width, found.height
    desk.session.flush()
    return sha256


attachments = Attachments()
