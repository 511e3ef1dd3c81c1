"""A Dask scheduler and its workers on loopback, for tests."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path

CHECKOUT = Path(__file__).parent.parent
PATIENCE_S = 60


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


class Site:
    """A scheduler and its workers, as processes that are started as Dask's manual has it."""

    def __init__(self, scheme: str, words: Sequence[str] = ()) -> None:
        self.address = f"{scheme}://127.0.0.1:{free_port()}"
        self._words, self._ended = words, ExitStack()
        self.scheduler: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Site:
        return self

    def __exit__(self, *_: object) -> None:
        self._ended.close()

    def start(self, *, workers: int = 2, **env: str) -> Site:
        port = self.address.rpartition(":")[2]
        host = ["--host", self.address.rpartition(":")[0]]
        self.scheduler = self._run("scheduler", *host, "--port", port, **env)
        for _ in range(workers):
            self.worker(**env)
        return self

    def worker(self, **env: str) -> subprocess.Popen[bytes]:
        words = ("--nthreads", "1", "--nworkers", "1", "--local-directory", tempfile.gettempdir())
        return self._run("worker", self.address, *words, **env)

    def _run(self, what: str, *words: str, **env: str) -> subprocess.Popen[bytes]:
        process = subprocess.Popen(
            [sys.executable, "-m", "dask", what, *words, *self._words, "--no-dashboard"],
            env={**os.environ, "PYTHONPATH": str(CHECKOUT), **env},
            cwd=tempfile.gettempdir(),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

        def end() -> None:
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()

        self._ended.callback(end)
        return process

    def wait_for(self, workers: int) -> None:
        """Until so many are there; asked of the scheduler, as any client does."""
        from distributed import Client, Security

        security = Security(require_encryption=self.address.startswith("tls"))
        with Client(self.address, security=security, timeout=PATIENCE_S) as client:
            client.wait_for_workers(workers, timeout=PATIENCE_S)
