"""A parcel as one zip file: the document, its schema, and every picture byte for byte.

What comes in was packed by nobody knows whom. Nothing is ever written under a name that stands in
the file: each member must be one that the document calls for, and all limits are checked before
anything is unpacked.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from typing import BinaryIO

from pydantic import ValidationError
from pydantic_core import from_json

from brief.errors import ParcelError, TooLarge
from brief.photo import MAX_BYTES
from brief.photo.files.formats import FORMATS
from brief.services.history.left_out import TRIP, without
from brief.services.history.parcels.arrival import Arrival
from brief.services.history.parcels.checks import check, shortened_name
from brief.services.history.parcels.gathering import pack
from brief.services.history.parcels.parcel import SCHEMA_FILE, VERSION, Parcel
from brief.services.history.parcels.schema import schema
from brief.services.history.parcels.unpacking import unpack
from brief.services.history.row_codec import Row
from brief.services.transfer.brief_checks import prove
from brief.store.desk import Desk

DOCUMENT = "brief.json"
LEAFLET = "read-me.txt"
MEDIA_TYPE = "application/zip"
SUFFIXES = {one.media_type: one.suffixes[0] for one in FORMATS}
MOST_MEMBERS = 5_000
MOST_BYTES = 4 * 2**30 - 1  # in all, unpacked; beyond it a zip needs the 64-bit form
MOST_SENT = 255 * 2**20  # from a browser, which the API takes 256 MB of; the terminal takes all
MOST_DOCUMENT_BYTES = 200 * 2**20
# Text packs to about a tenth and a plain picture to a hundredth; what shrinks further is no brief.
MOST_RATIO = 200
SMALL = 2**20  # bytes that no ratio can make dangerous
BEGINNING = (1980, 1, 1, 0, 0, 0)  # of a zip's calendar: the same brief makes the same file
# How the records at a zip's end begin (APPNOTE 4.3.15 and 4.3.16), and how long they are.
END_64, END_64_BYTES = b"PK\6\7", 20
END, END_BYTES = b"PK\5\6", 22
ENCRYPTED = 0x1
ASIDE = "copy the file again from where it was written, or pack the brief again"


def write_parcel(desk: Desk, brief_id: str, target: BinaryIO, *, trip: bool = True) -> Parcel:
    """Write a whole brief into `target`, its private things with it.

    trip : with its legs, stays, contacts and packing list; documents stay at home in any case.
    A picture whose file is missing or damaged is named in `missing` of the document instead.
    Raises NotFound without the brief, TooLarge beyond 4 GB.
    """
    parcel = pack(desk, brief_id)
    if not trip:
        parcel = without(parcel, TRIP)
    total = sum(row["size_bytes"] for row in parcel.images)
    if total > MOST_BYTES - MOST_DOCUMENT_BYTES or len(parcel.images) > MOST_MEMBERS - 3:
        raise TooLarge(
            "this brief holds more than 4 GB of pictures, which no parcel can; copy the folder "
            "that everything is kept in instead"
        )
    with zipfile.ZipFile(target, "w") as packed:
        for row in parcel.images:
            data = desk.images.sound_bytes(row["sha256"])
            if data is None:
                parcel.missing.append(row["sha256"])
            else:
                _put(packed, image_name(row), data, zipfile.ZIP_STORED)
        _put(packed, LEAFLET, _leaflet(parcel).encode())
        _put(packed, DOCUMENT, parcel.model_dump_json(by_alias=True, indent=1).encode())
        _put(packed, SCHEMA_FILE, json.dumps(schema(), indent=1).encode())
    return parcel


@dataclass(frozen=True)
class Packed:
    """A parcel that was opened, checked and proven, its pictures still in their zip."""

    parcel: Parcel
    picture: Callable[[str], bytes | None]

    def bring_in(self, desk: Desk) -> Arrival:
        """Raises ParcelError or TooLarge; nothing is kept then, once the desk is given up."""
        return unpack(desk, self.parcel, self.picture)


@contextmanager
def opened_parcel(source: BinaryIO) -> Iterator[Packed]:
    """Open what `write_parcel` wrote, to be brought in on a desk; until then nobody has to wait.

    Raises ParcelError or TooLarge.
    """
    with _opened(source) as packed:
        members = _members(packed)
        parcel = _document(_bytes_of(packed, members, DOCUMENT))
        names = {row["sha256"]: image_name(row) for row in parcel.images}
        expected = {DOCUMENT, SCHEMA_FILE, LEAFLET, *names.values()}
        for name in members:
            if name not in expected:
                raise ParcelError(f"“{shortened_name(name)}” has no place in a packed brief")
        for sha256, name in names.items():
            if name not in members and sha256 not in parcel.missing:
                raise ParcelError(f"the picture {name} is missing from it; {ASIDE}")

        def picture(sha256: str) -> bytes | None:
            if names[sha256] not in members:
                return None
            data = _bytes_of(packed, members, names[sha256])
            if hashlib.sha256(data).hexdigest() != sha256:
                raise ParcelError(
                    f"the picture {names[sha256]} is not the one that was packed; {ASIDE}"
                )
            return data

        check(parcel)
        prove(parcel, picture)
        yield Packed(parcel, picture)


def image_name(row: Row) -> str:
    """Where a picture lies in the zip, so that whoever opens it can look at it."""
    try:
        return f"images/{row['sha256']}.{SUFFIXES[row['media_type']]}"
    except (KeyError, TypeError) as exc:
        raise ParcelError("it lists a picture of a kind that is not read here") from exc


def file_name(title: str) -> str:
    """A name for the zip of a brief: letters and digits of any script, which every disk takes."""
    plain = re.sub(r"[\W_]+", "-", title.casefold()).strip("-")
    return f"{plain[:60].strip('-') or 'brief'}.brief.zip"


def _put(packed: zipfile.ZipFile, name: str, data: bytes, how: int = zipfile.ZIP_DEFLATED) -> None:
    member = zipfile.ZipInfo(name, BEGINNING)
    member.compress_type = how
    member.external_attr = 0o644 << 16
    packed.writestr(member, data)


def _leaflet(parcel: Parcel) -> str:
    missing = "".join(f"  {name}\n" for name in parcel.missing_names)
    if missing:
        missing = (
            f"\nPictures whose files were missing or damaged, so they are not in it:\n{missing}"
        )
    return (
        f"{parcel.title}\n\n"
        "A whole brief, saved by The Luthier’s Brief. To open it, choose “Open a saved brief” on\n"
        "the shelf, or run: brief import FILE\n\n"
        f"{DOCUMENT}  every word and every measurement, as JSON\n"
        f"{SCHEMA_FILE}  its JSON Schema\n"
        "images/  every original picture, named by the SHA-256 of its bytes\n\n"
        f"{_said_of_trip(parcel)}"
        "Private items are included, also what it costs, so keep this file to yourself.\n" + missing
    )


def _said_of_trip(parcel: Parcel) -> str:
    if not TRIP & {name for name, rows in parcel.records.items() if rows}:
        return ""
    return "The trip is in it, with bookings and contacts; its documents are not.\n"


@contextmanager
def _opened(source: BinaryIO) -> Iterator[zipfile.ZipFile]:
    _check_end(source)
    try:
        with zipfile.ZipFile(source) as packed:
            yield packed
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, struct.error) as exc:
        raise ParcelError(f"this zip file is damaged or cut short; {ASIDE}") from exc


def _check_end(source: BinaryIO) -> None:
    """Look at the end of the file, which says how much there is, before any of it is read."""
    size = source.seek(0, 2)
    source.seek(max(0, size - END_BYTES - END_64_BYTES))
    tail = source.read()
    end = tail[-END_BYTES:]
    if len(end) < END_BYTES or not end.startswith(END):
        raise ParcelError(f"this is no whole zip file; {ASIDE}")
    *_, count, listing_bytes, _start, comment_bytes = struct.unpack("<4s4H2LH", end)
    if comment_bytes or tail[:-END_BYTES].startswith(END_64):
        raise ParcelError("this zip file was not written by this program")
    if count > MOST_MEMBERS or listing_bytes > MOST_MEMBERS * 400:
        raise _too_much(f"{count} things")
    source.seek(0)


def _members(packed: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    """What is in it, by name, once all limits are kept; nothing has been unpacked yet."""
    listed = packed.infolist()
    if len(listed) > MOST_MEMBERS:
        raise _too_much(f"{len(listed)} things")
    twice = [name for name, count in Counter(one.filename for one in listed).items() if count > 1]
    if twice:
        raise ParcelError(f"“{shortened_name(twice[0])}” stands in it twice")
    if sum(one.file_size for one in listed) > MOST_BYTES:
        raise _too_much("more than 4 GB")
    for one in listed:
        _check_member(one)
    in_turn = sorted(listed, key=lambda one: one.header_offset)
    if in_turn and in_turn[0].header_offset != 0:
        raise ParcelError(f"the beginning of this zip file is missing or something else; {ASIDE}")
    for one, following in pairwise(in_turn):
        if one.header_offset + one.compress_size >= following.header_offset:
            raise ParcelError("parts of this zip file lie upon each other")
    return {one.filename: one for one in listed if one.filename != "images/"}


def _check_member(one: zipfile.ZipInfo) -> None:
    name = shortened_name(one.orig_filename)
    mode = one.external_attr >> 16
    if one.orig_filename != one.filename or re.search(r"^[/\\]|\.\.|\\|:|^$", one.filename):
        raise ParcelError(f"“{name}” names a place outside of the file")
    if mode and not (stat.S_ISREG(mode) or stat.S_ISDIR(mode) or stat.S_IFMT(mode) == 0):
        raise ParcelError(f"“{name}” is a link or no file at all")
    if one.flag_bits & ENCRYPTED:
        raise ParcelError(f"“{name}” is locked with a password; take that off first")
    if one.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise ParcelError(f"“{name}” is packed in a way that is not read here")
    most = MOST_DOCUMENT_BYTES if one.filename == DOCUMENT else MAX_BYTES
    if one.file_size > most or (
        one.file_size > SMALL and one.file_size > MOST_RATIO * max(one.compress_size, 1)
    ):
        raise _too_much(f"“{name}” with {one.file_size:,} bytes out of {one.compress_size:,}")


def _bytes_of(packed: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo], name: str) -> bytes:
    member = members.get(name)
    if member is None:
        raise ParcelError(f"there is no {name} in it, so it is no packed brief")
    with packed.open(member) as stream:
        data = stream.read(member.file_size + 1)
    if len(data) != member.file_size:
        raise ParcelError(f"this zip file is damaged or cut short; {ASIDE}")
    return data


def _document(data: bytes) -> Parcel:
    try:
        said = from_json(data, allow_inf_nan=False)
    except ValueError as exc:
        raise ParcelError(f"{DOCUMENT} cannot be read as JSON; {ASIDE}") from exc
    version = said.get("version") if isinstance(said, dict) else None
    if type(version) is not int or version < 1:
        raise ParcelError(f"{DOCUMENT} does not say which version of this form it has")
    if version > VERSION:
        raise ParcelError(
            f"it was packed by a newer version of this program (form {version}, and this one "
            f"reads up to {VERSION}); install that and try again"
        )
    try:
        parcel: Parcel = Parcel.model_validate(said)
    except ValidationError as exc:
        where = "/".join(map(str, exc.errors()[0]["loc"]))
        raise ParcelError(
            f"{DOCUMENT} is not as this program writes it, at “{shortened_name(where)}”"
        ) from exc
    return parcel


def _too_much(what: str) -> TooLarge:
    return TooLarge(f"this zip file would unpack to more than a brief can be: {what}")
