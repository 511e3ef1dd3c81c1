"""A brief can be frozen as a revision."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "revisions",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("letter", sa.String(length=4), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("brief_version", sa.Integer(), nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_revisions_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_revisions"),
    )
    for column in ("binned_with", "brief_id"):
        op.create_index(f"ix_revisions_{column}", "revisions", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("revisions")
