"""What came in by a file or a link is new until the maker has seen it."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("comments", sa.Column("seen_utc", sa.DateTime(), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("comments", "seen_utc")
