"""Three processes on one PostgreSQL database, killed at any moment; and a server that goes away
while they write. No write that was acknowledged is lost.

A few moments always, where PostgreSQL is installed; 200 with `-m long`.
"""

from __future__ import annotations

import os
import random
import socket
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.killed.test_killed import (
    MOST_DONE,
    Workshop,
    answers,
    at_work,
    nothing_is_lost,
)
from tests.killed.test_killed import parcels as _parcels
from tests.nursery import Forked, Nursery
from tests.postgres_server import Server, served

pytestmark = [
    pytest.mark.slow,
    pytest.mark.sqlite,  # it names its databases itself
    pytest.mark.skipif(not hasattr(os, "fork"), reason="forks, and kills by a signal"),
]
parcels = _parcels
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


def opened(nursery: Nursery, workshop: Workshop) -> tuple[socket.socket, list[Forked]]:
    """Where they listen, and the processes that answer there."""
    one = socket.create_server(("127.0.0.1", 0), backlog=64)
    given = str(workshop.home), workshop.url
    each = [nursery.fork("tests.children:share", *given, sockets=[one]) for _ in range(PROCESSES)]
    answers(one.getsockname()[1])
    return one, each


@contextmanager
def ended(listens: socket.socket, each: list[Forked], over: threading.Event) -> Iterator[None]:
    """At the end, whatever it was, nobody answers there any more and nobody asks."""
    try:
        yield
    finally:
        over.set()
        for one in each:
            one.end()
        listens.close()  # turns away whoever waits there


def killed(nursery: Nursery, workshop: Workshop, moments: int) -> Counter[str]:
    """Work, kill one after the other, look; until there were so many moments."""
    rng, found = random.Random(moments), Counter[str]()
    while found["kills"] < moments:
        over = threading.Event()
        listens, each = opened(nursery, workshop)
        port, until = listens.getsockname()[1], rng.randint(0, MOST_DONE)
        with at_work(workshop, port, until, over), ended(listens, each, over):
            for place, one in enumerate(each):
                time.sleep(rng.uniform(0, PAUSE_S))
                if place == len(each) - 1:
                    over.set()
                one.end()
                found["kills"] += 1
        found += nothing_is_lost(workshop)
    return found + workshop.done.counts


def went_away(nursery: Nursery, workshop: Workshop, server: Server, moments: int) -> Counter[str]:
    """Stop the server at once while they write, start it again; they go on by themselves."""
    rng, found = random.Random(moments), Counter[str]()
    listens, each = opened(nursery, workshop)
    over = threading.Event()
    port = listens.getsockname()[1]
    with at_work(workshop, port, MOST_DONE, over), ended(listens, each, over):
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
