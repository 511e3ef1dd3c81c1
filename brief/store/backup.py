"""A copy of everything in one folder, taken while the program may be running, and put back.

The copy is itself a home: it can be opened as it lies. Pictures never change under their hash, so
that a further copy into the same folder brings only the new ones, and several copies of the
database share them.
"""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from brief.english import number_of
from brief.errors import InputError, StoreError
from brief.store.backup_folder import IMAGES, alone, holds_anything, part_of
from brief.store.carrying import take_copy
from brief.store.databases.copies import (
    DATABASE,
    MARK,
    Holding,
    copy_in,
    drop_old,
    earlier_copies,
    holding,
    in_one_file,
    put_newest,
    snapshot,
)
from brief.store.databases.soundness import faults_of
from brief.store.files import (
    PART,
    in_words,
    make_folder,
    place_of,
    sound_bytes,
    sync_folder,
    write_whole,
)
from brief.store.pictures.bucket_images import images_at
from brief.store.pictures.images import ImageStore

ORIGINALS = Path(IMAGES) / "originals"
FULL = (
    "nothing was copied and what was there is as it was; free some space, or name a folder on "
    "another disk"
)
MOST_TITLES = 3  # named in one sentence


@dataclass
class Backup:
    """What a copy holds, and what came of making it.

    briefs : on the shelf. pictures : that its database names. copied : pictures that were brought,
    of which `healed` took the place of damaged ones. missing, damaged : those whose files are not
    in it, or are not what was given; their hashes, with their `names`. fewer : by how many the
    briefs on the shelf are fewer than in the copy before. earlier : the copies before it, by day
    and time. faults : what is wrong with the database itself, in words.
    """

    briefs: int
    pictures: int
    copied: int = 0
    healed: int = 0
    missing: list[str] = field(default_factory=list)
    damaged: list[str] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    fewer: int = 0
    earlier: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    @property
    def is_sound(self) -> bool:
        """Whether nothing is at fault, missing or damaged."""
        return not (self.faults or self.missing or self.damaged)


def back_up(
    home: Path, folder: Path, *, url: str | None = None, bucket: str | None = None
) -> Backup:
    """Copy `home` into `folder`, which is made, or holds an earlier copy of this home.

    url : of its database, if that is on a server; the copy of it is a file all the same. bucket :
    that of its pictures, if they are in one; the copies of them are files all the same.
    Every picture that is kept there is checked against its hash, and put right from the home. The
    copy of the database before this one is kept beside it, and the last one without faults however
    many come after it.
    Raises InputError if there is nothing to copy, or the folder holds other things, or the copy of
    another home, or records that this home has lost; StoreError if it cannot be read or written, or
    another backup into the folder is being made. What was in the folder is then there still, and a
    new folder is gone again.
    """
    images = images_at(home, bucket)
    images.ask()
    _check_folders(home, folder, on_server=url is not None)
    with in_words(folder, full=FULL), alone(folder), part_of(folder) as part:
        taken = part / DATABASE
        take_copy(home, url, taken)
        held = holding(taken)
        if held.home is not None:
            images.must_be_of(held.home)
        before = _before(folder, held, home)
        faults = _faults(taken, part)
        (folder / MARK).write_text(
            "A copy of all briefs, made by: brief backup. To put it back: brief restore\n", "utf-8"
        )
        made = _with_pictures(images, folder, held)
        sound = _last_sound(folder, part) if faults else None
        put_newest(folder, taken)
        drop_old(folder, but=sound)
    made.fewer = max(0, len(before.briefs) - made.briefs) if before else 0
    made.faults, made.earlier = faults, earlier_copies(folder)
    return made


def restore(folder: Path, home: Path, *, copy: str | None = None) -> Backup:
    """Put a copy back into `home`, which must be empty or not there yet: nothing is overwritten.

    copy : the day and time of an earlier one, as `Backup.earlier` has it; otherwise the newest.
    The database is read through and brought up to date first. A picture that is missing or damaged
    is named, and the rest put back.
    Raises InputError if this is no copy or the home holds anything; StoreError if the database is
    not sound, or something cannot be read or written. The home is then as it was.
    """
    source = copy_in(folder, copy)
    is_there = home.exists()
    if is_there and (not home.is_dir() or holds_anything(home)):
        raise InputError(
            f"{home} already holds something, and nothing is overwritten; move it away first, or "
            "name another folder with --home"
        )
    # A folder that is there may be a mount point or the current one, and cannot be replaced.
    made_in = (home if is_there else home.parent) / f"{PART}{home.name}"
    with in_words(home, full=FULL):
        try:
            shutil.rmtree(made_in, ignore_errors=True)  # of a restore that was killed
            make_folder(made_in)
            snapshot(source, made_in / DATABASE)
            faults = [one.said for one in faults_of(made_in / DATABASE)]
            if faults:
                raise StoreError(_unsound(folder, copy, faults))
            copied = ImageStore(folder / IMAGES)
            made = _with_pictures(copied, made_in, holding(made_in / DATABASE))
            if is_there:
                _move_in(made_in, home)
            else:
                os.replace(made_in, home)
                sync_folder(home.parent)
        finally:
            shutil.rmtree(made_in, ignore_errors=True)
    return made


