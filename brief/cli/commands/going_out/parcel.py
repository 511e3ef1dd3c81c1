"""`brief export` and `brief import`: a whole brief as one zip file."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from brief.cli.find_brief import called, opened, say_lost
from brief.cli.terminal import print_json
from brief.errors import InputError
from brief.services import nouns
from brief.services.transfer.zip_files import opened_parcel, write_parcel
from brief.store.files import sync_folder


def export_brief(home: Path | None, wanted: str, out: Path, *, trip: bool, as_json: bool) -> None:
    """Pack up a brief into the file `out`, whole or not at all, and say what it holds.

    wanted : as `called` has it. trip : whether that goes along. Raises InputError if there is no
    such brief, or `out` is there already or cannot be written.
    """
    if out.exists():
        raise InputError(f"{out} is there already; name another file")
    with opened(home) as store, store.desk() as desk, written(out) as file:
        brief_id = called(nouns.briefs.page(desk), wanted).id
        parcel = write_parcel(desk, brief_id, file, trip=trip)
    count = len(parcel.images) - len(parcel.missing)
    if as_json:
        told = {"pictures": count, "missing": parcel.missing_names}
        print_json({"written": str(out), "brief_id": parcel.brief_id, **told})
        return
    print(f"“{parcel.title}” is in {out}, with {count} pictures ({out.stat().st_size:,} bytes).")
    also = "what it costs and its trip" if trip else "what it costs"
    print(f"It holds what is marked private and {also}, too: it is yours, not for guests.")
    say_lost(parcel.missing_names)


def is_zip(path: Path) -> bool:
    """Whether a file is called a zip, or begins as zips do and comments do not (APPNOTE, 4.3)."""
    try:
        with path.open("rb") as file:
            return path.suffix.lower() == ".zip" or file.read(2) == b"PK"
    except OSError as exc:
        raise InputError(f"{path} cannot be opened: {exc.strerror}") from exc


def import_brief(home: Path | None, path: Path, *, as_json: bool) -> None:
    """Bring in what `export_brief` wrote, and say what came of it. Raises InputError, and then
    nothing is changed.
    """
    try:
        source = path.open("rb")
    except OSError as exc:
        raise InputError(f"{path} cannot be opened: {exc.strerror}") from exc
    with (
        source,
        opened_parcel(source) as packed,
        opened(home) as store,
        store.desk(writing=True) as desk,
    ):
        arrival = packed.bring_in(desk)
    if as_json:
        print_json(arrival.model_dump())
    else:
        print(arrival.said)


@contextmanager
def written(out: Path) -> Iterator[BinaryIO]:
    """A file that stands at `out` once it is whole, and on disk."""
    try:
        descriptor, name = tempfile.mkstemp(dir=out.parent, prefix=".part-")
        try:
            with os.fdopen(descriptor, "wb") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            os.replace(name, out)
            sync_folder(out.parent)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as exc:
        raise InputError(f"{out} cannot be written: {exc.strerror}") from exc
