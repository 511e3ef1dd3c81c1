"""A part may say how the photograph of its wood is laid."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("parts", sa.Column("laying", sa.JSON(), nullable=True))


def downgrade() -> None:
    op.drop_column("parts", "laying")
