"""Who did what, written down beside it in the same transaction."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import event, inspect, select
from sqlalchemy.orm import Session

from brief.store.records import Record, new_id, now_utc
from brief.store.register import Doing

SAME_FOR = timedelta(hours=1)  # who goes on changing one record in that time is named once
LONGEST_NAME = 200
NAMES = ("title", "label", "name", "text", "author")


def write_down(session: Session, by: str) -> None:
    """Have each record that is added, changed, removed or brought back in this session noted."""

    @event.listens_for(session, "before_flush")
    def _note(session: Session, _context: object, _instances: object) -> None:
        done = [(one, "added") for one in session.new if isinstance(one, Record)]
        done += [(one, _what(one)) for one in session.dirty if isinstance(one, Record)]
        for record, what in done:
            if what:
                _add(session, record, what, by)


def name_of(record: Record) -> str:
    """What it is called, or how what is written in it begins; "" where it has no words."""
    found = next((str(text) for one in NAMES if (text := getattr(record, one, ""))), "")
    return " ".join(found.split())[:LONGEST_NAME]


def _what(record: Record) -> str:
    """What was done to it; "" for what only follows from something else."""
    attributes = inspect(record).attrs
    if attributes.binned_utc.history.has_changes():
        return "restored" if record.binned_utc is None else "removed"
    return "changed" if attributes.changed_utc.history.has_changes() else ""


def _add(session: Session, record: Record, what: str, by: str) -> None:
    if record.id is None:
        record.id = new_id()  # its default would only come with the flush
    if what == "changed" and _is_told(session, record, by):
        return
    session.add(
        Doing(
            by=by,
            what=what,
            kind=record.__tablename__,
            record_id=record.id,
            name=name_of(record),
        )
    )


def _is_told(session: Session, record: Record, by: str) -> bool:
    """Whether the same maker did something to it lately, so that one more line says nothing new."""
    with session.no_autoflush:
        last = session.scalars(
            select(Doing).where(Doing.record_id == record.id).order_by(Doing.at_utc.desc()).limit(1)
        ).first()
    waiting = [one for one in session.new if isinstance(one, Doing) and one.record_id == record.id]
    if waiting:
        return True
    return last is not None and last.by == by and last.at_utc > now_utc() - SAME_FOR
