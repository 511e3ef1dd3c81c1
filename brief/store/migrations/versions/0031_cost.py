"""A brief has a cost: the maker's terms, what is bought, how much of a piece is used."""

from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0031"
down_revision = "0030"
branch_labels = None
depends_on = None

EXACT = sa.String(length=20)
TERMS = ("currency", "hour_rate", "overhead", "margin", "commission", "asking_price")


def _of_every_record() -> list[sa.Column[Any]]:
    return [
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
    ]


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("briefs", sa.Column("currency", sa.String(length=3), nullable=True))
    for name in ("hour_rate", "margin", "commission", "asking_price"):
        op.add_column("briefs", sa.Column(name, EXACT, nullable=True))
    overhead = sa.Column("overhead", sa.String(length=40), nullable=False, server_default="")
    op.add_column("briefs", overhead)
    _prices(EXACT, _figures)
    op.create_table(
        "bought_parts",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("price", EXACT, nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        *_of_every_record(),
        sa.ForeignKeyConstraint(
            ["brief_id"], ["briefs.id"], name="fk_bought_parts_brief_id_briefs"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_bought_parts"),
    )
    op.create_table(
        "pieces_used",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("material_id", sa.String(length=26), nullable=False),
        sa.Column("share", EXACT, nullable=True),
        sa.Column("cost", EXACT, nullable=True),
        sa.Column("currency", sa.String(length=3), nullable=False),
        *_of_every_record(),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_pieces_used_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["material_id"], ["materials.id"], name="fk_pieces_used_material_id_materials"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_pieces_used"),
    )
    for table, columns in (("bought_parts", ()), ("pieces_used", ("material_id",))):
        for column in ("binned_with", "brief_id", *columns):
            op.create_index(f"ix_{table}_{column}", table, [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("pieces_used")
    op.drop_table("bought_parts")
    _prices(sa.Double(), float)
    for name in TERMS:
        op.drop_column("briefs", name)


def _prices(kind: Any, kept: Any) -> None:
    """Have what the rack cost kept in another way; SQLite cannot change the kind of a column."""
    op.add_column("materials", sa.Column("price_kept", kind, nullable=True))
    known = sa.text("SELECT id, price FROM materials WHERE price IS NOT NULL")
    change = sa.text("UPDATE materials SET price_kept = :price WHERE id = :id")
    bind = op.get_bind()
    for material_id, price in bind.execute(known).all():
        bind.execute(change, {"id": material_id, "price": kept(price)})
    op.drop_column("materials", "price")
    op.alter_column("materials", "price_kept", new_column_name="price")


def _figures(price: float) -> str:
    """As it was typed: the shortest figures that are this number."""
    return format(Decimal(repr(float(price))).normalize(), "f")
