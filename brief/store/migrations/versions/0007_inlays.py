"""A brief may have inlays of the maker's own design."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "inlays",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("part_id", sa.String(length=26), nullable=True),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("shape", sa.String(length=10), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("drawn_mm", sa.Double(), nullable=False),
        sa.Column("remarks", sa.JSON(), nullable=False),
        sa.Column("lies_on", sa.String(length=20), nullable=False),
        sa.Column("frets", sa.JSON(), nullable=False),
        sa.Column("along_mm", sa.Double(), nullable=True),
        sa.Column("across_mm", sa.Double(), nullable=False),
        sa.Column("copies", sa.Integer(), nullable=False),
        sa.Column("width_mm", sa.Double(), nullable=False),
        sa.Column("turn_deg", sa.Double(), nullable=False),
        sa.Column("mirrored", sa.Boolean(), nullable=False),
        sa.Column("measured", sa.JSON(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_inlays_brief_id_briefs"),
        sa.ForeignKeyConstraint(["part_id"], ["parts.id"], name="fk_inlays_part_id_parts"),
        sa.PrimaryKeyConstraint("id", name="pk_inlays"),
    )
    for column in ("binned_with", "brief_id", "part_id"):
        op.create_index(f"ix_inlays_{column}", "inlays", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("inlays")
