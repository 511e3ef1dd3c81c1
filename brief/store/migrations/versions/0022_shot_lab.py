"""A piece knows what its photograph shows of what was measured, and how sure its reading is."""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("materials", sa.Column("shot_lab", sa.JSON(), nullable=True))
    op.add_column("materials", sa.Column("reading_uncertainty", sa.Double(), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("materials", "reading_uncertainty")
    op.drop_column("materials", "shot_lab")
