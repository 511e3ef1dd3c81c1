"""The brief can be opened from another device, with a passphrase."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "passphrases",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("hashed", sa.String(255), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_passphrases"),
    )
    op.create_table(
        "sign_ins",
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("begun_utc", sa.DateTime(), nullable=False),
        sa.Column("ends_utc", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_sign_ins"),
    )
    op.create_index("ix_sign_ins_ends_utc", "sign_ins", ["ends_utc"])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("sign_ins")
    op.drop_table("passphrases")
