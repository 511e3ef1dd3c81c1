"""A part may say how the photograph of its wood is laid."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("parts", sa.Column("laying", sa.JSON(), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("parts", "laying")
