"""Several processes that answer at the same sockets, and one above them that keeps them there."""

from __future__ import annotations

import multiprocessing
import signal
import sys
import threading

import uvicorn
from fastapi import FastAPI
from uvicorn.supervisors import Multiprocess

from brief.api.app import create_app
from brief.api.watch import log_as_json
from brief.cli.serve.listening import Listener
from brief.errors import BriefError
from brief.services.photos.behind import pages_come_first
from brief.settings import Settings

HANGS_AFTER_S = 60  # silent; a first start compiles all that it imports


class Several(Multiprocess):
    """One that is killed, or no longer answers, is begun anew; Ctrl+C ends all of them."""

    def __init__(self, config: uvicorn.Config, listener: Listener) -> None:
        super().__init__(config, listener.sockets)
        self._at_a_terminal = sys.stdin is not None and sys.stdin.isatty()

    def handle_hup(self) -> None:
        """A terminal that is closed ends it, as it ends one process. Where there is none, each
        process is begun anew, one after the other: so a new version is taken up.
        """
        if self._at_a_terminal:
            self.handle_term()
        else:
            super().handle_hup()


def one_of_several(settings: Settings) -> FastAPI:
    """The app of one process. It ends with the one above it, even if that was killed.

    Exits where the store cannot be opened; it is then tried again, as a database that is being
    started again comes back.
    """
    pages_come_first()
    if settings.log:
        log_as_json()
    above = multiprocessing.parent_process()
    if above is not None:

        def outlive() -> None:
            above.join()
            signal.raise_signal(signal.SIGTERM)

        threading.Thread(target=outlive, daemon=True).start()
    try:
        return create_app(settings)
    except BriefError as exc:
        print(exc, file=sys.stderr, flush=True)
        sys.exit(1)
