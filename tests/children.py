"""What processes do that a nursery forks (tests/nursery.py)."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
import socket
import sqlite3
from contextlib import closing
from pathlib import Path

import uvicorn
from pydantic import SecretStr
from uvicorn import _subprocess

from brief.api.app import create_app
from brief.cli import main
from brief.cli.serve import serving
from brief.settings import Settings
from brief.store import backup
from brief.store.desk import Store


def brief(*words: str) -> int:
    """The command, as `python -m brief`."""
    return main(words)


def brief_of_forks(*words: str) -> int:
    """The same; the processes of `brief serve --processes` are forked from this one."""
    _subprocess.spawn = multiprocessing.get_context("fork")
    # One begun anew has no handlers; what reaches a fork before it has its own shall not be lost.
    ends = [signal.SIGTERM, signal.SIGHUP]

    def begin_anew() -> None:
        for number in ends:
            signal.signal(number, signal.SIG_DFL)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, ends)

    os.register_at_fork(
        before=lambda: signal.pthread_sigmask(signal.SIG_BLOCK, ends),
        after_in_parent=lambda: signal.pthread_sigmask(signal.SIG_UNBLOCK, ends),
        after_in_child=begin_anew,
    )
    return main(words)


def brief_laid_out(filed: str, brief_id: str, *words: str) -> int:
    """`brief demo`, which lays out the demo as it was filed before, where filing takes seconds."""

    def laid_out(store: Store, _folder: Path, *, alone: bool) -> str:
        assert alone
        shutil.copytree(Path(filed) / "images", store.home / "images", dirs_exist_ok=True)
        with (
            closing(sqlite3.connect(Path(filed) / "brief.sqlite3")) as before,
            closing(sqlite3.connect(store.home / "brief.sqlite3")) as own,
        ):
            before.backup(own)
        return brief_id

    serving.load_demo = laid_out
    return main(words)


def serve(home: str, port: int) -> None:
    """A home at a port of this computer."""
    app = create_app(Settings(home=Path(home)))
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="critical")


def share(home: str, url: str, one: socket.socket) -> None:
    """A home whose database is on a server, at a socket that others may answer at, too."""
    app = create_app(Settings(home=Path(home), database_url=SecretStr(url)))
    uvicorn.Server(uvicorn.Config(app, log_level="critical")).run(sockets=[one])


def back_up(home: str, folder: str) -> None:
    """Back a home up."""
    backup.back_up(Path(home), Path(folder))
