"""Pictures whose files are lost: which they are, so that nobody has to look for them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.english import words
from brief.errors import Unreachable
from brief.store.desk import Desk
from brief.store.records import (
    Attachment,
    Image,
    Material,
    Photograph,
    Reference,
    StudioPicture,
    Tracing,
)

Why = Literal["missing", "damaged"]


class LostPictures(BaseModel):
    """The pictures of a brief whose files are lost."""

    items: list[LostPicture]


class LostPicture(BaseModel):
    """A picture whose file is lost."""

    sha256: str
    name: str = Field(description="The file's name when it was given")
    of: str = Field(description="What it is a picture of", examples=["reference “Reed bed”"])
    why: Why


def lost_pictures(desk: Desk, brief_id: str) -> list[LostPicture]:
    """The pictures of a brief, and of the rack, whose files are not there or are damaged.

    Their sizes are looked at, which costs a page nothing, and whether one could not be shown;
    `brief check` reads each of them.
    """
    found = []
    for sha256, (name, size_bytes, of) in _pictures(desk, brief_id).items():
        try:
            why = _why_lost(desk, sha256, size_bytes)
        except (
            Unreachable
        ):  # nobody knows now; what is beside the pictures can be shown all the same
            continue
        if why is not None:
            found.append(LostPicture(sha256=sha256, name=name, of=of, why=why))
    return found


def made_without(lost: Mapping[str, str], *, named: bool = True) -> str:
    """Which pictures could not be had, as the last words of what is printed. lost : their names;
    named : whether these are said."""
    if not lost:
        return ""
    if not named:
        return " Some picture files are missing or damaged."
    told = words([f"“{name}”" for name in lost.values()])
    return f" Picture files that are missing or damaged: {told}."


def _why_lost(desk: Desk, sha256: str, size_bytes: int) -> Why | None:
    held = desk.images.size(sha256)
    if held is None:
        return "missing"
    return "damaged" if held != size_bytes or desk.images.is_damaged(sha256) else None


def _pictures(desk: Desk, brief_id: str) -> dict[str, tuple[str, int, str]]:
    """Name, size in bytes and what each is a picture of, by SHA-256."""
    image = (Image.sha256, Image.name, Image.size_bytes)
    found: dict[str, tuple[str, int, str]] = {}
    for record, label, kind in (
        (Reference, Reference.title, "reference"),
        (Tracing, Tracing.name, "mould"),
        (Attachment, Attachment.name, "document"),
        (StudioPicture, StudioPicture.name, "studio picture"),
    ):
        rows = desk.session.execute(
            select(*image, label)
            .join(record, record.image_sha256 == Image.sha256)
            .where(record.brief_id == brief_id, record.binned_utc.is_(None))
            .order_by(record.id)
        )
        for sha256, name, size, called in rows:
            found[sha256] = (name, size, f"{kind} “{called}”")
    shots = desk.session.execute(
        select(*image, Material.label)
        .join(Photograph, Photograph.image_sha256 == Image.sha256)
        .join(Material, Material.id == Photograph.material_id)
        .where(Photograph.binned_utc.is_(None), Material.binned_utc.is_(None))
        .order_by(Photograph.id)
    )
    for sha256, name, size, called in shots:
        found.setdefault(sha256, (name, size, f"photograph of {called}"))
    return found
