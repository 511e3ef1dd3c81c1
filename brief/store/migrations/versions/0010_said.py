"""A comment may be about some words of a passage, and may come in a file."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    for column in (
        sa.Column("quote", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("quote_prefix", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("quote_suffix", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("came_by", sa.String(length=10), nullable=False, server_default="here"),
        sa.Column("annotation_id", sa.String(length=300), nullable=True),
        sa.Column("said_utc", sa.DateTime(), nullable=True),
        sa.Column("since", sa.Text(), nullable=False, server_default=sa.text("''")),
    ):
        op.add_column("comments", column)
    op.create_index(
        "uq_comments_annotation_id", "comments", ["brief_id", "annotation_id"], unique=True
    )


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_index("uq_comments_annotation_id", "comments")
    for name in (
        "quote", "quote_prefix", "quote_suffix", "came_by", "annotation_id", "said_utc", "since"
    ):  # fmt: skip
        op.drop_column("comments", name)
