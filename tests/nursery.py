"""A process that has imported the whole program, and forks those that tests need beside their own.

A start of Python with all imports takes seconds; a fork takes none. What a test is about (that the
program starts, how it ends by a signal) is tried on a process of its own all the same.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import io
import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

CHECKOUT = Path(__file__).parent.parent
LOOKS_EVERY_S = 0.01


class Forked:
    """One that was forked, asked as `subprocess.Popen` is."""

    def __init__(self, nursery: Nursery, pid: int, streams: Sequence[io.TextIOWrapper]) -> None:
        self.pid, self._nursery = pid, nursery
        self._looks = threading.Lock()  # a watchdog looks, too, and an end can be seen but once
        self.returncode: int | None = None
        self.stdout, self.stderr = streams or (None, None)

    def poll(self) -> int | None:
        with self._looks:
            if self.returncode is None:
                self.returncode = self._nursery.tell("look", self.pid)
            return self.returncode

    def wait(self, timeout: float | None = None) -> int:
        """How it ended: its exit code, or the signal's number below 0."""
        until = None if timeout is None else time.monotonic() + timeout
        while self.poll() is None:
            if until is not None and time.monotonic() > until:
                raise subprocess.TimeoutExpired(f"process {self.pid}", timeout or 0)
            time.sleep(LOOKS_EVERY_S)
        assert self.returncode is not None
        return self.returncode

    def communicate(self, timeout: float | None = None) -> tuple[str, str]:
        """What it still said; it has ended then, and so has whoever else holds its output."""
        assert self.stdout is not None
        assert self.stderr is not None
        errors: list[str] = []
        reads = threading.Thread(target=lambda: errors.append(self.stderr.read()))
        reads.start()
        said = self.stdout.read()
        reads.join()
        self.wait(timeout)
        return said, errors[0]

    def send_signal(self, number: int) -> None:
        if self.poll() is None:  # until it was looked at its number is nobody else's
            os.kill(self.pid, number)

    def terminate(self) -> None:
        self.send_signal(signal.SIGTERM)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def __enter__(self) -> Forked:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def end(self) -> None:
        """Have it end now, whatever it does; and close its output."""
        self.kill()
        self.wait()
        for stream in (self.stdout, self.stderr):
            if stream is not None:
                stream.close()


class Nursery:
    """The process that the others are forked from."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._line, theirs = socket.socketpair()
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-W", "ignore", "-m", "tests.nursery", str(theirs.fileno())],
                cwd=CHECKOUT,
                pass_fds=[theirs.fileno()],
            )

    def tell(self, kind: str, told: object, fds: Sequence[int] = ()) -> int | None:
        with self._lock:
            socket.send_fds(self._line, [json.dumps([kind, told]).encode() + b"\n"], fds)
            answer, _ = _heard(self._line)
        assert answer, "the nursery has ended"
        number: int | None = json.loads(answer)
        return number

    def fork(
        self,
        does: str,
        *given: object,
        env: Mapping[str, str] | None = None,
        piped: bool = False,
        sockets: Sequence[socket.socket] = (),
    ) -> Forked:
        """A process that does this, a function by its module and name ("tests.x:serve"), and ends.

        It stands in this folder with this environment, and has nothing on its standard input.
        sockets : given to the function, too, behind the others.
        piped : whether what it says is read from `stdout` and `stderr`; else it goes nowhere, and
        what goes wrong to where the errors of the tests go.
        """
        own = {**os.environ, **(env or {})}
        told = {"does": does, "given": given, "env": own, "cwd": str(Path.cwd())}
        with contextlib.ExitStack() as after:

            def opened(path: str, flags: int) -> int:
                fd = os.open(path, flags)
                after.callback(os.close, fd)
                return fd

            streams = []
            fds = [opened(os.devnull, os.O_RDONLY)]
            if piped:
                for _ in range(2):
                    reads, writes = os.pipe()
                    after.callback(os.close, writes)
                    fds.append(writes)
                    streams.append(open(reads, encoding="utf-8"))  # noqa: SIM115
            else:
                fds += [opened(os.devnull, os.O_WRONLY), 2]
            fds += [one.fileno() for one in sockets]
            pid = self.tell("fork", told, fds)
        assert pid is not None
        return Forked(self, pid, streams)

    def __enter__(self) -> Nursery:
        return self

    def __exit__(self, *_: object) -> None:
        self._line.close()
        self._process.wait()


def _heard(line: socket.socket) -> tuple[bytes, list[int]]:
    """The next line that was told, and what came with it; nothing where nobody is there."""
    data, fds = b"", []
    while not data.endswith(b"\n"):
        some, more, _, _ = socket.recv_fds(line, 1 << 16, 16)
        if not some:
            return b"", []
        data += some
        fds += more
    return data, fds


def _forks(line: socket.socket) -> None:
    """Fork whom it is told to, until nobody is at the other end any more."""
    living: set[int] = set()
    while True:
        data, fds = _heard(line)
        if not data:
            for pid in living:  # of a test that failed
                os.kill(pid, signal.SIGKILL)
            return
        kind, told = json.loads(data)
        answer: int | None
        if kind == "fork":
            answer = os.fork()
            if answer == 0:
                line.close()
                _begins(told, fds)
            living.add(answer)
            for fd in fds:
                os.close(fd)
        else:
            pid, status = os.waitpid(told, os.WNOHANG)
            answer = os.waitstatus_to_exitcode(status) if pid else None
            living.discard(pid)
        line.sendall(json.dumps(answer).encode() + b"\n")


def _begins(told: dict[str, Any], fds: list[int]) -> None:
    """Become a process that is as one just started, do what is to be done, and end."""
    code = 1
    try:
        for number in range(3):
            os.dup2(fds[number], number)
            os.close(fds[number])
        os.environ.clear()
        os.environ.update(told["env"])
        os.chdir(told["cwd"])
        signal.signal(signal.SIGINT, signal.default_int_handler)
        tempfile.tempdir = None  # which remembers the TMPDIR of the first who asked
        encoding, _, errors = os.environ.get("PYTHONIOENCODING", "utf-8").partition(":")
        sys.stdin = open(0)  # noqa: SIM115
        sys.stdout = open(1, "w", encoding=encoding, errors=errors or None)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding=encoding, errors="backslashreplace", buffering=1)  # noqa: SIM115
        module, _, name = told["does"].partition(":")
        sockets = [socket.socket(fileno=fd) for fd in fds[3:]]
        code = getattr(importlib.import_module(module), name)(*told["given"], *sockets) or 0
        sys.stdout.flush()
    except BaseException:
        traceback.print_exc()
    os._exit(code)


def main() -> None:
    """Import what would be imported by the first start and by the first request, and fork."""
    importlib.import_module("tests.children")
    import uvicorn

    from brief.api.app import create_app
    from brief.settings import Settings

    with tempfile.TemporaryDirectory() as home:
        app = create_app(Settings(home=Path(home)))
        app.openapi()
        uvicorn.Config(app, ws="none").load()
        app.state.store.close()
    del app
    gc.collect()
    gc.freeze()  # what all of them share is not looked through by each
    assert threading.active_count() == 1  # a fork has none of the others, but what they hold
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started it ends it
    with socket.socket(fileno=int(sys.argv[1])) as line:
        _forks(line)
    os._exit(0)  # there is nothing to be tidied up


if __name__ == "__main__":
    main()
