"""Pictures of the instrument that were computed by light."""

import sqlalchemy as sa
from alembic import op

revision = "0033"
down_revision = "0032"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "studio_pictures",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("view", sa.String(length=20), nullable=False),
        sa.Column("image_sha256", sa.String(length=64), nullable=False),
        sa.Column("made_of", sa.String(length=64), nullable=False),
        sa.Column("said", sa.JSON(), nullable=False),
        sa.Column("private", sa.Boolean(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(
            ["brief_id"], ["briefs.id"], name="fk_studio_pictures_brief_id_briefs"
        ),
        sa.ForeignKeyConstraint(
            ["image_sha256"], ["images.sha256"], name="fk_studio_pictures_image_sha256_images"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_studio_pictures"),
    )
    for column in ("binned_with", "brief_id"):
        op.create_index(f"ix_studio_pictures_{column}", "studio_pictures", [column])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("studio_pictures")
