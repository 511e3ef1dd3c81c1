"""One thread for the numeric libraries, where several only cost time or change the last digits."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

# The number of threads is a setting of the whole process, so only one at a time may change it.
_lock = threading.RLock()


@contextmanager
def one_thread() -> Iterator[None]:
    """Have the numeric libraries use one thread within this context.

    Several add up in whichever order they finish, and the last digits show it; and on arrays as
    small as those of a photograph they wait for each other at full load longer than they work.
    """
    from threadpoolctl import threadpool_limits

    with _lock, threadpool_limits(1):
        yield
