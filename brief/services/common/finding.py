"""Records by their id, and in the order that they were made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeVar

from sqlalchemy import inspect, select

from brief.errors import NotFound, quoted
from brief.services.common.naming import kind_of_record, label
from brief.store.desk import Desk
from brief.store.records import Base, Brief, Record

R = TypeVar("R", bound=Record)
AT_ONCE = 5000  # values in one question; SQLite takes 32,766


def present(desk: Desk, kind: type[R], record_id: str, *, binned: bool = False) -> R:
    """The record, or NotFound. One that lies in the offcuts bin is found only if `binned`."""
    record = desk.session.get(kind, record_id)
    if record is None:
        raise NotFound(
            f"There is no {kind_of_record(kind)} {quoted(record_id[:26])}; "
            "it may never have been saved."
        )
    if record.binned_utc is not None and not binned:
        raise NotFound(
            f"The {kind_of_record(kind)} “{label(record)}” is in the offcuts bin. Restore it first."
        )
    return record


def listed(
    desk: Desk,
    kind: type[R],
    *,
    after: str | None = None,
    limit: int | None = None,
    **wanted: str | None,
) -> Sequence[R]:
    """Up to `limit` records in the order they were made, from behind the id `after`; none that lies
    in the offcuts bin.

    `wanted` narrows it to records that have these values in these columns; NotFound for a brief
    that is not there.
    """
    asked = select(kind).where(kind.binned_utc.is_(None))
    for name, value in wanted.items():
        if value is not None:
            if name == "brief_id":
                present(desk, Brief, value)
            asked = asked.where(getattr(kind, name) == value)
    if after is not None:
        asked = asked.where(kind.id > after)
    return desk.session.scalars(asked.order_by(kind.id).limit(limit)).all()


def in_lots(values: Sequence[str]) -> Iterator[Sequence[str]]:
    """Values in lots that go into one question each."""
    for start in range(0, len(values), AT_ONCE):
        yield values[start : start + AT_ONCE]


def look_up(desk: Desk, kind: type[Base], keys: Iterable[str]) -> None:
    """Read what has these keys in one go; the desk holds it for whoever asks next."""
    (key,) = inspect(kind).primary_key
    for lot in in_lots(sorted(set(keys))):
        desk.session.scalars(select(kind).where(key.in_(lot))).all()
