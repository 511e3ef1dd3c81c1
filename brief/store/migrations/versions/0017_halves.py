"""Of a mould whose halves differ, one can be traced."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column(
        "tracings",
        sa.Column("halves", sa.String(length=5), nullable=False, server_default="both"),
    )


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("tracings", "halves")
