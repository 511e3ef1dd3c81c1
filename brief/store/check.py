"""What is wrong with a home, how to mend each thing, and mending what can be mended by itself."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path

from sqlalchemy import text
from sqlalchemy.exc import SQLAlchemyError

from brief.english import capital
from brief.errors import InputError, StoreError
from brief.store.backup import ORIGINALS
from brief.store.carrying import take_copy
from brief.store.databases.copies import DATABASE, MARK, Holding, holding
from brief.store.databases.soundness import Damage, faults_of, reading
from brief.store.desk import Store
from brief.store.files import SHA256, in_words, place_of, sound_bytes
from brief.store.pictures.bucket_images import images_at
from brief.store.pictures.images import ImageStore
from brief.store.pictures.sweep import empty_old, named_anywhere, sweep, unlisted

LITTLE_ROOM = 500 * 10**6
"""Bytes free on the disk below which it is said: some ten photographs. Our figure, no source."""
FROM_A_BACKUP = "Put it back: brief check --repair --from BACKUP; or add the same file again."
RESTORE = "Put a backup back: brief restore BACKUP --home NEW-FOLDER"


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong. kind : "missing", "damaged", "unnamed", "half-written", "lost",
    "room", or that of a `Damage`. about : a picture's SHA-256, or the path of a file. mended :
    whether it is right by now.
    """

    kind: str
    said: str
    mend: str
    about: str = ""
    mended: bool = False


@dataclass
class Report:
    """schema : the version of the tables; None, as briefs and pictures, if the database cannot be
    read. set_aside : how many originals lie aside, in `aside_at`, because no record names them.
    free_bytes : on the disk. bucket : that of the pictures, if they are in one.
    """

    home: str
    schema: str | None
    briefs: int | None
    pictures: int | None
    set_aside: int
    aside_at: str
    free_bytes: int
    bucket: str | None = None
    findings: list[Finding] = field(default_factory=list)

    @property
    def is_clean(self) -> bool:
        """Whether everything that was found is mended."""
        return all(one.mended for one in self.findings)


def check(
    home: Path,
    *,
    repair: bool = False,
    source: Path | None = None,
    url: str | None = None,
    bucket: str | None = None,
) -> Report:
    """Look through the database and every picture of a home; nothing is changed unless asked.

    url : of its database, if that is on a server. bucket : that of its pictures, if they are in
    one; each is fetched from it, whatever copy is here.
    repair : put pictures back from `source`, a backup or another home, from copies, and from what
    was set aside; set aside what no record names; delete what was half written, and what was set
    aside more than a month ago.
    Raises InputError if there is nothing in the home, or no pictures in the source, or another
    home's in the bucket; StoreError if it cannot be read or written.
    """
    images = images_at(home, bucket)
    if url is None and not (home / DATABASE).is_file() and not (home / ORIGINALS).is_dir():
        raise InputError(f"there are no briefs in {home}; name their folder with --home")
    if source is not None and not (source / ORIGINALS).is_dir():
        raise InputError(
            f"there are no pictures in {source}; name a folder that “brief backup” made"
        )
    with in_words(home, full="not everything was looked at or mended; free some space"):
        report = _report(home, url, images, source, repair=repair)
    report.bucket = bucket
    return report


def _report(
    home: Path, url: str | None, images: ImageStore, source: Path | None, *, repair: bool
) -> Report:
    images.ask()
    database = _look_into(home, url)
    if database.held is not None and database.held.home is not None:
        images.must_be_of(database.held.home)
    findings = [Finding(one.kind, _sentence(one.said), RESTORE) for one in database.faults]
    if database.held is not None:
        findings += _of_the_pictures(home, images, database.held, database.named)
    if repair:
        if not database.faults:
            _sweep(home, url, images)
        findings = [_repaired(one, images, source) for one in findings]
    free = shutil.disk_usage(home).free
    if free < LITTLE_ROOM:
        findings.append(
            Finding("room", f"Only {free // 10**6} MB are free on its disk.", "Free some space.")
        )
    held = database.held
    return Report(
        home=str(home),
        schema=database.version,
        briefs=len(held.briefs) if held else None,
        pictures=len(held.pictures) if held else None,
        set_aside=len(images.aside()),
        aside_at=images.aside_at,
        free_bytes=free,
        findings=findings,
    )


