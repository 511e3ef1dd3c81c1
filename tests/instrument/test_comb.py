"""The comb of an outline: teeth as long as it bends, and what is said of it."""

import re

import numpy as np
import pytest

from brief.instrument import preset, presets
from brief.instrument.model.shape import shaped
from brief.instrument.outline.comb import TOOTH_MM, comb
from brief.instrument.outline.outlines import body_outline


def teeth_of(made):
    numbers = re.findall(r"-?\d+(?:\.\d+)?", made.teeth)
    return np.array(numbers, dtype=float).reshape(-1, 2, 2)


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_the_longest_tooth_stands_at_the_tightest_bend(kind):
    made = comb(preset(kind))
    teeth = teeth_of(made)
    long = np.hypot(*(teeth[:, 1] - teeth[:, 0]).T)
    assert long.max() == pytest.approx(TOOTH_MM, abs=0.2)
    assert teeth[long.argmax(), 0, 1] == pytest.approx(made.at_mm, abs=6)  # they are to a tenth
    assert made.turns == (0 if kind == "bouzouki" else 2)
    # Of the radius through three points of the outline as it is drawn.
    run = np.array(body_outline(preset(kind))[:-1])
    i = int(np.argmin(np.abs(run[: len(run) // 2, 1] - made.at_mm)))
    a, b, c = run[i - 6], run[i], run[i + 6]
    sides = [np.hypot(*(p - q)) for p, q in ((a, b), (b, c), (c, a))]
    area = abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]) / 2
    assert np.prod(sides) / 4 / area == pytest.approx(made.tightest_mm, rel=0.05)


def test_teeth_stand_out_where_it_is_round_and_in_where_it_is_hollow():
    teeth = teeth_of(comb(preset("classical")))
    right = teeth[teeth[:, 0, 0] > 60]
    waist = right[np.abs(right[:, 0, 1] - 194) < 12]
    lower = right[np.abs(right[:, 0, 1] - 374) < 12]
    assert (waist[:, 1, 0] < waist[:, 0, 0]).all()
    assert (lower[:, 1, 0] > lower[:, 0, 0]).all()


def test_it_says_that_a_cutaway_is_left_out():
    assert comb(shaped(preset("classical"), {"cutaway_depth_mm": 70.0})).cutaway
    assert not comb(preset("classical")).cutaway
