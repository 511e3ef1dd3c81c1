"""A brief may have numbers of its own."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("briefs", sa.Column("numbers", sa.JSON(), nullable=False, server_default="{}"))


def downgrade() -> None:
    op.drop_column("briefs", "numbers")
