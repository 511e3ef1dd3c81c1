"""What all tables are made of: types of columns, ids and times, and what every record has.

Colours are CIELAB, D65, 2° observer, stored as [L, a, b]; regions are Media Fragments
(`xywh=percent:x,y,w,h`); times are UTC; lengths are millimetres.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, ClassVar

from sqlalchemy import (
    JSON,
    Date,
    DateTime,
    Dialect,
    ForeignKey,
    MetaData,
    String,
    TypeDecorator,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column
from ulid import ULID

EMPTY = text("''")


def now_utc() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)


def new_id() -> str:
    """A ULID: sorts by the time it was made, so that lists keep the order of making."""
    return str(ULID())


class UtcDateTime(TypeDecorator[datetime]):
    """Aware UTC in Python, naive UTC in the database: SQLite keeps no zone."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """As SQLite keeps it: UTC, without saying so."""
        return None if value is None else value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """As the program has it: in UTC."""
        return None if value is None else value.replace(tzinfo=UTC)


class Exact(TypeDecorator[Decimal]):
    """An exact decimal number, kept by its figures: SQLite has none. One number has one text."""

    impl = String(20)
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> str | None:
        """Its figures, without noughts at the end."""
        return None if value is None else format(value.normalize(), "f")

    def process_result_value(self, value: str | None, dialect: Dialect) -> Decimal | None:
        """The number."""
        return None if value is None else Decimal(value)


class Base(DeclarativeBase):
    """The base of all tables, with the names of their constraints."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar = {
        datetime: UtcDateTime,
        date: Date,
        Decimal: Exact,
        list[float]: JSON,
        list[Any]: JSON,
        dict[str, Any]: JSON,
    }


class Record(Base):
    """What every record has: an id, a version for ETags, times, and its place in the bin."""

    __abstract__ = True
    # Whether it goes along when its brief is taken elsewhere; what is secret does not.
    travels: ClassVar[bool] = True

    id: Mapped[str] = mapped_column(String(26), primary_key=True, default=new_id)
    version: Mapped[int]
    created_utc: Mapped[datetime] = mapped_column(default=now_utc)
    changed_utc: Mapped[datetime] = mapped_column(default=now_utc, onupdate=now_utc)
    binned_utc: Mapped[datetime | None]
    # The record whose removal took this one along; its own id when it was removed itself.
    binned_with: Mapped[str | None] = mapped_column(String(26), index=True)

    @declared_attr.directive
    def __mapper_args__(cls) -> dict[str, Any]:  # noqa: N805 - SQLAlchemy's own spelling
        return {"version_id_col": cls.__table__.c.version}


def brief_key() -> Mapped[str]:
    """The column of a record that belongs to a brief."""
    return mapped_column(ForeignKey("briefs.id"), index=True)


class LengthsAsTyped:
    """What has lengths that a maker types."""

    # The text of those that were typed in another way than as their number, by field:
    # {"line_mm": "1/32 in"}. It counts only while it says the number.
    as_typed: Mapped[dict[str, Any]] = mapped_column(default=dict, server_default="{}")


class Corrected:
    """What in a shot its colours are corrected by, and the correction that follows from it."""

    correct_by: Mapped[str] = mapped_column(String(10), default="none", server_default="none")
    # What it was taken by.
    light: Mapped[str] = mapped_column(String(20), default="not known", server_default="not known")
    chart_age: Mapped[str] = mapped_column(
        String(20), default="after-2014", server_default="after-2014"
    )
    # Percent of the picture: "x,y x,y x,y x,y"; None where the chart is found by itself.
    chart_corners: Mapped[str | None] = mapped_column(String(120))
    card: Mapped[str] = mapped_column(
        String(40), default="white paper", server_default="white paper"
    )
    card_region: Mapped[str | None] = mapped_column(String(80))
    second_card: Mapped[str | None] = mapped_column(String(40))
    second_card_region: Mapped[str | None] = mapped_column(String(80))
    correction: Mapped[dict[str, Any] | None]
