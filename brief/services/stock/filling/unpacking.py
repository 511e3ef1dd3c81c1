"""The photographs in somebody else's zip, unpacked a few at a time and none out of its folder."""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import IO

from brief.errors import InputError
from brief.photo import MAX_BYTES

ZIP = b"PK\3\4"  # how one begins (APPNOTE 4.3.7)
MOST_MEMBERS = 200_000
AT_ONCE = 2**20  # bytes
_ENCRYPTED = 1  # a bit of its flags (APPNOTE 4.4.4)
# Of the others zipfile unpacks all that it has read at once, which can be thousands of times that.
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


def members_of(file: IO[bytes]) -> tuple[dict[str, zipfile.ZipInfo], dict[str, str]]:
    """The files in a zip by their path in it, and why others are refused; none that is hidden.

    Raises InputError for what is no whole zip, or has too many files.
    """
    try:
        with zipfile.ZipFile(file) as packed:
            infos = [one for one in packed.infolist() if not one.is_dir()]
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as exc:
        raise InputError(f"the zip there is not whole: {exc}") from exc
    if len(infos) > MOST_MEMBERS:
        raise InputError(f"the zip there has more than {MOST_MEMBERS:,} files")
    members: dict[str, zipfile.ZipInfo] = {}
    refused: dict[str, str] = {}
    for one in infos:
        parts = one.filename.replace("\\", "/").split("/")
        if any(part.startswith(".") and part not in (".", "..") for part in parts):
            continue
        name = "/".join(parts)
        if name in members:
            refused[name] = "The zip has two files of that name; the first was taken."
        elif (
            not all(parts) or {".", ".."} & {*parts} or any(set(":\0") & set(one) for one in parts)
        ):
            refused[name] = "Its name leads out of the zip."
        elif one.flag_bits & _ENCRYPTED:
            refused[name] = "It is locked with a password."
        elif one.compress_type not in _PACKED:
            refused[name] = "It is packed in an uncommon way; pack it again as a plain zip."
        elif one.file_size > MAX_BYTES:
            refused[name] = f"It is larger than {MAX_BYTES // 2**20} MB."
        else:
            members[name] = one
    return members, refused


def unpacked(
    file: IO[bytes], members: Mapping[str, zipfile.ZipInfo], folder: Path
) -> dict[str, str]:
    """Unpack those into a folder; the reasons of what could not be."""
    reasons: dict[str, str] = {}
    with zipfile.ZipFile(file) as packed:
        for name, one in members.items():
            try:
                path = folder / name
                path.parent.mkdir(parents=True, exist_ok=True)
                with packed.open(one) as source, path.open("wb") as target:
                    while some := source.read(AT_ONCE):
                        target.write(some)
                        if target.tell() > MAX_BYTES:
                            raise zipfile.BadZipFile("it is larger than it says")
            except (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError) as exc:
                reasons[name] = f"It cannot be unpacked: {exc}."
    return reasons
