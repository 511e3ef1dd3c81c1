"""Questions that others answer by choosing, and their answers."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def _of_a_record() -> tuple[sa.Column[Any], ...]:
    return (
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
    )


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "questions",
        sa.Column("brief_id", sa.String(length=26), nullable=False),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.Column("choices", sa.JSON(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("closed_utc", sa.DateTime(), nullable=True),
        *_of_a_record(),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name="fk_questions_brief_id_briefs"),
        sa.PrimaryKeyConstraint("id", name="pk_questions"),
    )
    op.create_table(
        "answers",
        sa.Column("question_id", sa.String(length=26), nullable=False),
        sa.Column("choice", sa.Integer(), nullable=False),
        sa.Column("before", sa.Integer(), nullable=True),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("author", sa.String(length=200), nullable=False),
        sa.Column("came_by", sa.String(length=10), nullable=False),
        sa.Column("annotation_id", sa.String(length=300), nullable=True),
        sa.Column("said_utc", sa.DateTime(), nullable=False),
        *_of_a_record(),
        sa.ForeignKeyConstraint(
            ["question_id"], ["questions.id"], name="fk_answers_question_id_questions"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_answers"),
    )
    for table, column in (("questions", "brief_id"), ("answers", "question_id")):
        op.create_index(f"ix_{table}_{column}", table, [column])
        op.create_index(f"ix_{table}_binned_with", table, ["binned_with"])


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("answers")
    op.drop_table("questions")
