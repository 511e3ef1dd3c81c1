"""Measuring a photograph in a server steps back for whoever waits for a page.

A photograph of 12 megapixels is half a second of arithmetic. With both cores at it, pages of two
processes came six times as late as from an idle server; measured behind them, under three times,
and 210 photographs a minute, not 229 (`tests/benchmarks/test_mixed_load.py`).
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache, wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

NICENESS = 15  # of 19: the kernel gives it a thirtieth of what a page gets (sched(7), weights)


_serves_pages = False


def pages_come_first() -> None:
    """Say that this process answers others, at its start."""
    global _serves_pages
    _serves_pages = True


def behind_pages(work: Callable[P, T]) -> Callable[P, T]:
    """Have a function run, in a server, on a thread of its own at a low priority; one after the
    other, as numeric libraries are held to one thread meanwhile. Whoever calls waits for it.
    """

    @wraps(work)
    def waited_for(*args: P.args, **given: P.kwargs) -> T:
        if not _serves_pages:
            return work(*args, **given)
        return _thread(os.getpid()).submit(work, *args, **given).result()

    return waited_for


@cache
def _thread(_process: int) -> ThreadPoolExecutor:
    """That of this process; one that was forked has none of its parent's."""
    return ThreadPoolExecutor(1, thread_name_prefix="measuring", initializer=_step_back)


def _step_back() -> None:
    # Elsewhere a priority is that of a whole process (setpriority(2), notes).
    if sys.platform == "linux":
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), NICENESS)
