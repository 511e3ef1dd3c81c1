"""The verdict on a whole scheme, by hand."""

import numpy as np
import pytest

from brief.colour import delta_e_2000, pair_harmony
from brief.colour.verdicts.scheme import judge_scheme
from brief.errors import ColourInputError

PARTS = [[60.0, 14, 26], [20.0, 1, 4], [82.0, 3, 18]]  # top, fretboard, binding; invented
AREAS = [900.0, 200.0, 50.0]
CONTACTS = [(1, 0, 270.0), (2, 0, 1400.0)]


def test_harmony_is_weighted_by_how_far_parts_touch():
    verdict = judge_scheme(PARTS, AREAS, CONTACTS)
    board, binding = (
        float(pair_harmony(PARTS[one], PARTS[other]).total) for one, other, _ in CONTACTS
    )
    assert verdict.harmony == pytest.approx((270 * board + 1400 * binding) / 1670)
    assert verdict.worst.harmony == pytest.approx(min(board, binding))
    assert verdict.meetings[0].difference == pytest.approx(float(delta_e_2000(PARTS[1], PARTS[0])))
    assert (verdict.theme, verdict.transport) == ((), None)


def test_what_carries_the_theme_and_what_does_not():
    theme = [[61.0, 14, 25], [45.0, -30, 10]]
    verdict = judge_scheme(PARTS, AREAS, CONTACTS, theme, [3.0, 1.0])
    straw, green = verdict.theme
    assert straw.share == pytest.approx(0.75)
    assert straw.nearest == 0
    assert straw.distance < 2
    assert straw.carried > 0.9
    assert straw.carriers[0][0] == 0
    assert green.carried == 0
    assert green.distance > 20
    assert sum(share for _, share in green.carriers) == pytest.approx(1, abs=0.02)


def test_nothing_that_touches_has_no_harmony():
    verdict = judge_scheme(PARTS, AREAS, [])
    assert (verdict.harmony, verdict.worst) == (None, None)


@pytest.mark.parametrize(
    ("contacts", "said"),
    [
        ([(0, 0, 10)], "a contact must name two of the 3 parts; got 0 and 0"),
        ([(0, 3, 10)], "a contact must name two of the 3 parts; got 0 and 3"),
        ([(0, 1, 0)], "a contact must have a length above 0 mm; got 0"),
        ([(0, 1, np.nan)], "a contact must have a length above 0 mm"),
    ],
)
def test_bad_contacts_are_refused(contacts, said):
    with pytest.raises(ColourInputError, match=said):
        judge_scheme(PARTS, AREAS, contacts)


def test_no_parts_are_refused():
    with pytest.raises(ColourInputError, match=r"labs must have shape \(n, 3\), n at least 1"):
        judge_scheme(np.zeros((0, 3)), [], [])
