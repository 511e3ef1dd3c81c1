"""The demo in a home of its own, and how long something takes at least."""

import time
from collections.abc import Callable

import pytest

from brief.places import demo_folder
from brief.services.demo import load_demo
from brief.store.desk import Store

ROUNDS = 5


@pytest.fixture(scope="module")
def demo_home(tmp_path_factory):
    home = tmp_path_factory.mktemp("demo")
    store = Store(home)
    load_demo(store, demo_folder())
    store.close()
    return home


@pytest.fixture(scope="session")
def least():
    """`least(run, before)`: the least seconds of a few runs, by the processor and by the clock."""

    def measured(run: Callable[[], object], before: Callable[[], object] = lambda: None):
        processor, clock = [], []
        for _ in range(ROUNDS):
            before()
            start = time.process_time(), time.perf_counter()
            run()
            processor.append(time.process_time() - start[0])
            clock.append(time.perf_counter() - start[1])
        return min(processor), min(clock)

    return measured
