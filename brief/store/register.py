"""The register of a server that several makers share, as tables.

They are in every home. In that which the server was started with they say who is here and who lent
what to whom; each workshop has a home of its own, where only what was done there is written down.
With a single maker all of them are empty.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records import Base, new_id, now_utc

OWN = "0"
"""The workshop of the owner: the home that the server was started with."""


class Workshop(Base):
    """A home with those who work in it: a maker's own, or a joint one, which has a title."""

    __tablename__ = "workshops"

    id: Mapped[str] = mapped_column(String(10), primary_key=True)
    title: Mapped[str] = mapped_column(String(200))
    made_utc: Mapped[datetime] = mapped_column(default=now_utc)


class Maker(Base):
    """Somebody who signs in. key : the name as it is looked up."""

    __tablename__ = "makers"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    name: Mapped[str] = mapped_column(String(80))
    key: Mapped[str] = mapped_column(String(240), unique=True)
    workshop_id: Mapped[str] = mapped_column(ForeignKey("workshops.id"))
    organises: Mapped[bool]  # sees what is handed in
    joined_utc: Mapped[datetime] = mapped_column(default=now_utc)
    shut_out_utc: Mapped[datetime | None]


class Member(Base):
    """Who may enter a joint workshop."""

    __tablename__ = "members"

    workshop_id: Mapped[str] = mapped_column(ForeignKey("workshops.id"), primary_key=True)
    maker: Mapped[int] = mapped_column(ForeignKey("makers.number"), primary_key=True)


class Invitation(Base):
    """A link that makes somebody a maker, once; or gives one that is there a new passphrase."""

    __tablename__ = "invitations"

    token_sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    organises: Mapped[bool]
    maker: Mapped[int | None] = mapped_column(ForeignKey("makers.number"))
    made_utc: Mapped[datetime] = mapped_column(default=now_utc)
    ends_utc: Mapped[datetime]


class Loan(Base):
    """What one maker lets another see and take down: one piece of a rack, or all of it."""

    __tablename__ = "loans"

    id: Mapped[str] = mapped_column(String(26), primary_key=True, default=new_id)
    workshop_id: Mapped[str] = mapped_column(ForeignKey("workshops.id"))
    by: Mapped[int] = mapped_column(ForeignKey("makers.number"), index=True)
    to: Mapped[int] = mapped_column(ForeignKey("makers.number"), index=True)
    material_id: Mapped[str | None] = mapped_column(String(26))  # none: the rack
    label: Mapped[str] = mapped_column(String(200))
    made_utc: Mapped[datetime] = mapped_column(default=now_utc)


class HandedIn(Base):
    """A brief as it was handed in, for whoever organises: the link to it, told again in a list."""

    __tablename__ = "handed_in"

    id: Mapped[str] = mapped_column(String(26), primary_key=True, default=new_id)
    workshop_id: Mapped[str] = mapped_column(ForeignKey("workshops.id"))
    maker: Mapped[int] = mapped_column(ForeignKey("makers.number"), index=True)
    brief_id: Mapped[str] = mapped_column(String(26))
    share_id: Mapped[str] = mapped_column(String(26))
    title: Mapped[str] = mapped_column(String(200))
    token: Mapped[str] = mapped_column(String(80))
    made_utc: Mapped[datetime] = mapped_column(default=now_utc)


class Doing(Base):
    """Who did what to a record, in a joint workshop."""

    __tablename__ = "doings"

    id: Mapped[str] = mapped_column(String(26), primary_key=True, default=new_id)
    at_utc: Mapped[datetime] = mapped_column(default=now_utc)
    by: Mapped[str] = mapped_column(String(80))
    what: Mapped[str] = mapped_column(String(10))  # added, changed, removed, restored
    kind: Mapped[str] = mapped_column(String(40))  # its table
    record_id: Mapped[str] = mapped_column(String(26), index=True)
    name: Mapped[str] = mapped_column(String(200))
