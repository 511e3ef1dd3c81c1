"""A brief can be shared by links, and notes kept out of what is shared."""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("notes", sa.Column("private", sa.Boolean(), nullable=False, server_default="1"))
    op.create_table(
        "shares",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("revision_id", sa.String(length=26), nullable=True),
        sa.Column("sheets", sa.JSON(), nullable=False),
        sa.Column("may_comment", sa.Boolean(), nullable=False),
        sa.Column("expires_on", sa.Date(), nullable=False),
        sa.Column("withdrawn_utc", sa.DateTime(), nullable=True),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_shares_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revisions.id"], name="fk_shares_revision_id_revisions"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_shares"),
        sa.UniqueConstraint("token_sha256", name="uq_shares_token_sha256"),
    )
    for column in ("binned_with", "brief_id", "revision_id"):
        op.create_index(f"ix_shares_{column}", "shares", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("shares")
    op.drop_column("notes", "private")
