"""Boards that came in a table have no photograph, and a board knows the piece made of it."""

import sqlalchemy as sa
from alembic import op

revision = "0037"
down_revision = "0036"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    with op.batch_alter_table("boards") as boards:
        boards.alter_column("image_sha256", existing_type=sa.String(64), nullable=True)
        boards.alter_column("spread", existing_type=sa.Double(), nullable=True)
        boards.add_column(sa.Column("piece_id", sa.String(length=26), nullable=True))
        boards.create_foreign_key("fk_boards_piece_id_materials", "materials", ["piece_id"], ["id"])
    # Until now a piece was known by its photograph.
    op.execute(
        "UPDATE boards SET piece_id = (SELECT min(materials.id) FROM materials JOIN photographs "
        "ON photographs.material_id = materials.id "
        "WHERE photographs.image_sha256 = boards.image_sha256 "
        "AND materials.binned_utc IS NULL AND photographs.binned_utc IS NULL) "
        "WHERE image_sha256 IN (SELECT image_sha256 FROM photographs)"
    )


def downgrade() -> None:
    """Take them back to the version before; boards without a photograph are lost."""
    op.execute("DELETE FROM boards WHERE image_sha256 IS NULL")
    with op.batch_alter_table("boards") as boards:
        boards.drop_constraint("fk_boards_piece_id_materials", type_="foreignkey")
        boards.drop_column("piece_id")
        boards.alter_column("spread", existing_type=sa.Double(), nullable=False)
        boards.alter_column("image_sha256", existing_type=sa.String(64), nullable=False)
