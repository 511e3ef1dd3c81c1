"""A database from before photographs were records of their own: brought up to date, and back.

Then a piece had one photograph, and the region to look at beside it.
"""

from __future__ import annotations

import json
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from sqlalchemy import create_engine

from brief.photo import Correction, no_correction
from brief.services import nouns, offcuts
from brief.store.databases.database import MIGRATIONS, Database
from brief.store.desk import Store

WALNUT, SHELL, CEDAR, READ = (f"01JD8Q5Z7M3K2V9X4T6R8W00{end}" for end in ("W1", "S1", "C1", "R1"))
REGION = "xywh=percent:10,20,50,40"
LABS = {
    WALNUT: [38.25, 9.5, 15.125],
    SHELL: [88.0, 0.5, 3.0],
    CEDAR: [47, 14, 24],
    READ: [60, 5, 9],
}
READINGS = {CEDAR: "Lab 47 14 24", READ: "Lab 60 5 9"}  # the last was never photographed
MADE, BINNED = "2026-03-01 09:00:00.000000", "2026-03-04 12:00:00.000000"
SHA256 = "ab" * 32
TABLES = ("materials", "references", "palettes", "images", "briefs")


@pytest.fixture
def database(tmp_path: Path) -> Path:
    """At 0001: three pieces photographed, one of them in the bin, and one only read."""
    path = tmp_path / "brief.sqlite3"
    _to(path, "0001")
    words = dict.fromkeys(("title", "theme", "instrument", "kind", "show"), "parlour-steel-string")
    said = dict.fromkeys(("title", "passage", "credit", "source", "rights"), "")
    bare = {"stuff": "timber", "species": "", "provenance": "", "currency": "EUR"}
    with sqlite3.connect(path) as connection:
        values = (SHA256, "bench.png", "image/png", 900, 48, 32, MADE)
        connection.execute("INSERT INTO images VALUES (?, ?, ?, ?, ?, ?, ?)", values)
        _insert(connection, "briefs", id="B", **words)
        picture = {"kind": "picture", "private": 0, "image_sha256": SHA256}
        _insert(connection, "references", id="R", brief_id="B", **picture, **said)
        made = {"name": "reeds", "asked": "2", "seed": 0, "algorithm": "a", "colours": "[]"}
        _insert(connection, "palettes", id="P", brief_id="B", reference_id="R", **made)
        for piece, lab in LABS.items():
            photographed = {"spread": 2.5, "cells": json.dumps([[*lab, 1]]), "image_sha256": SHA256}
            _insert(
                connection,
                "materials",
                id=piece,
                label=piece[-2:],
                **bare,
                reading=READINGS.get(piece, ""),
                lab=json.dumps(lab),
                uncertainty=1 if piece in READINGS else 10,
                region=REGION if piece == WALNUT else None,
                binned_utc=BINNED if piece == SHELL else None,
                binned_with=SHELL if piece == SHELL else None,
                **(photographed if piece != READ else {}),
            )
    connection.close()
    return path


def test_each_photographed_piece_has_its_photograph_and_the_same_colour(database: Path) -> None:
    before = _rows(database, "materials")
    Database(database).close()
    added = {"disagreement": None, "reading_doubt": 0, "density": None, "weight_g": None}
    added |= {"public_name": "", "as_typed": "{}"}
    added |= {"shot_lab": None, "reading_uncertainty": None, "cut": "not said"}
    assert _rows(database, "materials") == [row | added for row in before]
    wanted = [
        {
            "material_id": piece,
            "image_sha256": SHA256,
            "state": "bare",
            "selections": json.dumps([REGION] if piece == WALNUT else []),
            "lab": json.dumps(LABS[piece]),
            "uncertainty": 15,
            "cells": json.dumps([[*LABS[piece], 1]]),
            "correct_by": "none",
            "created_utc": MADE,
            "binned_utc": BINNED if piece == SHELL else None,
            "binned_with": SHELL if piece == SHELL else None,
        }
        for piece in (WALNUT, SHELL, CEDAR)
    ]
    found = {row["material_id"]: row for row in _rows(database, "photographs")}
    assert len(found) == len(wanted)
    for row in wanted:
        assert found[row["material_id"]] | row == found[row["material_id"]]
    assert _rows(database, "finish_tests") == []


def test_pictures_and_palettes_of_then_were_not_corrected(database: Path) -> None:
    Database(database).close()
    (reference,), (palette,) = _rows(database, "references"), _rows(database, "palettes")
    assert (reference["correct_by"], reference["correction"]) == ("none", None)
    assert (palette["correction"], palette["uncertainty"]) == (None, 15)
    assert palette["accents"] == "[]"


def test_what_was_brought_over_is_shown_and_reckoned_with(database: Path) -> None:
    store = Store(database.parent)
    with store.desk(writing=True) as desk:
        (photograph,) = nouns.photographs.page(desk, material_id=WALNUT)
        as_it_was = replace(no_correction(), residual=8.0, uncertainty=15.0)
        assert Correction.from_dict(photograph.correction) == as_it_was
        shown = nouns.photographs.show(desk, photograph)
        assert list(shown.colour.lab) == LABS[WALNUT]
        assert shown.selections == [REGION]
        assert shown.notes == [
            "Measured by an earlier version; press “Measure there” to measure it anew."
        ]
        (read_too,) = nouns.photographs.page(desk, material_id=CEDAR)
        (note,) = nouns.photographs.show(desk, read_too).notes
        assert "which gave it the colour of the reading" in note
        offcuts.take_back(desk, nouns.materials, SHELL)
        assert len(nouns.photographs.page(desk, material_id=SHELL)) == 1
        for piece, lab in LABS.items():
            material = nouns.materials.get(desk, piece)
            nouns.materials.follow(desk, material)
            assert material.lab == lab
            assert material.uncertainty == pytest.approx(1 if piece in READINGS else 15)
    store.close()


def test_back_to_the_first_tables_nothing_else_is_lost(database: Path) -> None:
    before = {table: _rows(database, table) for table in TABLES}
    Database(database).close()
    assert {table: _rows(database, table) for table in TABLES} != before
    _to(database, "0001")
    assert {table: _rows(database, table) for table in TABLES} == before
    left = [row["name"] for row in _rows(database, "sqlite_master")]
    assert not [name for name in left if "photographs" in name or "finish_tests" in name]
    Database(database).close()  # and up again
    assert len(_rows(database, "photographs")) == 3


def _to(path: Path, revision: str) -> None:
    """Bring the database up or down to one revision, with keys enforced as in the program."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    engine = create_engine(f"sqlite:///{path}")
    with engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA foreign_keys=ON")
        config.attributes["connection"] = connection
        is_new = MigrationContext.configure(connection).get_current_revision() is None
        (command.upgrade if is_new else command.downgrade)(config, revision)
        connection.commit()
    engine.dispose()


def _insert(connection: sqlite3.Connection, table: str, **values: object) -> None:
    row = {"version": 3, "created_utc": MADE, "changed_utc": MADE, **values}
    places = ", ".join("?" * len(row))
    connection.execute(
        f'INSERT INTO "{table}" ({", ".join(row)}) VALUES ({places})', list(row.values())
    )


def _rows(path: Path, table: str) -> list[dict[str, object]]:
    connection = sqlite3.connect(path)
    connection.row_factory = sqlite3.Row
    found = connection.execute(f'SELECT * FROM "{table}" ORDER BY 1').fetchall()
    connection.close()
    return [dict(row) for row in found]
