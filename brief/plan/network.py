"""Stages and what must come before them: in which order, the longest way, and the slack beside it.

The critical path method (Kelley and Walker 1959), on networkx: a stage is a node, and what must
come before it an edge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.english import words
from brief.errors import InputError

After = Mapping[str, Sequence[str]]  # by stage: what must come before it


@dataclass(frozen=True)
class Critical:
    """earliest, latest : when each stage can begin at the earliest and must at the latest, for
    all to end at `length`. path : the longest way, in its order.
    """

    earliest: Mapping[str, float]
    latest: Mapping[str, float]
    path: Sequence[str]
    length: float

    def slack(self, stage: str) -> float:
        """By how much it can be late without making all of it late."""
        return self.latest[stage] - self.earliest[stage]


def in_order(after: After, names: Mapping[str, str] | None = None) -> list[str]:
    """The stages, each behind all that must come before it; otherwise in the order given.

    names : how an error calls them. Raises InputError for a circle, and names it.
    """
    import networkx as nx

    graph = nx.DiGraph()
    graph.add_nodes_from(after)
    graph.add_edges_from((first, then) for then, those in after.items() for first in those)
    try:
        place = {stage: at for at, stage in enumerate(after)}
        return list(nx.lexicographical_topological_sort(graph, key=place.__getitem__))
    except nx.NetworkXUnfeasible:
        circle = [first for first, _ in nx.find_cycle(graph)]
        called = [f"“{(names or {}).get(stage, stage)}”" for stage in circle]
        told = f"{called[0]} waits for itself" if len(called) == 1 else _round(called)
        raise InputError(f"{told}. Take out one of what comes before.") from None


def _round(called: Sequence[str]) -> str:
    return f"{words(called)} wait for one another in a circle"


def critical(spans: Mapping[str, float], after: After) -> Critical:
    """The critical path of stages that need `spans`, each 0 or more, with as many hands as wanted.

    Raises InputError for a circle.
    """
    order = in_order(after)
    earliest: dict[str, float] = {}
    by: dict[str, str | None] = {}  # what each of them waits for longest
    for stage in order:
        by[stage] = max(after[stage], key=lambda one: earliest[one] + spans[one], default=None)
        last = by[stage]
        earliest[stage] = 0.0 if last is None else earliest[last] + spans[last]
    length = max((earliest[one] + spans[one] for one in order), default=0.0)
    ends = dict.fromkeys(order, length)
    for stage in reversed(order):
        for first in after[stage]:
            ends[first] = min(ends[first], ends[stage] - spans[stage])
    latest = {stage: ends[stage] - spans[stage] for stage in order}
    at = max(order, key=lambda one: earliest[one] + spans[one], default=None)
    path: list[str] = []
    while at is not None:
        path.append(at)
        at = by[at]
    return Critical(earliest, latest, path[::-1], length)
