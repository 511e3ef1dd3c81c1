"""A brief says where its piece will be seen."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "viewings",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("distance_m", sa.Double(), nullable=False),
        sa.Column("light", sa.String(length=20), nullable=False),
        sa.Column("kelvin", sa.Double(), nullable=True),
        sa.Column("rendering", sa.Double(), nullable=True),
        sa.Column("lux", sa.Double(), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_viewings_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_viewings"),
    )
    for column in ("binned_with", "brief_id"):
        op.create_index(f"ix_viewings_{column}", "viewings", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("viewings")
