"""Photographs of a piece are records of their own, corrected by what stands in the shot."""

import json
from typing import Any

import sqlalchemy as sa
from alembic import op
from ulid import ULID

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

NO_CORRECTION = {
    "kind": "none",
    "method": "3x3",
    # IEC 61966-2-1: sRGB to XYZ, and no stray light.
    "coefficients": [
        [0.4124, 0.3576, 0.1805, 0.0],
        [0.2126, 0.7152, 0.0722, 0.0],
        [0.0193, 0.1192, 0.9505, 0.0],
    ],
    "residual": 8.0,
    "uncertainty": 15.0,
    "notes": [],
}


def upgrade() -> None:
    """Bring the tables to this version."""
    op.create_table(
        "photographs",
        sa.Column("material_id", sa.String(length=26), nullable=False),
        sa.Column("image_sha256", sa.String(length=64), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("finish", sa.String(length=200), nullable=False),
        sa.Column("selections", sa.JSON(), nullable=False),
        sa.Column("scale_points", sa.String(length=60), nullable=True),
        sa.Column("scale_mm", sa.Double(), nullable=True),
        sa.Column("grain_line", sa.String(length=60), nullable=True),
        sa.Column("lab", sa.JSON(), nullable=False),
        sa.Column("uncertainty", sa.Double(), nullable=False),
        sa.Column("spread", sa.Double(), nullable=False),
        sa.Column("cells", sa.JSON(), nullable=False),
        sa.Column("findings", sa.JSON(), nullable=False),
        *_corrected(),
        *_every_record(),
        sa.ForeignKeyConstraint(
            ["image_sha256"], ["images.sha256"], name="fk_photographs_image_sha256_images"
        ),
        sa.ForeignKeyConstraint(
            ["material_id"], ["materials.id"], name="fk_photographs_material_id_materials"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_photographs"),
    )
    op.create_index("ix_photographs_binned_with", "photographs", ["binned_with"])
    op.create_index("ix_photographs_material_id", "photographs", ["material_id"])
    op.create_table(
        "finish_tests",
        sa.Column("material_id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("before_id", sa.String(length=26), nullable=False),
        sa.Column("after_id", sa.String(length=26), nullable=False),
        sa.Column("shift", sa.JSON(), nullable=False),
        *_every_record(),
        *(
            sa.ForeignKeyConstraint(
                [column], [f"{table}.id"], name=f"fk_finish_tests_{column}_{table}"
            )
            for column, table in (
                ("material_id", "materials"),
                ("before_id", "photographs"),
                ("after_id", "photographs"),
            )
        ),
        sa.PrimaryKeyConstraint("id", name="pk_finish_tests"),
    )
    for column in ("after_id", "before_id", "binned_with", "material_id"):
        op.create_index(f"ix_finish_tests_{column}", "finish_tests", [column])
    for added in _corrected():
        op.add_column("references", added)
    op.add_column("palettes", sa.Column("correction", sa.JSON(), nullable=True))
    op.add_column(
        "palettes", sa.Column("uncertainty", sa.Float(), nullable=False, server_default="10")
    )
    op.execute("UPDATE palettes SET uncertainty = 15")
    op.add_column("materials", sa.Column("disagreement", sa.Double(), nullable=True))
    op.add_column(
        "materials", sa.Column("reading_doubt", sa.Double(), nullable=False, server_default="0")
    )
    _photographs_of_materials()


def downgrade() -> None:
    """Take them back to the version before."""
    op.drop_table("finish_tests")
    op.drop_table("photographs")
    for table, columns in (
        ("references", [column.name for column in _corrected()]),
        ("palettes", ["correction", "uncertainty"]),
        ("materials", ["disagreement", "reading_doubt"]),
    ):
        for column in columns:
            # Not by a copy of the table, whose rows others point at.
            op.drop_column(table, column)


def _corrected() -> list[sa.Column[Any]]:
    return [
        sa.Column("correct_by", sa.String(length=10), nullable=False, server_default="none"),
        sa.Column("chart_age", sa.String(length=20), nullable=False, server_default="after-2014"),
        sa.Column("chart_corners", sa.String(length=120), nullable=True),
        sa.Column("card", sa.String(length=40), nullable=False, server_default="white paper"),
        sa.Column("card_region", sa.String(length=80), nullable=True),
        sa.Column("correction", sa.JSON(), nullable=True),
    ]


def _every_record() -> list[sa.Column[Any]]:
    return [
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_utc", sa.DateTime(), nullable=False),
        sa.Column("changed_utc", sa.DateTime(), nullable=False),
        sa.Column("binned_utc", sa.DateTime(), nullable=True),
        sa.Column("binned_with", sa.String(length=26), nullable=True),
    ]


def _photographs_of_materials() -> None:
    """What was measured of each piece's one photograph becomes that photograph's record."""
    connection = op.get_bind()
    pieces = connection.execute(
        sa.text(
            "SELECT id, image_sha256, region, reading, lab, spread, cells, created_utc,"
            " changed_utc, binned_utc FROM materials"
            " WHERE image_sha256 IS NOT NULL AND lab IS NOT NULL"
        )
    ).mappings()
    for piece in pieces.all():
        lab = json.loads(piece["lab"])
        connection.execute(
            sa.text(
                "INSERT INTO photographs (id, version, created_utc, changed_utc, binned_utc,"
                " binned_with, material_id, image_sha256, state, finish, selections, lab,"
                " uncertainty, spread, cells, findings, correction) VALUES (:id, 1, :created_utc,"
                " :changed_utc, :binned_utc, :binned_with, :material_id, :image_sha256, 'bare',"
                " '', :selections, :lab, 15.0, :spread, :cells, :findings, :correction)"
            ),
            {
                **{name: piece[name] for name in ("created_utc", "changed_utc", "binned_utc")},
                "id": str(ULID()),
                "binned_with": piece["id"] if piece["binned_utc"] else None,
                "material_id": piece["id"],
                "image_sha256": piece["image_sha256"],
                "selections": json.dumps([piece["region"]] if piece["region"] else []),
                "lab": piece["lab"],
                "spread": piece["spread"],
                "cells": piece["cells"],
                "findings": json.dumps(_not_looked_for(lab, piece["reading"])),
                "correction": json.dumps(NO_CORRECTION),
            },
        )


def _not_looked_for(lab: list[float], reading: str) -> dict[str, object]:
    """Findings of a photograph whose figure was never measured: measure it anew to have them."""
    # Where there was a reading, what the photograph itself had shown was not kept.
    overruled = ", which gave it the colour of the reading" if reading else ""
    return {
        "left_out": 0.0,
        "figure": {
            "word": "plain",
            "direction_deg": None,
            "strength": 0.0,
            "curl_mm": None,
            "dark": lab,
            "light": lab,
        },
        "grain": None,
        "notes": [
            f"Measured by an earlier version{overruled}; press “Measure there” to measure it anew."
        ],
    }
