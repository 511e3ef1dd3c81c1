"""`brief carry`: to a database on a server, to a bucket, or back into a folder."""

from __future__ import annotations

from pathlib import Path

from brief.cli.terminal import FOUND, print_json
from brief.english import number_of, words
from brief.errors import InputError
from brief.settings import settings_at
from brief.store.carrying import Carried, carry
from brief.store.databases.postgres import PostgresDatabase
from brief.store.pictures.bucket import Bucket, is_bucket
from brief.store.workshops import HomePlace


def carry_home(home: Path | None, place: str, *, as_json: bool) -> int:
    """Carry a home, or its pictures, to that URL or new folder, and say what arrived; 0 if all of
    it did, otherwise 1: a picture's file was missing or damaged before.

    Raises InputError, StoreError.
    """
    settings = settings_at(home)
    if not place.strip():
        raise InputError("name the URL of a database or of a bucket, or a new folder; got no text")
    is_url = "://" in place
    to_bucket = is_bucket(place)
    place_of_home = settings.home.resolve()
    pictures = Bucket(settings.bucket) if settings.bucket else place_of_home
    source = HomePlace(settings.home, settings.url, settings.bucket)
    made = carry(source.home, source.url, place if is_url else Path(place), bucket=source.bucket)
    for one in source.workshops():
        made = _together(made, _carried(source.workshop(one), _place_for(one, place)))
    where = place
    if is_url:
        where = str(Bucket(place) if to_bucket else PostgresDatabase(place))
    if as_json:
        missing = list(made.missing)
        print_json({"to": where, "rows": made.rows, "pictures": made.pictures, "missing": missing})
        return FOUND if made.missing else 0
    held = [number_of(sum(made.rows.values()), "record")] if made.rows else []
    if to_bucket or not is_url:
        held.append(number_of(made.pictures, "picture"))
    print(f"{where} holds {words(held)}, each counted and compared with where it came from.")
    if made.missing:
        print(f"Missing or damaged, so left out: {number_of(len(made.missing), 'picture')}.")
    if to_bucket:
        print(
            f"What is in {place_of_home} stays as it is. To use the bucket: set "
            f"BRIEF_IMAGES_URL to {where}; its images/originals may go once a backup is made."
        )
    elif is_url:
        print(
            f"The pictures stay in {pictures}. To use the server: set BRIEF_DATABASE_URL to its "
            f"URL, and BRIEF_HOME to {place_of_home if settings.bucket else 'that folder'}."
        )
    return FOUND if made.missing else 0


def _place_for(workshop_id: str, place: str) -> str | Path:
    """Where a workshop belongs beside the home that is carried to `place`."""
    if is_bucket(place):
        return HomePlace(Path(), bucket=place).workshop(workshop_id).bucket or ""
    if "://" in place:
        return HomePlace(Path(), place).workshop(workshop_id).url or ""
    return HomePlace(Path(place)).workshop(workshop_id).home


def _carried(its: HomePlace, target: str | Path) -> Carried:
    if isinstance(target, str) and not is_bucket(target):
        PostgresDatabase(target).make_schema()
    return carry(its.home, its.url, target, bucket=its.bucket)


def _together(one: Carried, other: Carried) -> Carried:
    rows = {
        table: one.rows.get(table, 0) + other.rows.get(table, 0)
        for table in {**one.rows, **other.rows}
    }
    return Carried(rows, one.pictures + other.pictures, (*one.missing, *other.missing))
