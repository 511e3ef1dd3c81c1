"""Lengths are shown back as they were typed."""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

TABLES = (
    "kinds",
    "briefs",
    "tracings",
    "materials",
    "photographs",
    "viewings",
    "pairings",
    "inlays",
)


def upgrade() -> None:
    """Bring the tables to this version."""
    for table in TABLES:
        op.add_column(table, sa.Column("as_typed", sa.JSON(), nullable=False, server_default="{}"))


def downgrade() -> None:
    """Take them back to the version before."""
    for table in TABLES:
        op.drop_column(table, "as_typed")
