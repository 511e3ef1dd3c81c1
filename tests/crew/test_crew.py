"""Pieces of work come out the same whoever does them; one that kills its process fails alone."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, wait
from multiprocessing.context import SpawnProcess
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


def test_what_is_begun_after_a_process_ended_is_given_up_not_raised() -> None:
    """So that it is done once more, as those under way then (concurrent.futures: a broken pool
    takes nothing more)."""
    crew = Processes(1)
    assert crew.died(crew.begin(eval, DIES.given).exception())
    assert crew.died(crew.begin(eval, ("1",)).exception())
    crew.rest()
    assert crew.begin(eval, ("1",)).result() == 1
    crew.rest()


@pytest.mark.parametrize("is_there", [False, True], ids=["before", "after"])
def test_one_that_ends_while_another_is_being_begun_does_not_keep_the_crew_waiting(
    monkeypatch, is_there: bool
) -> None:
    """is_there : whether the other one is by then, though nobody has it on a list yet."""
    crew, start = Processes(2), SpawnProcess.start
    assert crew.begin(eval, ("1",)).result() == 1
    dies = crew.begin(eval, (f"__import__('time').sleep(0.5) or {DIES.given[0]}",))

    def slow(process: SpawnProcess) -> None:
        if is_there:
            start(process)
        wait([dies], 3)  # Python 3.12 notices it only once this one has begun
        time.sleep(0.2)
        if not is_there:
            start(process)

    with monkeypatch.context() as patched:
        patched.setattr(SpawnProcess, "start", slow)
        begun = crew.begin(eval, ("__import__('time').sleep(60)",))
    rests = threading.Thread(target=crew.rest, daemon=True)
    rests.start()
    rests.join(30)
    assert not rests.is_alive()
    assert crew.died(begun.exception())
    assert crew.begin(eval, ("1",)).result() == 1
    crew.rest()


def test_what_a_piece_raises_is_raised() -> None:
    with pytest.raises(ZeroDivisionError):
        [*results(Processes(1), eval, [WorkPiece("wrong", ("1 / 0",))])]


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