def _check_folders(home: Path, folder: Path, *, on_server: bool) -> None:
    database = home / DATABASE
    if on_server:
        home.mkdir(parents=True, exist_ok=True)
    elif not database.is_file():
        raise InputError(f"there are no briefs in {home}, so there is nothing to back up")
    elif database.stat().st_size == 0:
        raise InputError(
            f"the database in {home} is empty (0 bytes), so nothing was backed up and the backup "
            f"is as it was. To get your briefs back: brief restore {folder} --home NEW-FOLDER"
        )
    inside = home.resolve() in (folder.resolve(), *folder.resolve().parents)
    if inside or folder.resolve() in home.resolve().parents:
        raise InputError(f"{folder} and {home} lie in each other; name a folder somewhere else")
    if folder.exists() and not (folder / MARK).is_file() and holds_anything(folder):
        raise InputError(f"{folder} holds other things; name an empty folder, or a new one")


def _before(folder: Path, held: Holding, home: Path) -> Holding | None:
    """What the newest copy in the folder holds. Raises InputError if this one must not replace it.

    One that cannot be read is none: it is kept among the earlier ones all the same.
    """
    if not (folder / DATABASE).exists():
        return None
    in_one_file(folder / DATABASE)
    try:
        before = holding(folder / DATABASE)
    except StoreError:
        return None
    lost = held.lacks(before)
    other = None not in (before.home, held.home) and before.home != held.home
    if not before.records or not (lost or other):
        return before
    whose = "of another home" if other else f"with {len(lost)} records that this home has lost"
    if not held.records:
        whose = "of another home, or of this one before it was emptied"
    raise InputError(
        f"{folder} is a backup {whose}: it holds {_words(before)}, and {home} holds "
        f"{_words(held)}. Nothing was changed. Back this home up into another folder; to get the "
        f"others back: brief restore {folder} --home NEW-FOLDER"
    )


def _words(held: Holding) -> str:
    """ "2 briefs (“Saltmarsh”, “Low water”)"."""
    titles = [f"“{title}”" for title in held.briefs.values()]
    more = ["…"] if len(titles) > MOST_TITLES else []
    count = number_of(len(titles), "brief") if titles else "no briefs"
    return f"{count} ({', '.join(titles[:MOST_TITLES] + more)})" if titles else count


def _faults(taken: Path, part: Path) -> list[str]:
    """What is wrong with a database, by a copy of it."""
    with tempfile.TemporaryDirectory(dir=part, ignore_cleanup_errors=True) as apart:
        looked_into = Path(apart) / DATABASE
        shutil.copyfile(taken, looked_into)
        return [one.said for one in faults_of(looked_into)]


def _last_sound(folder: Path, part: Path) -> str | None:
    """The latest of the earlier copies that has no faults."""
    names = earlier_copies(folder)
    return next((one for one in names if not _faults(copy_in(folder, one), part)), None)


def _unsound(folder: Path, copy: str | None, faults: list[str]) -> str:
    older = [one for one in earlier_copies(folder) if copy is None or one < copy]
    ways = f"try an earlier copy, as in: --copy {older[0]}" if older else "try another backup"
    more = f" and {len(faults) - 1} more" if len(faults) > 1 else ""
    return f"nothing was restored, because {faults[0]}{more}; {ways}"


def _with_pictures(source: ImageStore, target: Path, held: Holding) -> Backup:
    """Bring the pictures of a copy, each checked against its hash, where they are not sound yet."""
    made = Backup(len(held.briefs), len(held.pictures))
    for sha256, name in held.pictures.items():
        new = place_of(target / ORIGINALS, sha256)
        if sound_bytes(new) is not None:
            continue
        data, was_there = source.sound_bytes(sha256), new.exists()
        if data is not None:
            write_whole(new, data)
            made.copied += 1
            made.healed += was_there
        else:
            made.names[sha256] = name
            (made.damaged if was_there or source.holds(sha256) else made.missing).append(sha256)
    return made


def _move_in(made: Path, home: Path) -> None:
    """Move what is whole into an empty folder: the database last, as what makes a home."""
    if holds_anything(home):  # since it was looked
        raise OSError(errno.ENOTEMPTY, os.strerror(errno.ENOTEMPTY))
    for one in sorted(made.iterdir(), key=lambda one: one.name == DATABASE):
        os.replace(one, home / one.name)
    sync_folder(home)
