"""Several makers on one server: who they are, where they work, what they lend and hand in."""

import sqlalchemy as sa
from alembic import op

revision = "0038"
down_revision = "0037"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.add_column("sign_ins", sa.Column("maker", sa.Integer(), server_default="1", nullable=False))
    op.add_column("sign_ins", sa.Column("workshop_id", sa.String(length=10), nullable=True))
    op.create_table(
        "workshops",
        sa.Column("id", sa.String(length=10), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("made_utc", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_workshops"),
    )
    op.create_table(
        "makers",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("key", sa.String(length=240), nullable=False),
        sa.Column("workshop_id", sa.String(length=10), nullable=False),
        sa.Column("organises", sa.Boolean(), nullable=False),
        sa.Column("joined_utc", sa.DateTime(), nullable=False),
        sa.Column("shut_out_utc", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name="fk_makers_workshop_id_workshops"
        ),
        sa.PrimaryKeyConstraint("number", name="pk_makers"),
        sa.UniqueConstraint("key", name="uq_makers_key"),
    )
    op.create_table(
        "members",
        sa.Column("workshop_id", sa.String(length=10), nullable=False),
        sa.Column("maker", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name="fk_members_workshop_id_workshops"
        ),
        sa.ForeignKeyConstraint(["maker"], ["makers.number"], name="fk_members_maker_makers"),
        sa.PrimaryKeyConstraint("workshop_id", "maker", name="pk_members"),
    )
    op.create_table(
        "invitations",
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("organises", sa.Boolean(), nullable=False),
        sa.Column("maker", sa.Integer(), nullable=True),
        sa.Column("made_utc", sa.DateTime(), nullable=False),
        sa.Column("ends_utc", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["maker"], ["makers.number"], name="fk_invitations_maker_makers"),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_invitations"),
    )
    op.create_table(
        "loans",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("workshop_id", sa.String(length=10), nullable=False),
        sa.Column("by", sa.Integer(), nullable=False),
        sa.Column("to", sa.Integer(), nullable=False),
        sa.Column("material_id", sa.String(length=26), nullable=True),
        sa.Column("label", sa.String(length=200), nullable=False),
        sa.Column("made_utc", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name="fk_loans_workshop_id_workshops"
        ),
        sa.ForeignKeyConstraint(["by"], ["makers.number"], name="fk_loans_by_makers"),
        sa.ForeignKeyConstraint(["to"], ["makers.number"], name="fk_loans_to_makers"),
        sa.PrimaryKeyConstraint("id", name="pk_loans"),
    )
    op.create_index("ix_loans_by", "loans", ["by"])
    op.create_index("ix_loans_to", "loans", ["to"])
    op.create_table(
        "handed_in",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("workshop_id", sa.String(length=10), nullable=False),
        sa.Column("maker", sa.Integer(), nullable=False),
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("share_id", sa.String(length=26), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("token", sa.String(length=80), nullable=False),
        sa.Column("made_utc", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name="fk_handed_in_workshop_id_workshops"
        ),
        sa.ForeignKeyConstraint(["maker"], ["makers.number"], name="fk_handed_in_maker_makers"),
        sa.PrimaryKeyConstraint("id", name="pk_handed_in"),
    )
    op.create_index("ix_handed_in_maker", "handed_in", ["maker"])
    op.create_table(
        "doings",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("at_utc", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("what", sa.String(length=10), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("record_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_doings"),
    )
    op.create_index("ix_doings_record_id", "doings", ["record_id"])


def downgrade() -> None:
    """Take them back to the version before."""
    for table in ("doings", "handed_in", "loans", "invitations", "members", "makers", "workshops"):
        op.drop_table(table)
    with op.batch_alter_table("sign_ins") as sign_ins:
        sign_ins.drop_column("workshop_id")
        sign_ins.drop_column("maker")
