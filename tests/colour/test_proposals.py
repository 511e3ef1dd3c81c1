"""The search of the rack against trying every choice there is."""

import numpy as np
import pytest

from brief.colour import delta_e_2000, pair_harmony
from brief.colour.verdicts.proposals import (
    CLOSENESS_UNIT,
    ENOUGH,
    WEIGHTS,
    Scheme,
    Touch,
    distances_from_theme,
    propose,
)
from brief.colour.viewing.observer import OWN_NOISE, STANDS_OUT
from brief.errors import ColourInputError
from brief.instrument import preset
from brief.instrument.model.contacts import contacts


def scheme(rng, size, parts, edges, opened):
    labs = rng.uniform([20, 0, 0], [85, 20, 35], (size, 3))
    allowed = np.zeros((parts, size), dtype=bool)
    for part in range(parts):
        if part in opened:
            allowed[part] = rng.random(size) < 0.9
        allowed[part, rng.integers(size)] = True
        if part not in opened:
            allowed[part] = np.arange(size) == allowed[part].argmax()
    touches = tuple(
        Touch(one, other, float(rng.uniform(50, 2000)), bool(rng.random() < 0.5))
        for one, other in edges
    )
    targets = [labs[0] + 3 if rng.random() < 0.3 else None for _ in range(parts)]
    return Scheme(
        labs=labs,
        doubts=rng.uniform(0.5, 6, size),
        grains=rng.uniform(0.3, 3, size),
        allowed=allowed,
        areas=rng.uniform(100, 1e5, parts),
        touches=touches,
        wanted=distances_from_theme(labs, targets, labs[:3] + 4),
    )


def by_trying_all(asked):
    """The best of each kind that `propose` promises, by floor and weight."""
    rows = [np.flatnonzero(row) for row in asked.allowed]
    tried = np.stack(np.meshgrid(*rows, indexing="ij"), axis=-1).reshape(-1, len(rows))
    legible = np.full(len(tried), ENOUGH)
    harmony, length = np.zeros(len(tried)), 0.0
    for touch in asked.touches:
        one, other = tried[:, touch.one], tried[:, touch.other]
        harmony += touch.length_mm * pair_harmony(asked.labs[one], asked.labs[other]).total
        length += touch.length_mm
        if touch.line:
            apart = delta_e_2000(asked.labs[one], asked.labs[other])
            doubt = np.hypot(asked.doubts[one], asked.doubts[other])
            # A line of 1 mm from 0.5 m: 6.9 minutes of arc.
            ratio = (apart - doubt) / (
                STANDS_OUT * np.hypot(asked.grains[other], OWN_NOISE / 6.875**0.5)
            )
            legible = np.minimum(legible, ratio)
    wanted = np.stack([asked.wanted[part, tried[:, part]] for part in range(len(rows))], axis=1)
    closeness = wanted @ asked.areas / asked.areas.sum()
    harmony = harmony / (length or 1.0)
    best = {}
    for floor in {legible.max(), min(legible.max(), 1.0)}:
        kept = legible >= floor - 1e-9
        for weight in WEIGHTS:
            values = weight * harmony - (1 - weight) * closeness / CLOSENESS_UNIT
            best[floor, weight] = values[kept].max()
    return legible.max(), best


def value(choice, weight):
    return weight * (choice.harmony or 0.0) - (1 - weight) * choice.closeness / CLOSENESS_UNIT


GRAPHS = [
    (3, [(0, 1), (1, 2), (0, 2)], {0, 1, 2}),
    (5, [(0, 1), (1, 2), (2, 3), (3, 4), (4, 0)], {0, 1, 3}),
    (4, [(0, 1), (0, 2), (0, 3), (1, 2), (2, 3), (1, 3)], {0, 1, 2, 3}),  # all touch all
    (4, [(1, 0), (2, 1)], {0, 2, 3}),  # one that touches nothing
    (2, [], {0, 1}),
]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("parts", "edges", "opened"), GRAPHS)
def test_every_kind_of_best_is_among_what_trying_all_finds(seed, parts, edges, opened, monkeypatch):
    monkeypatch.setattr("brief.colour.verdicts.proposals.FEW", 100)  # to see all that were found
    asked = scheme(np.random.default_rng(seed), 12, parts, edges, opened)
    reachable, best = by_trying_all(asked)
    found = propose(asked)
    for (floor, weight), most in best.items():
        meeting = [
            one
            for one in found
            if one.legibility is None or min(one.legibility, ENOUGH) >= floor - 1e-9
        ]
        assert max(value(one, weight) for one in meeting) == pytest.approx(most, abs=1e-9)
    if any(touch.line for touch in asked.touches):
        assert max(min(one.legibility, ENOUGH) for one in found) == pytest.approx(reachable)


def test_on_the_contacts_of_an_instrument():
    kind = preset("parlour-steel-string")
    roles = [part.role for part in kind.parts]
    edges = [(roles.index(one.role), roles.index(one.ground)) for one in contacts(kind)]
    opened = {roles.index(role) for role in ("top", "binding", "purfling", "fretboard")}
    asked = scheme(np.random.default_rng(5), 12, len(roles), edges, opened)
    _, best = by_trying_all(asked)
    found = propose(asked)
    assert 1 <= len(found) <= 5
    for weight in (WEIGHTS[0], WEIGHTS[-1]):
        most = max(most for (_, asked_weight), most in best.items() if asked_weight == weight)
        assert max(value(one, weight) for one in found) == pytest.approx(most, abs=1e-9)


def test_none_of_them_is_beaten_and_all_keep_to_what_is_allowed():
    asked = scheme(np.random.default_rng(9), 30, 5, GRAPHS[1][1], {0, 1, 2, 3, 4})
    found = propose(asked)
    assert [one.closeness for one in found] == sorted(one.closeness for one in found)
    for one in found:
        assert all(asked.allowed[part, place] for part, place in enumerate(one.materials))
        for other in found:
            better = (
                min(other.legibility, ENOUGH) >= min(one.legibility, ENOUGH)
                and other.harmony >= one.harmony
                and other.closeness <= one.closeness
            )
            assert other is one or not better


def test_it_is_the_same_every_time():
    asked = scheme(np.random.default_rng(2), 40, 4, GRAPHS[2][1], {0, 1, 2})
    assert propose(asked) == propose(asked)


def test_too_much_at_once_is_refused():
    asked = scheme(np.random.default_rng(2), 200, 4, GRAPHS[2][1], {0, 1, 2, 3})
    with pytest.raises(ColourInputError, match="too many parts that touch each other are open"):
        propose(asked)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"labs": np.zeros((2, 3))}, r"labs must be finite, of shape \(12, 3\)"),
        ({"doubts": np.full(12, np.nan)}, r"doubts must be finite, of shape \(12,\)"),
        ({"touches": (Touch(0, 9, 1.0, False),)}, "a touch must name two of 3 parts"),
        ({"allowed": np.zeros((3, 12), dtype=bool)}, "no material is allowed for part 0"),
    ],
)
def test_bad_schemes_are_refused(change, said):
    asked = scheme(np.random.default_rng(1), 12, *GRAPHS[0])
    with pytest.raises(ColourInputError, match=said):
        Scheme(**(vars(asked) | change))
