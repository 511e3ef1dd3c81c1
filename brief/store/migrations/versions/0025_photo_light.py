"""Of a photograph can be said whether it was taken by daylight or by a lamp."""

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None

TABLES = ("references", "photographs")


def upgrade() -> None:
    """Bring the tables to this version."""
    for table in TABLES:
        op.add_column(
            table,
            sa.Column("light", sa.String(length=20), nullable=False, server_default="not known"),
        )


def downgrade() -> None:
    """Take them back to the version before."""
    for table in TABLES:
        op.drop_column(table, "light")
