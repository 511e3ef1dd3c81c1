"""A mould's photograph is made flat by a sheet on it, and says what its widths may be off by."""

import sqlalchemy as sa
from alembic import op

revision = "0032"
down_revision = "0031"
branch_labels = None
depends_on = None

NUMBERS = ("sheet_width_mm", "sheet_height_mm", "above_mm", "check_mm")


def upgrade() -> None:
    """Bring the tables to this version."""
    for column in (
        sa.Column("sheet", sa.String(length=6), nullable=False, server_default="none"),
        sa.Column("sheet_corners", sa.String(length=120), nullable=True),
        sa.Column("check_at", sa.String(length=5), nullable=False, server_default="lower"),
        *(sa.Column(name, sa.Double(), nullable=True) for name in NUMBERS),
    ):
        op.add_column("tracings", column)
    op.add_column("briefs", sa.Column("outline_doubt_mm", sa.Double(), nullable=True))


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_column("briefs", "outline_doubt_mm")
    for name in ("sheet", "sheet_corners", "check_at", *NUMBERS):
        op.drop_column("tracings", name)
