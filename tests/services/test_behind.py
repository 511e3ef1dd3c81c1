"""Work on photographs is done on threads that step back for pages."""

from __future__ import annotations

import os
import sys
import threading

import pytest

from brief.errors import InputError
from brief.services.photos import behind
from brief.services.photos.behind import NICENESS, behind_pages


@pytest.fixture(autouse=True)
def server(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(behind, "_serves_pages", True)


@behind_pages
def where() -> tuple[str, int]:
    """The name of the thread, and its niceness."""
    return threading.current_thread().name, os.getpriority(
        os.PRIO_PROCESS, threading.get_native_id()
    )


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux has a priority for each thread")
def test_it_steps_back_and_whoever_asked_does_not() -> None:
    before = os.getpriority(os.PRIO_PROCESS, threading.get_native_id())
    name, niceness = where()
    assert name.startswith("measuring")
    assert niceness == NICENESS
    assert os.getpriority(os.PRIO_PROCESS, threading.get_native_id()) == before


def test_where_nobody_waits_for_pages_it_is_done_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(behind, "_serves_pages", False)
    assert where()[0] == threading.current_thread().name


def test_what_it_refuses_is_told_to_whoever_asked() -> None:
    @behind_pages
    def refused() -> None:
        raise InputError("that is none")

    with pytest.raises(InputError, match="that is none"):
        refused()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="there is no fork")
def test_a_process_that_was_forked_has_threads_of_its_own() -> None:
    where()
    child = os.fork()
    if child == 0:
        name, _ = where()
        os._exit(0 if name.startswith("measuring") else 1)
    assert os.waitpid(child, 0)[1] == 0
