"""A photograph can hold a second card, which shows its tone curve with the first."""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None

TABLES = ("references", "photographs")


def upgrade() -> None:
    """Bring the tables to this version."""
    for table in TABLES:
        op.add_column(table, sa.Column("second_card", sa.String(length=40), nullable=True))
        op.add_column(table, sa.Column("second_card_region", sa.String(length=80), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    for table in TABLES:
        op.drop_column(table, "second_card_region")
        op.drop_column(table, "second_card")
