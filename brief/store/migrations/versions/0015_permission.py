"""A reference says who gave leave to publish it."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column(
        "references",
        sa.Column(
            "permission", sa.String(length=200), nullable=False, server_default=sa.text("''")
        ),
    )


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("references", "permission")
