"""A brief has a run-up: its opening, the maker's week, stages, and days away."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None


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
    op.add_column("briefs", sa.Column("opens_on", sa.Date(), nullable=True))
    for column in ("travel_days", "papers_days"):
        op.add_column("briefs", sa.Column(column, sa.Integer(), nullable=False, server_default="0"))
    op.add_column("briefs", sa.Column("week_h", sa.JSON(), nullable=True))
    op.create_table(
        "stages",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("follows", sa.JSON(), nullable=False),
        sa.Column("quick_h", sa.Double(), nullable=False),
        sa.Column("likely_h", sa.Double(), nullable=False),
        sa.Column("slow_h", sa.Double(), nullable=False),
        sa.Column("wait_days", sa.Double(), nullable=False),
        sa.Column("wait_for", sa.String(length=200), nullable=False),
        sa.Column("spare", sa.Boolean(), nullable=False),
        sa.Column("spent_h", sa.Double(), nullable=True),
        sa.Column("done_on", sa.Date(), nullable=True),
        sa.Column("usual", sa.String(length=40), nullable=False),
        *_of_every_record(),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_stages_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_stages"),
    )
    op.create_table(
        "absences",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=True),
        sa.Column("last_on", sa.Date(), nullable=False),
        *_of_every_record(),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_absences_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_absences"),
    )
    for table in ("stages", "absences"):
        for column in ("binned_with", "brief_id"):
            op.create_index(f"ix_{table}_{column}", table, [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("absences")
    op.drop_table("stages")
    for column in ("week_h", "papers_days", "travel_days", "opens_on"):
        op.drop_column("briefs", column)
