"""What `tests/colour/looks.csv` says was measured, measured again from the photographs.

The photographs are not the project's to hand on. With a folder of them, as `looks.py` names them:
`LOOKS_PHOTOGRAPHS=FOLDER python -m pytest tests/benchmarks/test_looks.py`.
"""

import csv
import os
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from brief.colour.viewing.observer import grain_about_line
from brief.photo.wood.piece import rows_of
from tests.benchmarks.looks import Tile, measure

PHOTOGRAPHS = Path(os.environ.get("LOOKS_PHOTOGRAPHS", ""))
with (Path(__file__).parents[1] / "colour" / "looks.csv").open(newline="") as file:
    ROWS = [row for row in csv.DictReader(file) if float(row["width_mm"])]


def tile(row):
    return Tile(
        row["tile"], row["board"], int(row["left"]), int(row["top"]), row["turned"] == "1",
        float(row["distance_m"]), float(row["width_mm"]), row["upright"] == "1", float(row["at"]),
        (float(row["L"]), float(row["a"]), float(row["b"])), float(row["difference"]),
    )  # fmt: skip


@pytest.mark.skipif(
    "LOOKS_PHOTOGRAPHS" not in os.environ, reason="needs the photographs that were looked at"
)
def test_seen_and_grain_are_measured_again():
    for row in ROWS[::5]:
        seen, grain = measure(PHOTOGRAPHS, tile(row))
        assert seen == pytest.approx(float(row["seen"]), rel=0.01, abs=0.01), row["tile"]
        assert grain == pytest.approx(float(row["grain"]), rel=0.01, abs=0.01), row["tile"]


def test_the_number_comes_in_well_under_half_a_second():
    """From a picture of the size that a pairing shows, and its grain at 16 widths."""
    levels = np.random.default_rng(0).normal(120, 20, (480, 720, 3)).clip(0, 255).astype(np.uint8)
    times = []
    for _ in range(5):
        start = time.perf_counter()
        rows = rows_of(Image.fromarray(levels), (50.0, 0.0, 0.0))
        grain_about_line(rows, (50.0, 0, 0), (80.0, 0, 10), np.geomspace(0.1, 10, 16), 2.0)
        times.append(time.perf_counter() - start)
    assert min(times) < 0.25