@dataclass
class _Database:
    """named : whatever in it could be the name of a picture."""

    faults: list[Damage]
    version: str | None = None
    held: Holding | None = None
    named: set[str] = field(default_factory=set)


def _look_into(home: Path, url: str | None) -> _Database:
    """What a database holds and what is wrong with it, by a copy of it."""
    if url is None and not (home / DATABASE).is_file():
        return _Database([Damage("file", f"there is no {DATABASE}")])
    if url is None and (home / DATABASE).stat().st_size == 0:
        return _Database([Damage("file", "the database is empty (0 bytes)")])
    apart = Path(tempfile.gettempdir())
    full = "nothing was looked at; free some space, or name a folder on another disk in TMPDIR"
    with (
        in_words(apart, full=full),
        tempfile.TemporaryDirectory(dir=apart, prefix="brief-check-") as folder,
    ):
        copy = Path(folder) / DATABASE
        try:
            take_copy(home, url, copy)
            held = holding(copy)
            with reading(copy) as connection:
                version = connection.scalar(text("SELECT version_num FROM alembic_version"))
                named = named_anywhere(connection)
        except (StoreError, SQLAlchemyError) as exc:
            return _Database([Damage("file", str(getattr(exc, "orig", exc)))])
        return _Database(faults_of(copy), version, held, named)


def _of_the_pictures(
    home: Path, images: ImageStore, held: Holding, named: set[str]
) -> Iterator[Finding]:
    for sha256, name in held.pictures.items():
        if not SHA256.fullmatch(sha256):
            continue  # a fault of the database
        if images.kept_bytes(sha256) is None:
            what = "damaged" if images.is_kept(sha256) else "missing"
            yield Finding(what, f"The file of “{name}” is {what}.", FROM_A_BACKUP, sha256)
    alone = list(unlisted(images, named))
    if alone and not held.records:
        yield Finding(
            "lost",
            f"The database is empty, and {len(alone)} pictures are beside it.",
            "If you had briefs here, put a backup back: brief restore BACKUP --home NEW-FOLDER",
        )
    elif not (home / MARK).exists():  # there, earlier copies may name them
        for one in alone:
            yield Finding(
                "unnamed",
                f"No record names the picture {one.sha256[:12]}… ({one.size:,} bytes).",
                "“brief serve” sets it aside a day after; --repair does now.",
                one.sha256,
            )
    for place in images.half_written():
        yield Finding(
            "half-written",
            f"A file was not written to its end: {place.name}.",
            "“brief serve” deletes it; --repair does now.",
            str(place),
        )


def _sweep(home: Path, url: str | None, images: ImageStore) -> None:
    if (home / MARK).exists():
        return
    # Its own pictures are not asked for; they are those that are looked through.
    with closing(Store(home, url)) as store, store.desk(writing=True) as desk:
        sweep(images, desk.connection, older_than_s=0)
    empty_old(images)


def _repaired(found: Finding, images: ImageStore, source: Path | None) -> Finding:
    match found.kind:
        case "missing" | "damaged":
            if images.kept_bytes(found.about) is None:
                data = images.sound_bytes(found.about)  # of a copy
                if data is None and source is not None:
                    data = sound_bytes(place_of(source / ORIGINALS, found.about))
                if data is not None:
                    images.keep(data)
            return replace(found, mended=images.kept_bytes(found.about) is not None)
        case "unnamed":
            return replace(found, mended=not images.is_kept(found.about))
        case "half-written":
            return replace(found, mended=not Path(found.about).exists())
        case _:
            return found


def _sentence(text: str) -> str:
    return capital(text).removesuffix(".") + "."
