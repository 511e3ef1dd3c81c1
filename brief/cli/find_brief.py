"""A maker's own briefs, as a command finds them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from brief.errors import InputError, quoted
from brief.settings import settings_at
from brief.store.desk import Store
from brief.store.records import Brief


@contextmanager
def opened(home: Path | None) -> Iterator[Store]:
    """What lies in `home`, or where the settings say. Raises StoreError if it cannot be opened."""
    settings = settings_at(home)
    with closing(Store(settings.home, settings.url, settings.bucket)) as store:
        yield store


def say_lost(names: Iterable[str]) -> None:
    """Say which pictures a file was made without, because theirs are missing or damaged."""
    lost = [f"“{name}”" for name in names]
    if lost:
        print(f"Made without pictures that are missing or damaged: {', '.join(lost)}.")
        print("Put them back from a backup: brief check --repair --from BACKUP")


def called(briefs: Sequence[Brief], wanted: str) -> Brief:
    """The brief with that id or title, or a title that begins so; InputError unless it is one."""
    named = [one for one in briefs if wanted in (one.id, one.title)] or [
        one for one in briefs if one.title.casefold().startswith(wanted.casefold())
    ]
    if len(named) == 1:
        return named[0]
    what = "several briefs are" if named else "no brief is"
    known = "; ".join(one.title for one in (named or briefs))
    has = f"you have: {known}" if known else "you have none yet"
    raise InputError(f"{what} called {quoted(wanted)}; {has}")
