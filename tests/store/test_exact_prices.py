"""Prices of the rack were floats once; brought up to date they have the figures that were typed."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import create_engine

from brief.services.history.row_codec import kinds
from brief.store.databases.database import MIGRATIONS

FIGURES = {68.0: "68", 12.5: "12.5", 6.4: "6.4", 0.1: "0.1", 0.0: "0", 1234567.89: "1234567.89"}


def _to(path: Path, version: str, *, down: bool = False) -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    engine = create_engine(f"sqlite:///{path}")
    with engine.connect() as connection:
        config.attributes["connection"] = connection
        (command.downgrade if down else command.upgrade)(config, version)
        connection.commit()
    engine.dispose()


def _prices(path: Path) -> list[object]:
    with sqlite3.connect(path) as connection:
        return [row[0] for row in connection.execute("SELECT price FROM materials ORDER BY id")]


def test_prices_keep_their_figures_there_and_back(tmp_path: Path) -> None:
    path = tmp_path / "brief.sqlite3"
    _to(path, "0030")
    with sqlite3.connect(path) as connection:
        for number, price in enumerate([*FIGURES, None]):
            row = {"id": f"{number:026}", "version": 1, "label": "elm", "stuff": "timber"}
            row |= {"created_utc": "2026-03-01", "changed_utc": "2026-03-01", "price": price}
            row |= dict.fromkeys(("species", "provenance", "reading"), "") | {"currency": "EUR"}
            marks = ", ".join("?" * len(row))
            connection.execute(
                f"INSERT INTO materials ({', '.join(row)}) VALUES ({marks})", list(row.values())
            )
    _to(path, "0031")
    assert _prices(path) == [*FIGURES.values(), None]
    _to(path, "0030", down=True)
    assert _prices(path) == [*FIGURES, None]


@pytest.mark.parametrize(("sent", "kept"), [(68.5, "68.5"), (68, "68"), ("68.50", "68.5")])
def test_a_price_in_a_file_of_an_earlier_version_counts_by_its_figures(sent, kept) -> None:
    rows = kinds()["materials"].row
    read = rows.__pydantic_validator__.validate_assignment(rows.model_construct(), "price", sent)
    assert read.model_dump(mode="json", include={"price"}) == {"price": kept}


@pytest.mark.parametrize("sent", [-1, "1,5", "1e3", True, float("nan"), "1" * 11, [1]])
def test_what_is_no_price_is_refused(sent) -> None:
    rows = kinds()["materials"].row
    with pytest.raises(ValueError, match="price"):
        rows.__pydantic_validator__.validate_assignment(rows.model_construct(), "price", sent)
