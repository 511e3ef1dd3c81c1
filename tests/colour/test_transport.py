"""The earth mover's distance against a second solver, POT (Flamary et al. 2021, JMLR 22(78))."""

import numpy as np
import pytest

from brief.colour import delta_e_2000
from brief.colour.verdicts.transport import earth_movers
from brief.errors import ColourInputError


def drawn(rng):
    count = rng.integers(1, 16)
    weights = np.exp(rng.normal(0, 2.5, count))  # as uneven as an inlay beside a back
    return rng.uniform([0, -60, -60], [100, 60, 60], (count, 3)), weights


def test_200_random_cases_against_pot():
    ot = pytest.importorskip("ot")
    rng = np.random.default_rng(11)
    for _ in range(200):
        (labs_1, weights_1), (labs_2, weights_2) = drawn(rng), drawn(rng)
        ours = earth_movers(labs_1, weights_1, labs_2, weights_2)
        theirs = ot.emd2(weights_1 / weights_1.sum(), weights_2 / weights_2.sum(), ours.apart)
        assert ours.distance == pytest.approx(float(theirs), abs=1e-6)
        np.testing.assert_allclose(ours.flow.sum(axis=1), weights_1 / weights_1.sum(), atol=1e-9)
        np.testing.assert_allclose(ours.flow.sum(axis=0), weights_2 / weights_2.sum(), atol=1e-9)


def test_one_onto_one_is_their_difference():
    moved = earth_movers([[50, 10, 10]], [3], [[60, 5, 20]], [0.1])
    assert moved.distance == pytest.approx(float(delta_e_2000([50, 10, 10], [60, 5, 20])))
    assert moved.flow.tolist() == [[1.0]]


def test_alike_sets_need_no_moving():
    labs = [[20, 0, 0], [50, 20, 10], [80, 0, 30]]
    assert earth_movers(labs, [1, 2, 3], labs[::-1], [3, 2, 1]).distance == pytest.approx(0)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"labs_1": []}, r"labs_1 must have"),
        ({"labs_1": [50, 0, 0]}, r"labs_1 must have shape \(n, 3\), n at least 1; got \(3,\)"),
        ({"weights_1": [0]}, "weights_1 must be 1 numbers of 0 or more, not all 0"),
        ({"weights_1": [1, 2]}, "weights_1 must be 1 numbers of 0 or more"),
        ({"weights_2": [-1]}, "weights_2 must be 1 numbers of 0 or more"),
        ({"weights_2": ["much"]}, "weights_2 must be numbers"),
    ],
)
def test_bad_input_is_refused(change, said):
    given = {
        "labs_1": [[50, 0, 0]],
        "weights_1": [1],
        "labs_2": [[60, 0, 0]],
        "weights_2": [1],
    } | change
    with pytest.raises(ColourInputError, match=said):
        earth_movers(**given)
