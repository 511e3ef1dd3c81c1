"""Three processes on one PostgreSQL database, killed at any moment; and a server that goes away
while they write. No write that was acknowledged is lost.

A few moments always, where PostgreSQL is installed; 200 with `-m long`.
"""

from __future__ import annotations

import random
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.killed.test_killed import (
    MOST_DONE,
    Nursery,
    Workshop,
    answers,
    at_work,
    nothing_is_lost,
)
from tests.killed.test_killed import nursery as _nursery
from tests.killed.test_killed import parcels as _parcels
from tests.postgres_server import Server, served

pytestmark = [
    pytest.mark.sqlite,  # it names its databases itself
    pytest.mark.skipif(sys.platform == "win32", reason="forks, and kills by a signal"),
]
nursery, parcels = _nursery, _parcels
PROCESSES = 3
PAUSE_S = 0.3


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    """One that keeps what it acknowledges, even if it is stopped at once."""
    with served(quick=False) as running:
        yield running


@pytest.fixture
def workshop(server: Server, parcels: list[bytes], tmp_path: Path) -> Iterator[Workshop]:
    name = server.database()
    yield Workshop(tmp_path / "home", parcels, seed=17, url=server.url(name))
    server.drop(name)


def opened(nursery: Nursery, workshop: Workshop) -> tuple[int, list[int]]:
    """A port, and the processes that answer there."""
    port = nursery.tell("listen")
    each = [nursery.tell("share", port, str(workshop.home), workshop.url) for _ in range(PROCESSES)]
    answers(port)
    return port, each


def killed(nursery: Nursery, workshop: Workshop, moments: int) -> Counter[str]:
    """Work, kill one after the other, look; until there were so many moments."""
    rng, found = random.Random(moments), Counter[str]()
    while found["kills"] < moments:
        over = threading.Event()
        port, each = opened(nursery, workshop)
        with at_work(workshop, port, rng.randint(0, MOST_DONE), over):
            for place, one in enumerate(each):
                time.sleep(rng.uniform(0, PAUSE_S))
                if place == len(each) - 1:
                    over.set()
                nursery.kill(one)
                found["kills"] += 1
            nursery.tell("shut", port)
        found += nothing_is_lost(workshop)
    return found + workshop.done.counts


def went_away(nursery: Nursery, workshop: Workshop, server: Server, moments: int) -> Counter[str]:
    """Stop the server at once while they write, start it again; they go on by themselves."""
    rng, found = random.Random(moments), Counter[str]()
    port, each = opened(nursery, workshop)
    over = threading.Event()
    with at_work(workshop, port, MOST_DONE, over):
        for _ in range(moments):
            time.sleep(rng.uniform(0, PAUSE_S))
            server.stop()
            found["stops"] += 1
            time.sleep(rng.uniform(0, PAUSE_S))
            server.start()
            before = workshop.done.counts.total()
            patient = time.monotonic() + 60
            while workshop.done.counts.total() < before + 2:
                assert time.monotonic() < patient
                time.sleep(0.01)
        over.set()
        for one in each:
            nursery.kill(one)
        nursery.tell("shut", port)
    return found + nothing_is_lost(workshop) + workshop.done.counts


def test_a_few_kills_of_three_processes(nursery, workshop) -> None:
    assert killed(nursery, workshop, 6)["kills"] == 6


def test_a_server_that_goes_away_while_they_write(nursery, workshop, server) -> None:
    assert went_away(nursery, workshop, server, 3)["stops"] == 3


@pytest.mark.long
def test_200_kills_of_three_processes(nursery, workshop, capsys) -> None:
    found = killed(nursery, workshop, 200)
    with capsys.disabled():
        print(f"\n{dict(found)}")
    assert found["references"] > 100


@pytest.mark.long
def test_a_server_that_goes_away_40_times(nursery, workshop, server, capsys) -> None:
    found = went_away(nursery, workshop, server, 40)
    with capsys.disabled():
        print(f"\n{dict(found)}")
    assert found["references"] > 20
