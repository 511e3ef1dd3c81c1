"""Libraries are muted for as long as any thread is at work in them, and not a moment longer."""

from __future__ import annotations

import threading
import warnings

import pytest

from brief.quiet import quiet

COMPILED = "/usr/lib/python3/site-packages/colormath/color_conversions"


def _warn(module: str) -> None:
    warnings.warn_explicit("odd", UserWarning, "somewhere.py", 1, module=module)


def test_muted_until_the_last_thread_has_left() -> None:
    before = list(warnings.filters)
    inside, first_left = threading.Event(), threading.Event()

    def work() -> None:
        with quiet:
            inside.set()
            first_left.wait(10)
            for module in ("PIL.Image", "pillow_heif", "colour", "colour.plotting", COMPILED):
                _warn(module)

    failed: list[BaseException] = []
    thread = threading.Thread(target=lambda: _kept(work, failed))
    with quiet:
        thread.start()
        inside.wait(10)
    first_left.set()
    thread.join()
    assert failed == []
    assert warnings.filters == before


def _kept(work, failed: list[BaseException]) -> None:
    try:
        work()
    except UserWarning as exc:
        failed.append(exc)


@pytest.mark.parametrize("module", ["brief.colour", "colourful", "numpy"])
def test_nothing_else_is_muted(module: str) -> None:
    with quiet, pytest.warns(UserWarning, match="odd"):
        _warn(module)


def test_what_was_muted_is_said_again_afterwards() -> None:
    with quiet:
        _warn("PIL.Image")
    with pytest.warns(UserWarning, match="odd"):
        _warn("PIL.Image")
