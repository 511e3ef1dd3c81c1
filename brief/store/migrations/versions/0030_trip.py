"""A brief has a trip: stops, legs, stays, contacts, a packing list, attachments, and its stand."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None

TEXTS = ("caption", "stand_list")


def _text(name: str, length: int) -> sa.Column[Any]:
    return sa.Column(name, sa.String(length=length), nullable=False)


def _day(name: str, *, nullable: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.Date(), nullable=nullable)


def _yes_or_no(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Boolean(), nullable=False)


def _pointer(table: str, name: str, to: str, key: str = "id", length: int = 26) -> list[Any]:
    return [
        _text(name, length),
        sa.ForeignKeyConstraint([name], [f"{to}.{key}"], name=f"fk_{table}_{name}_{to}"),
    ]


def _of_every_record() -> list[sa.Column[Any]]:
    return [
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
    ]


def _table(name: str, *columns: Any, indexes: tuple[str, ...] = ()) -> None:
    op.create_table(
        name,
        *_pointer(name, "brief_id", "briefs"),
        *columns,
        *_of_every_record(),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
    )
    for column in ("binned_with", "brief_id", *indexes):
        op.create_index(f"ix_{name}_{column}", name, [column])


def upgrade() -> None:
    """Bring the tables to this version."""
    for column in TEXTS:
        op.add_column("briefs", sa.Column(column, sa.Text(), nullable=False, server_default=""))
    op.add_column(
        "briefs",
        sa.Column("stand_price", sa.String(length=200), nullable=False, server_default=""),
    )
    _table("stops", _text("name", 200), _text("role", 20), _text("zone", 60), _text("address", 500))
    _table(
        "legs",
        *_pointer("legs", "from_id", "stops"),
        *_pointer("legs", "to_id", "stops"),
        _text("by", 200),
        _day("leaves_on"),
        _text("leaves_at", 5),
        _day("arrives_on", nullable=True),
        _text("arrives_at", 5),
        _text("booking", 200),
        _yes_or_no("booked"),
        indexes=("from_id", "to_id"),
    )
    _table(
        "stays",
        *_pointer("stays", "stop_id", "stops"),
        _text("purpose", 20),
        _day("from_on"),
        _text("from_at", 5),
        _day("until_on", nullable=True),
        _text("until_at", 5),
        _text("booking", 200),
        _yes_or_no("booked"),
        indexes=("stop_id",),
    )
    _table("contacts", _text("name", 200), _text("concern", 200), _text("reach", 500))
    _table(
        "things_to_pack",
        _text("name", 200),
        _text("heap", 20),
        _text("why", 500),
        _yes_or_no("packed"),
        _text("usual", 40),
    )
    _table(
        "attachments",
        _text("name", 200),
        *_pointer("attachments", "image_sha256", "images", key="sha256", length=64),
        sa.Column("pages", sa.Integer(), nullable=False),
    )


def downgrade() -> None:
    """Take them back to the version before."""
    for table in ("attachments", "things_to_pack", "contacts", "stays", "legs", "stops"):
        op.drop_table(table)
    for column in ("stand_list", "stand_price", "caption"):
        op.drop_column("briefs", column)
