"""A maker has kinds of instrument of their own."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "kinds",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("drawing", sa.JSON(), nullable=False),
        sa.Column("parts", sa.JSON(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_kinds"),
    )
    op.create_index("ix_kinds_binned_with", "kinds", ["binned_with"])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("kinds")
