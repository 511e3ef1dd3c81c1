"""Pieces of work come out the same whoever does them; one that kills its process fails alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from multiprocessing import active_children
from typing import Any

import pytest

from brief.crew.crew import WorkDone, WorkPiece, results
from brief.crew.processes import Processes

DIES = WorkPiece("dies", ("__import__('os')._exit(3)",))
# NumPy, NEP 19: the stream of a seed sequence is the same everywhere.
DRAWN = "__import__('numpy').random.default_rng(({number}, 7)).normal(size=50).sum().hex()"


def sums(count: int) -> list[WorkPiece]:
    return [WorkPiece(str(number), (DRAWN.format(number=number),)) for number in range(count)]


def test_the_same_comes_of_each_piece_as_without_a_crew() -> None:
    by_hand = {piece.name: eval(*piece.given) for piece in sums(12)}
    done = {one.name: one.result for one in results(Processes(2), eval, sums(12))}
    assert done == by_hand


def test_what_is_done_already_is_passed_on_in_its_turn() -> None:
    given = [WorkDone("a", 1), *sums(2), WorkDone("b", 2)]
    done = [*results(Processes(1), eval, given)]
    assert {one.name for one in done} == {"a", "0", "1", "b"}
    assert done[0] == WorkDone("a", 1)
    assert [*results(Processes(1), eval, [])] == []


def test_none_is_left_out_where_all_under_way_are_done_at_once() -> None:
    class AtOnce(Processes):
        def begin(self, does: Callable[..., Any], given: tuple[Any, ...]) -> Future[Any]:
            future: Future[Any] = Future()
            future.set_result(does(*given))
            return future

    assert len([*results(AtOnce(2), eval, sums(9))]) == 9


def test_one_that_kills_its_process_fails_alone() -> None:
    pieces = sums(6)
    given = [*pieces[:2], DIES, *pieces[2:4], WorkPiece("dies, too", DIES.given), *pieces[4:]]
    done = {one.name: one for one in results(Processes(2), eval, given)}
    assert {name for name, one in done.items() if one.died} == {"dies", "dies, too"}
    assert len(done) == 8
    assert all(done[piece.name].result == eval(*piece.given) for piece in pieces)


def test_what_is_begun_after_a_process_ended_is_done_by_another() -> None:
    crew = Processes(1)
    assert crew.died(crew.begin(eval, DIES.given).exception())
    assert crew.begin(eval, ("1",)).result() == 1
    crew.rest()
    assert crew.begin(eval, ("1",)).result() == 1
    crew.rest()


def test_one_that_ends_with_large_pieces_on_their_way_keeps_nobody_waiting() -> None:
    """More than a pipe holds, so that the next is still being sent to it."""
    large = "x" * 4_000_000
    pieces = [WorkPiece(str(number), (f"len('{large}')",)) for number in range(5)]
    given = [
        *pieces[:2],
        DIES,
        *pieces[2:],
        WorkPiece("dies, too", (f"{DIES.given[0]} or '{large}'",)),
    ]
    done = {one.name: one for one in results(Processes(2), eval, given)}
    assert {name for name, one in done.items() if one.died} == {"dies", "dies, too"}
    assert all(done[piece.name].result == len(large) for piece in pieces)


def test_one_that_is_ended_from_outside_is_noticed_at_once() -> None:
    before, crew = active_children(), Processes(2)
    waits = crew.begin(eval, ("__import__('time').sleep(600)",))
    other = crew.begin(eval, ("__import__('os').getpid()",)).result()
    (asked,) = (one for one in active_children() if one not in before and one.pid != other)
    asked.kill()
    assert crew.died(waits.exception(timeout=30))
    crew.rest()
    assert set(active_children()) <= set(before)


def test_what_a_piece_raises_is_raised() -> None:
    with pytest.raises(ZeroDivisionError) as raised:
        [*results(Processes(1), eval, [WorkPiece("wrong", ("1 / 0",))])]
    assert "does(*given)" in raised.value.__notes__[0]  # where it came about, over there


def test_what_cannot_be_sent_there_or_back_is_raised() -> None:
    crew = Processes(1)
    with pytest.raises(Exception, match="lambda"):
        crew.begin(eval, ("lambda: 1",)).result()
    with pytest.raises(Exception, match="lambda"):
        crew.begin(len, (lambda: 1,)).result()
    assert crew.begin(eval, ("1",)).result() == 1
    crew.rest()


def test_pieces_are_asked_for_only_as_they_are_handed_out() -> None:
    asked: list[int] = []

    def many() -> Iterator[WorkPiece]:
        for number in range(1000):
            asked.append(number)
            yield WorkPiece(str(number), ("1",))

    coming = results(Processes(1), eval, many())
    next(coming)
    assert len(asked) == 2  # one is done, and one waits, so that nobody waits for it
    coming.close()
    assert len(asked) == 2
