"""A calendar can subscribe to the run-up of a brief."""

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "calendar_links",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(
            ["brief_id"], ["briefs.id"], name="fk_calendar_links_brief_id_briefs"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_calendar_links"),
        sa.UniqueConstraint("token_sha256", name="uq_calendar_links_token_sha256"),
    )
    for column in ("binned_with", "brief_id"):
        op.create_index(f"ix_calendar_links_{column}", "calendar_links", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("calendar_links")
