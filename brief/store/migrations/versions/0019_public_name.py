"""A piece on the rack may have a name for others to read."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column(
        "materials",
        sa.Column(
            "public_name", sa.String(length=200), nullable=False, server_default=sa.text("''")
        ),
    )


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("materials", "public_name")
