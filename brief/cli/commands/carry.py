"""`brief carry`: everything, to a database on a server or back into a folder."""

from __future__ import annotations

from pathlib import Path

from brief.cli.terminal import FOUND, print_json
from brief.english import number_of, words
from brief.errors import InputError
from brief.settings import settings_at
from brief.store.carrying import carry
from brief.store.postgres import PostgresDatabase


def carry_home(home: Path | None, place: str, *, as_json: bool) -> int:
    """Carry a home to that URL or new folder, and say what arrived; 0 if all of it did, otherwise
    1: a picture's file was missing or damaged before.

    Raises InputError, StoreError.
    """
    settings = settings_at(home)
    url = place if "://" in place else None
    if not place.strip():
        raise InputError("name the URL of a database, or a new folder; got an empty text")
    made = carry(settings.home, settings.url, url or Path(place))
    where = str(PostgresDatabase(url)) if url else place
    records = sum(made.rows.values())
    if as_json:
        missing = list(made.missing)
        print_json({"to": where, "rows": made.rows, "pictures": made.pictures, "missing": missing})
    else:
        held = [number_of(records, "record")]
        if not url:
            held.append(number_of(made.pictures, "picture"))
        print(f"{where} holds {words(held)}, each counted and compared with where it came from.")
        if made.missing:
            print(f"Missing or damaged, so left out: {number_of(len(made.missing), 'picture')}.")
        if url:
            print(
                f"The pictures stay in {settings.home.resolve()}. To use the server: set "
                "BRIEF_DATABASE_URL to its URL, and BRIEF_HOME to that folder."
            )
    return FOUND if made.missing else 0
