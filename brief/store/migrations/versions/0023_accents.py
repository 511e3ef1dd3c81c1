"""A palette keeps the accents of its picture."""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("palettes", sa.Column("accents", sa.JSON(), nullable=False, server_default="[]"))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("palettes", "accents")
