"""A home itself: which it is, its image files, and who may open it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import String
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import Base, now_utc


class Home(Base):
    """Which home this is, told from every other; copies of it keep its id. There is one row."""

    __tablename__ = "homes"

    id: Mapped[str] = mapped_column(String(26), primary_key=True)


class Image(Base):
    """A stored file, named by the SHA-256 of its bytes. Several records may show one image.

    An attachment may be a PDF, too; its width and height are those of its first page in points.
    """

    __tablename__ = "images"

    sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    name: Mapped[str] = mapped_column(String(255))
    media_type: Mapped[str] = mapped_column(String(40))
    size_bytes: Mapped[int]
    width_px: Mapped[int]
    height_px: Mapped[int]
    added_utc: Mapped[datetime] = mapped_column(default=now_utc)


class Passphrase(Base):
    """What opens the brief from another device, hashed: the owner's, who is number 1, and that of
    each maker of a server that several share."""

    __tablename__ = "passphrases"

    id: Mapped[int] = mapped_column(primary_key=True)
    hashed: Mapped[str] = mapped_column(String(255))
    changed_utc: Mapped[datetime] = mapped_column(default=now_utc, onupdate=now_utc)


class SignIn(Base):
    """A browser in which somebody is signed in, named by the SHA-256 of what its cookie holds."""

    __tablename__ = "sign_ins"

    token_sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    begun_utc: Mapped[datetime] = mapped_column(default=now_utc)
    ends_utc: Mapped[datetime] = mapped_column(index=True)
    maker: Mapped[int] = mapped_column(server_default="1", default=1)  # the owner is number 1
    # At which workshop that browser is; none: its maker's own.
    workshop_id: Mapped[str | None] = mapped_column(String(10))
