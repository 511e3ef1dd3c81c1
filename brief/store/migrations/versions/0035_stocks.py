"""Stocks of boards that belong to others, measured by their photographs."""

import sqlalchemy as sa
from alembic import op

revision = "0035"
down_revision = "0034"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "stocks",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("source", sa.String(length=500), nullable=False),
        sa.Column("stuff", sa.String(length=20), nullable=False),
        sa.Column("edition", sa.Integer(), server_default="0", nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_stocks"),
    )
    op.create_index("ix_stocks_binned_with", "stocks", ["binned_with"])
    op.create_table(
        "boards",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("stock_id", sa.String(length=26), nullable=False),
        sa.Column("photo_sha256", sa.String(length=64), nullable=False),
        sa.Column("image_sha256", sa.String(length=64), nullable=False),
        sa.Column("file", sa.String(length=500), nullable=False),
        sa.Column("label", sa.String(length=200), nullable=False),
        sa.Column("species", sa.String(length=200), nullable=False),
        sa.Column("length_mm", sa.Double(), nullable=True),
        sa.Column("width_mm", sa.Double(), nullable=True),
        sa.Column("thickness_mm", sa.Double(), nullable=True),
        sa.Column("price", sa.String(length=20), nullable=True),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("more", sa.JSON(), nullable=False),
        sa.Column("lightness", sa.Double(), nullable=False),
        sa.Column("a", sa.Double(), nullable=False),
        sa.Column("b", sa.Double(), nullable=False),
        sa.Column("uncertainty", sa.Double(), nullable=False),
        sa.Column("spread", sa.Double(), nullable=False),
        sa.Column("figure", sa.String(length=20), nullable=False),
        sa.Column("grain_deg", sa.Double(), nullable=True),
        sa.Column("measured", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["stock_id"], ["stocks.id"], name="fk_boards_stock_id_stocks"),
        sa.ForeignKeyConstraint(
            ["image_sha256"], ["images.sha256"], name="fk_boards_image_sha256_images"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_boards"),
    )
    op.create_index("uq_boards_stock_id", "boards", ["stock_id", "photo_sha256"], unique=True)


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("boards")
    op.drop_table("stocks")
