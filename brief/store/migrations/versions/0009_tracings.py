"""An outline is traced from the maker's own mould, and a brief may have one of its own."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("briefs", sa.Column("outline", sa.JSON(), nullable=True))
    op.create_table(
        "tracings",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("image_sha256", sa.String(length=64), nullable=True),
        sa.Column("points", sa.JSON(), nullable=True),
        sa.Column("inside", sa.String(length=30), nullable=True),
        sa.Column("scale_points", sa.String(length=60), nullable=True),
        sa.Column("scale_mm", sa.Double(), nullable=True),
        sa.Column("body_mm", sa.Double(), nullable=True),
        sa.Column("turned", sa.Boolean(), nullable=False),
        sa.Column("findings", sa.JSON(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_tracings_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["image_sha256"], ["images.sha256"], name="fk_tracings_image_sha256_images"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_tracings"),
    )
    for column in ("binned_with", "brief_id"):
        op.create_index(f"ix_tracings_{column}", "tracings", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("tracings")
    op.drop_column("briefs", "outline")
