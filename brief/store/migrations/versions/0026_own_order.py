"""References have an order of the maker's own."""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("references", sa.Column("position", sa.Integer(), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("references", "position")
