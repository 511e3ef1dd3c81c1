"""A piece on the rack may have a density, or a weight that gives it."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("materials", sa.Column("density", sa.Double(), nullable=True))
    op.add_column("materials", sa.Column("weight_g", sa.Double(), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("materials", "weight_g")
    op.drop_column("materials", "density")
