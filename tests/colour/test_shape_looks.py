"""The observer of shapes against blind looks: is a shape found, and does it stand out at a glance.

How it was done. `tests/benchmarks/shape_looks.py` rendered 96 pictures from photographs of boards
that no threshold of lines was set on: 60 x 40 mm, three in four with one dot, bar, leaf or stem,
1.5 to 24 mm, 2 to 25 CIEDE2000 from the piece, at the bench and as seen from 1, 2 and 4 m; most of
them near the edge of being seen. Each was looked at once by one of two eyes, which were machine
viewers (image-reading models), not people: they knew neither verdict nor key and got the pictures
under names that say nothing, 48 each. They said whether they found a shape and where, and whether
it stood out without searching. One counts as found where its place was right to a tenth of the
picture.

How it was split. Both thresholds are those of lines. Over how much of a shape's length the eye sums
its own noise (SUMMED_ARC) was set on the first list, and judged on the second. That it is an angle,
and not 15 mm as was thought when the pictures were drawn, was chosen with both in view.

`shape_looks.csv` holds what was on each picture, what was measured of it (`seen`, `grain`,
CIEDE2000) and the answers. The photographs are not the project's to hand on.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from brief.colour.viewing.observer import FOUND, STANDS_OUT, noise
from brief.colour.viewing.shape import (
    AGREE_FOUND,
    AGREE_STANDS_OUT,
    PICTURES,
    line_width_mm,
)

with (Path(__file__).parent / "shape_looks.csv").open(newline="") as file:
    ROWS = list(csv.DictReader(file))
SETTING, JUDGING = ([row for row in ROWS if row["list"] == one] for one in ("1", "2"))


def detectability(row):
    if not row["kind"]:
        return 0.0
    away = float(row["distance_m"])
    width = line_width_mm(float(row["area_mm2"]), float(row["edge_mm"]) / 2, away)
    return float(row["seen"]) / float(noise(float(row["grain"]), width, away))


def missed_and_over(rows, threshold, answer):
    """How many eyes saw and the number did not; and the other way about."""
    pairs = [(detectability(row) >= threshold, row[answer] == "1") for row in rows]
    missed = sum(seen and not called for called, seen in pairs)
    return missed, sum(called and not seen for called, seen in pairs)


def share(rows, threshold, answer):
    return 1 - sum(missed_and_over(rows, threshold, answer)) / len(rows)


def test_what_the_method_page_says_is_what_the_looks_say():
    assert len(ROWS) == PICTURES
    assert share(JUDGING, FOUND, "found") == pytest.approx(AGREE_FOUND, abs=0.006)
    assert share(JUDGING, STANDS_OUT, "stands_out") == pytest.approx(AGREE_STANDS_OUT, abs=0.006)


@pytest.mark.parametrize(("threshold", "answer"), [(FOUND, "found"), (STANDS_OUT, "stands_out")])
def test_errors_are_to_both_sides(threshold, answer):
    missed, over = missed_and_over(ROWS, threshold, answer)
    assert max(missed, over) <= 3 * min(missed, over)


def test_it_is_worth_more_than_the_difference_alone():
    """A threshold on what is seen, the best one with all answers in view, does worse."""
    for threshold, answer in ((FOUND, "found"), (STANDS_OUT, "stands_out")):
        known = [(float(row["seen"] or 0), row[answer] == "1") for row in ROWS]
        best = max(
            sum((seen >= least) == yes for seen, yes in known) / len(known) for least, _ in known
        )
        assert share(ROWS, threshold, answer) > best


def test_nothing_is_called_found_where_nothing_was():
    bare = [row for row in ROWS if not row["kind"]]
    assert len(bare) == 24
    assert sum(row["found"] == "1" for row in bare) == 2  # what eyes took for one
