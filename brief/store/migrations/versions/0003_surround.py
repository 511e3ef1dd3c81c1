"""A photograph knows where in it the white is that lies round the board."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("photographs", sa.Column("surround_region", sa.String(length=80), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("photographs", "surround_region")
