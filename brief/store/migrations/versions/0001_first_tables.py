"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "briefs",
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("theme", sa.Text(), nullable=False),
        sa.Column("instrument", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=60), nullable=False),
        sa.Column("show", sa.String(length=200), nullable=False),
        sa.Column("wanted_by", sa.Date(), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_briefs"),
    )
    with op.batch_alter_table("briefs") as batch_op:
        batch_op.create_index("ix_briefs_binned_with", ["binned_with"])

    op.create_table(
        "images",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=255), nullable=False),
        sa.Column("media_type", sa.String(length=40), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("added_utc", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_images"),
    )
    op.create_table(
        "comments",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("about_kind", sa.String(length=20), nullable=False),
        sa.Column("about_id", sa.String(length=26), nullable=False),
        sa.Column("region", sa.String(length=80), nullable=True),
        sa.Column("author", sa.String(length=100), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("reply_to", sa.String(length=26), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_comments_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["reply_to"], ["comments.id"], name="fk_comments_reply_to_comments"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_comments"),
    )
    with op.batch_alter_table("comments") as batch_op:
        batch_op.create_index("ix_comments_about_id", ["about_id"])
        batch_op.create_index("ix_comments_binned_with", ["binned_with"])
        batch_op.create_index("ix_comments_brief_id", ["brief_id"])
        batch_op.create_index("ix_comments_reply_to", ["reply_to"])

    op.create_table(
        "materials",
        sa.Column("label", sa.String(length=200), nullable=False),
        sa.Column("stuff", sa.String(length=20), nullable=False),
        sa.Column("species", sa.String(length=200), nullable=False),
        sa.Column("provenance", sa.String(length=500), nullable=False),
        sa.Column("length_mm", sa.Double(), nullable=True),
        sa.Column("width_mm", sa.Double(), nullable=True),
        sa.Column("thickness_mm", sa.Double(), nullable=True),
        sa.Column("price", sa.Double(), nullable=True),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("image_sha256", sa.String(length=64), nullable=True),
        sa.Column("region", sa.String(length=80), nullable=True),
        sa.Column("reading", sa.String(length=100), nullable=False),
        sa.Column("lab", sa.JSON(), nullable=True),
        sa.Column("uncertainty", sa.Double(), nullable=True),
        sa.Column("spread", sa.Double(), nullable=True),
        sa.Column("cells", sa.JSON(), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(
            ["image_sha256"], ["images.sha256"], name="fk_materials_image_sha256_images"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_materials"),
    )
    with op.batch_alter_table("materials") as batch_op:
        batch_op.create_index("ix_materials_binned_with", ["binned_with"])

    op.create_table(
        "motifs",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("says", sa.Text(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_motifs_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_motifs"),
    )
    with op.batch_alter_table("motifs") as batch_op:
        batch_op.create_index("ix_motifs_binned_with", ["binned_with"])
        batch_op.create_index("ix_motifs_brief_id", ["brief_id"])

    op.create_table(
        "notes",
        sa.Column("brief_id", sa.String(length=26), nullable=True),
        sa.Column("about_kind", sa.String(length=20), nullable=False),
        sa.Column("about_id", sa.String(length=26), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_notes_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_notes"),
    )
    with op.batch_alter_table("notes") as batch_op:
        batch_op.create_index("ix_notes_about_id", ["about_id"])
        batch_op.create_index("ix_notes_binned_with", ["binned_with"])
        batch_op.create_index("ix_notes_brief_id", ["brief_id"])

    op.create_table(
        "references",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("passage", sa.Text(), nullable=False),
        sa.Column("credit", sa.String(length=200), nullable=False),
        sa.Column("source", sa.String(length=500), nullable=False),
        sa.Column("rights", sa.String(length=500), nullable=False),
        sa.Column("private", sa.Boolean(), nullable=False),
        sa.Column("image_sha256", sa.String(length=64), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_references_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["image_sha256"], ["images.sha256"], name="fk_references_image_sha256_images"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_references"),
    )
    with op.batch_alter_table("references") as batch_op:
        batch_op.create_index("ix_references_binned_with", ["binned_with"])
        batch_op.create_index("ix_references_brief_id", ["brief_id"])

    op.create_table(
        "pairings",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("ground_id", sa.String(length=26), nullable=False),
        sa.Column("inlay_id", sa.String(length=26), nullable=False),
        sa.Column("place", sa.String(length=200), nullable=False),
        sa.Column("line_mm", sa.Double(), nullable=True),
        sa.Column("asked_ground_lab", sa.JSON(), nullable=False),
        sa.Column("asked_inlay_lab", sa.JSON(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_pairings_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["ground_id"], ["materials.id"], name="fk_pairings_ground_id_materials"
        ),
        sa.ForeignKeyConstraint(
            ["inlay_id"], ["materials.id"], name="fk_pairings_inlay_id_materials"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_pairings"),
    )
    with op.batch_alter_table("pairings") as batch_op:
        batch_op.create_index("ix_pairings_binned_with", ["binned_with"])
        batch_op.create_index("ix_pairings_brief_id", ["brief_id"])
        batch_op.create_index("ix_pairings_ground_id", ["ground_id"])
        batch_op.create_index("ix_pairings_inlay_id", ["inlay_id"])

    op.create_table(
        "palettes",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("reference_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("asked", sa.String(length=10), nullable=False),
        sa.Column("region", sa.String(length=80), nullable=True),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("algorithm", sa.String(length=40), nullable=False),
        sa.Column("colours", sa.JSON(), nullable=False),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_palettes_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["reference_id"], ["references.id"], name="fk_palettes_reference_id_references"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_palettes"),
    )
    with op.batch_alter_table("palettes") as batch_op:
        batch_op.create_index("ix_palettes_binned_with", ["binned_with"])
        batch_op.create_index("ix_palettes_brief_id", ["brief_id"])
        batch_op.create_index("ix_palettes_reference_id", ["reference_id"])

    op.create_table(
        "reference_motifs",
        sa.Column("reference_id", sa.String(length=26), nullable=False),
        sa.Column("motif_id", sa.String(length=26), nullable=False),
        sa.ForeignKeyConstraint(
            ["motif_id"], ["motifs.id"], name="fk_reference_motifs_motif_id_motifs"
        ),
        sa.ForeignKeyConstraint(
            ["reference_id"], ["references.id"], name="fk_reference_motifs_reference_id_references"
        ),
        sa.PrimaryKeyConstraint("reference_id", "motif_id", name="pk_reference_motifs"),
    )
    op.create_table(
        "swatches",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("lab", sa.JSON(), nullable=False),
        sa.Column("uncertainty", sa.Float(), nullable=False),
        sa.Column("palette_id", sa.String(length=26), nullable=True),
        sa.Column("palette_index", sa.Integer(), nullable=True),
        sa.Column("motif_id", sa.String(length=26), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_swatches_brief_id_briefs"),
        sa.ForeignKeyConstraint(["motif_id"], ["motifs.id"], name="fk_swatches_motif_id_motifs"),
        sa.ForeignKeyConstraint(
            ["palette_id"], ["palettes.id"], name="fk_swatches_palette_id_palettes"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_swatches"),
    )
    with op.batch_alter_table("swatches") as batch_op:
        batch_op.create_index("ix_swatches_binned_with", ["binned_with"])
        batch_op.create_index("ix_swatches_brief_id", ["brief_id"])
        batch_op.create_index("ix_swatches_motif_id", ["motif_id"])
        batch_op.create_index("ix_swatches_palette_id", ["palette_id"])

    op.create_table(
        "parts",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("role", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("material_id", sa.String(length=26), nullable=True),
        sa.Column("swatch_id", sa.String(length=26), nullable=True),
        sa.Column("motif_id", sa.String(length=26), nullable=True),
        sa.Column("finish", sa.String(length=200), nullable=False),
        sa.Column("sizes", sa.String(length=500), nullable=False),
        sa.Column("chosen_material_lab", sa.JSON(), nullable=True),
        sa.Column("chosen_swatch_lab", sa.JSON(), nullable=True),
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_parts_brief_id_briefs"),
        sa.ForeignKeyConstraint(
            ["material_id"], ["materials.id"], name="fk_parts_material_id_materials"
        ),
        sa.ForeignKeyConstraint(["motif_id"], ["motifs.id"], name="fk_parts_motif_id_motifs"),
        sa.ForeignKeyConstraint(["swatch_id"], ["swatches.id"], name="fk_parts_swatch_id_swatches"),
        sa.PrimaryKeyConstraint("id", name="pk_parts"),
    )
    with op.batch_alter_table("parts") as batch_op:
        batch_op.create_index("ix_parts_binned_with", ["binned_with"])
        batch_op.create_index("ix_parts_brief_id", ["brief_id"])
        batch_op.create_index("ix_parts_material_id", ["material_id"])
        batch_op.create_index("ix_parts_motif_id", ["motif_id"])
        batch_op.create_index("ix_parts_swatch_id", ["swatch_id"])


def downgrade() -> None:
    """Take them back to the version before."""
    with op.batch_alter_table("parts") as batch_op:
        batch_op.drop_index("ix_parts_swatch_id")
        batch_op.drop_index("ix_parts_motif_id")
        batch_op.drop_index("ix_parts_material_id")
        batch_op.drop_index("ix_parts_brief_id")
        batch_op.drop_index("ix_parts_binned_with")

    op.drop_table("parts")
    with op.batch_alter_table("swatches") as batch_op:
        batch_op.drop_index("ix_swatches_palette_id")
        batch_op.drop_index("ix_swatches_motif_id")
        batch_op.drop_index("ix_swatches_brief_id")
        batch_op.drop_index("ix_swatches_binned_with")

    op.drop_table("swatches")
    op.drop_table("reference_motifs")
    with op.batch_alter_table("palettes") as batch_op:
        batch_op.drop_index("ix_palettes_reference_id")
        batch_op.drop_index("ix_palettes_brief_id")
        batch_op.drop_index("ix_palettes_binned_with")

    op.drop_table("palettes")
    with op.batch_alter_table("pairings") as batch_op:
        batch_op.drop_index("ix_pairings_inlay_id")
        batch_op.drop_index("ix_pairings_ground_id")
        batch_op.drop_index("ix_pairings_brief_id")
        batch_op.drop_index("ix_pairings_binned_with")

    op.drop_table("pairings")
    with op.batch_alter_table("references") as batch_op:
        batch_op.drop_index("ix_references_brief_id")
        batch_op.drop_index("ix_references_binned_with")

    op.drop_table("references")
    with op.batch_alter_table("notes") as batch_op:
        batch_op.drop_index("ix_notes_brief_id")
        batch_op.drop_index("ix_notes_binned_with")
        batch_op.drop_index("ix_notes_about_id")

    op.drop_table("notes")
    with op.batch_alter_table("motifs") as batch_op:
        batch_op.drop_index("ix_motifs_brief_id")
        batch_op.drop_index("ix_motifs_binned_with")

    op.drop_table("motifs")
    with op.batch_alter_table("materials") as batch_op:
        batch_op.drop_index("ix_materials_binned_with")

    op.drop_table("materials")
    with op.batch_alter_table("comments") as batch_op:
        batch_op.drop_index("ix_comments_reply_to")
        batch_op.drop_index("ix_comments_brief_id")
        batch_op.drop_index("ix_comments_binned_with")
        batch_op.drop_index("ix_comments_about_id")

    op.drop_table("comments")
    op.drop_table("images")
    with op.batch_alter_table("briefs") as batch_op:
        batch_op.drop_index("ix_briefs_binned_with")

    op.drop_table("briefs")
