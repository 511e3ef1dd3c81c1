"""A brief may have numbers of its own."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("briefs", sa.Column("numbers", sa.JSON(), nullable=False, server_default="{}"))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("briefs", "numbers")
