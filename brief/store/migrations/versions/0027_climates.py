"""A brief says which air its instrument is in, and a piece of the rack how it is cut."""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column(
        "materials",
        sa.Column("cut", sa.String(length=20), nullable=False, server_default="not said"),
    )
    op.create_table(
        "climates",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("stage", sa.String(length=20), nullable=False),
        sa.Column("humidity", sa.String(length=200), nullable=False),
        sa.Column("temperature", sa.String(length=200), nullable=False),
        sa.Column("month", sa.Integer(), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_climates_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_climates"),
    )
    for column in ("binned_with", "brief_id"):
        op.create_index(f"ix_climates_{column}", "climates", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("climates")
    op.drop_column("materials", "cut")
