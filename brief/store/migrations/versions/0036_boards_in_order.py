"""A page of the boards of a stock without sorting all of them."""

from alembic import op

revision = "0036"
down_revision = "0035"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_index("ix_boards_stock_id", "boards", ["stock_id", "id"])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_index("ix_boards_stock_id", "boards")
