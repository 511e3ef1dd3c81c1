"""What many tests begin with is made for the first of them and laid out again for the others."""

from __future__ import annotations

import copy
import inspect
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from brief.store.databases.copies import DATABASE

Filled = dict[tuple[str, ...], tuple[Any, Path]]  # by what was made one after the other


class Once:
    """A home, and what was made in it since it was empty, as long as nothing else was."""

    def __init__(self, home: Path, filled: Filled, folder: Callable[[], Path]) -> None:
        self.home, self.filled, self.folder = home, filled, folder
        self.steps: tuple[str, ...] | None = ()
        self.database = sqlite3.connect(home / DATABASE)
        self.database.execute("PRAGMA synchronous=OFF")
        self.seen = self._version()

    def __call__(self, name: str, make: Callable[[], Any]) -> Any:
        """What `make` answers, the home as it leaves it."""
        if self.steps is None or self._version() != self.seen:
            self.steps = None  # something was written that no step tells of
            return make()
        steps = (*self.steps, name)
        if steps in self.filled:
            answer, folder = self.filled[steps]
            self._lay_out(folder)
        else:
            answer = make()
            self.filled[steps] = answer, self._take_away()
        self.steps, self.seen = steps, self._version()
        return copy.deepcopy(answer)

    def _version(self) -> int:
        """Another number after every transaction of another connection (SQLite, PRAGMA)."""
        return self.database.execute("PRAGMA data_version").fetchone()[0]

    def _take_away(self) -> Path:
        folder = self.folder()
        with closing(sqlite3.connect(folder / DATABASE)) as target:
            self.database.backup(target)
        _copy_images(self.home, folder)
        return folder

    def _lay_out(self, folder: Path) -> None:
        with closing(sqlite3.connect(folder / DATABASE)) as source:
            source.backup(self.database)
        _copy_images(folder, self.home)


def _copy_images(of: Path, to: Path) -> None:
    """Copied, not linked: tests damage files."""
    if (of / "images").is_dir():
        shutil.copytree(of / "images", to / "images", dirs_exist_ok=True)


def fixture_once(make: Callable[..., Any]) -> Any:
    """A fixture whose answer can be copied, and which changes nothing but the home."""
    asked = inspect.signature(make)
    once = inspect.Parameter("once", inspect.Parameter.KEYWORD_ONLY)

    def fixture(*, once: Once, **given: Any) -> Any:
        return once(f"{make.__module__}.{make.__name__}", lambda: make(**given))

    fixture.__name__, fixture.__doc__, fixture.__module__ = (
        make.__name__,
        make.__doc__,
        make.__module__,
    )
    fixture.__signature__ = asked.replace(parameters=[*asked.parameters.values(), once])
    return pytest.fixture(fixture)
