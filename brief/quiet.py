"""Muting what libraries warn of, for all threads of the process together."""

from __future__ import annotations

import threading
import warnings

# Modules whose warnings are of no use to a maker: odd files, what is not installed, and old escapes
# (of which Python warns by the file that it compiles, not by the module's name).
MUTED = r"PIL\.|pillow_heif|colour(\.|$)|.*[\\/]colormath[\\/]"


class _Quiet:
    """Mutes warnings from inside these libraries while at least one thread is in it.

    `warnings.catch_warnings` alone would, when two threads overlap, put back the wrong filters.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._inside = 0
        self._caught = warnings.catch_warnings()

    def __enter__(self) -> None:
        with self._lock:
            if self._inside == 0:
                self._caught = warnings.catch_warnings()
                self._caught.__enter__()
                warnings.filterwarnings("ignore", module=MUTED)
            self._inside += 1

    def __exit__(self, *exc_info: object) -> None:
        with self._lock:
            self._inside -= 1
            if self._inside == 0:
                self._caught.__exit__(None, None, None)


quiet = _Quiet()
