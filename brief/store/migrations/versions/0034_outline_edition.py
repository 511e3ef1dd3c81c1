"""A brief knows which edition of its model's outline its maker has read of."""

import sqlalchemy as sa
from alembic import op

revision = "0034"
down_revision = "0033"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    edition = sa.Column("outline_edition", sa.Integer(), nullable=False, server_default="1")
    op.add_column("briefs", edition)


def downgrade() -> None:
    """Take it back to the version before."""
    op.drop_column("briefs", "outline_edition")
