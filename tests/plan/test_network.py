import random
from itertools import pairwise

import networkx as nx
import pytest

from brief.errors import InputError
from brief.plan.network import critical, in_order

# Two networks that were published with their answers. Three estimates of each stage; what must
# come before it. The first: wizedu.com, question 717873; the second: flylib.com, 3.287.1.117.
FIRST = {
    "A": ((5, 5, 7), ""),
    "B": ((1, 2, 5), ""),
    "C": ((5, 5, 5), "A"),
    "D": ((4, 8, 13), "A"),
    "E": ((1, 10, 17), "BC"),
    "F": ((1, 5, 7), "D"),
    "G": ((2, 6, 9), "D"),
    "H": ((4, 4, 6), "EF"),
    "I": ((2, 7, 10), "GH"),
    "J": ((2, 4, 7), "I"),
    "K": ((6, 10, 13), "I"),
    "L": ((2, 6, 6), "J"),
    "M": ((2, 2, 3), "K"),
    "N": ((7, 7, 12), "LM"),
}
AFTER = {name: tuple(before) for name, (_, before) in FIRST.items()}
SPANS = {name: (a + 4 * m + b) / 6 for name, ((a, m, b), _) in FIRST.items()}


def test_the_first_published_network_has_its_published_path_length_and_slack():
    found = critical(SPANS, AFTER)
    assert "".join(found.path) == "ACEHIKMN"
    assert found.length == pytest.approx(50.83, abs=0.005)
    assert found.slack("B") == pytest.approx(8, abs=0.005)
    for name in "DF":
        assert found.slack(name) == pytest.approx(1.83, abs=0.005)
    assert all(found.slack(name) == pytest.approx(0) for name in found.path)


def test_the_second_published_network_is_one_chain_of_24():
    estimates = [(5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5)]
    spans = {str(at): (a + 4 * m + b) / 6 for at, (a, m, b) in enumerate(estimates)}
    after = {str(at): (str(at - 1),) if at else () for at in range(len(estimates))}
    assert critical(spans, after).length == pytest.approx(24)


def _random_plan(seed: int) -> tuple[dict[str, float], dict[str, tuple[str, ...]]]:
    chance = random.Random(seed)
    names = [f"s{at}" for at in range(chance.randint(1, 40))]
    after = {
        name: tuple(one for one in names[:at] if chance.random() < 2 / (at + 1))
        for at, name in enumerate(names)
    }
    given = list(names)
    chance.shuffle(given)  # so that the order that they come in says nothing
    return (
        {name: float(chance.randint(0, 30)) for name in names},
        {name: after[name] for name in given},
    )


def test_five_hundred_random_plans_are_as_long_as_networkx_says():
    for seed in range(500):
        spans, after = _random_plan(seed)
        graph = nx.DiGraph()
        for name, before in after.items():
            graph.add_edge(("begin", name), ("end", name), weight=spans[name])
            for one in before:
                graph.add_edge(("end", one), ("begin", name), weight=0)
        found = critical(spans, after)
        assert found.length == nx.dag_longest_path_length(graph)
        assert sum(spans[name] for name in found.path) == found.length
        assert all(one in after[then] for one, then in pairwise(found.path))
        for name in random.Random(seed).sample(
            list(spans), min(2, len(spans))
        ):  # what is late by its slack makes nothing late; by more, all of it
            slack = found.slack(name)
            assert critical(spans | {name: spans[name] + slack}, after).length == found.length
            assert critical(spans | {name: spans[name] + slack + 1}, after).length > found.length


def test_stages_that_may_come_in_any_order_keep_that_they_were_given_in():
    assert in_order({"b": (), "a": (), "c": ("a",)}) == ["b", "a", "c"]


def test_a_circle_is_named_by_its_stages():
    names = {"x": "Glue the top", "y": "Bend the sides", "z": "Lacquer"}
    with pytest.raises(
        InputError, match="“Glue the top” and “Bend the sides” wait for one another"
    ):
        in_order({"x": ("y",), "y": ("x",), "z": ("x",)}, names)
    with pytest.raises(InputError, match="“Lacquer” waits for itself"):
        in_order({"z": ("z",)}, names)


def test_no_stages_take_no_time():
    assert critical({}, {}).length == 0
