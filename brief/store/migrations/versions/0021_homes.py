"""A home knows itself from others, so that its backup is not taken for another's."""

import sqlalchemy as sa
from alembic import op
from ulid import ULID

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    homes = op.create_table(
        "homes",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_homes"),
    )
    op.bulk_insert(homes, [{"id": str(ULID())}])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("homes")
