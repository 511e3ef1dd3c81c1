"""Originals in a bucket, with copies beside the program for those that it opens.

A picture counts as kept once the bucket has it. What lies in the folder can be had again: copies of
originals, checked by their hash as they come, and renditions. So the folder may be emptied at any
time, and each of several computers has its own. Of copies no more than was said stay there.
"""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

from brief.errors import InputError, NotFound, Unreachable
from brief.store.files import SHA256, place_of, sound_bytes
from brief.store.pictures.bucket import Bucket
from brief.store.pictures.bucket_copies import Copies, most_bytes
from brief.store.pictures.images import ImageStore, Original, write_picture

ORIGINALS, UNNAMED = "originals/", "unnamed/"
WHOSE = "whose"  # the id of the home whose pictures they are


def images_at(home: Path, url: str | None) -> ImageStore:
    """The pictures of a home: in its folder, or in the bucket of that URL."""
    root = home / "images"
    return ImageStore(root) if url is None else BucketImages(root, Bucket(url))


class BucketImages(ImageStore):
    """As in a folder: `originals/ab/abcd...` and `unnamed/DAY/abcd...`, but as keys in a bucket."""

    def __init__(self, root: Path, bucket: Bucket) -> None:
        super().__init__(root)
        # Not where a folder keeps its own: those may be all there is. And of each bucket its own.
        self.originals = root / f"copies-{hashlib.sha256(str(bucket).encode()).hexdigest()[:8]}"
        self.aside_at = f"{bucket}/{UNNAMED}"
        self.bucket = bucket
        # Of pictures that the bucket had when it was asked; it never changes one.
        self._sizes: dict[str, int] = {}
        self._checked: set[str] = set()  # copies that this process has hashed
        self._copies = Copies(self.originals, most_bytes())

    def keep(self, data: bytes) -> tuple[str, bool]:
        """Store `data` in the bucket, whatever is there under its hash; as in a folder."""
        sha256 = hashlib.sha256(data).hexdigest()
        key, copy_was_here = _key(sha256), self.place(sha256).exists()
        super().keep(data)
        try:
            is_new = self.bucket.size(key) is None
            self.bucket.put(key, data)
        except BaseException as exc:
            if not copy_was_here:
                super().forget(sha256)
            if isinstance(exc, Unreachable):
                said = f"{exc} Nothing was saved."
                raise Unreachable(said, retry_after_s=exc.retry_after_s) from exc
            raise
        self._sizes[sha256] = len(data)
        self._make_room(len(data))
        return sha256, is_new

    def holds(self, sha256: str) -> bool:
        """Whether the original is in the bucket, or was; not whether it is sound."""
        return self.size(sha256) is not None

    def size(self, sha256: str) -> int | None:
        """Bytes of the original by its copy, or by what the bucket once said of it."""
        here = super().size(sha256)
        if here is not None:
            return here
        if sha256 not in self._sizes:
            found = self.bucket.size(_key(sha256))
            if found is None:
                self.bucket.ask()  # is it the picture that is not there, or all of them?
                return None
            self._sizes[sha256] = found
        return self._sizes[sha256]

    def path(self, sha256: str) -> Path:
        """Where a sound copy is, fetched if there is none. Raises NotFound if the bucket has no
        such original, or not as it was given.
        """
        place = self.place(sha256)
        if sha256 in self._checked and place.is_file():
            self._copies.used(place)
            return place
        if sound_bytes(place) is None:
            data = self.kept_bytes(sha256)
            if data is None:
                raise NotFound(
                    "The picture’s file is not in the bucket any more, or is damaged. Add the same "
                    "file again, or put it back from a backup: brief check --repair --from BACKUP"
                )
            write_picture(place, data)
            self._make_room(len(data))
        else:
            self._copies.used(place)
        self._checked.add(sha256)
        return place

    def _make_room(self, size: int) -> None:
        """Let go of the copies that were not used for longest, once there are too many."""
        gone = self._copies.added(size)
        self._sizes |= gone  # the bucket need not be asked how large they are
        self._checked -= gone.keys()

    def sound_bytes(self, sha256: str) -> bytes | None:
        """The original, from its copy or from the bucket; no copy is made."""
        here = sound_bytes(self.place(sha256))
        return self.kept_bytes(sha256) if here is None else here

    def kept_bytes(self, sha256: str) -> bytes | None:
        """The original as it is in the bucket, if it is what was given."""
        data = self.bucket.get(_key(sha256))
        return data if data is not None and hashlib.sha256(data).hexdigest() == sha256 else None

    def is_kept(self, sha256: str) -> bool:
        """Whether the original is in the bucket now; not whether it is sound."""
        return self.bucket.size(_key(sha256)) is not None

    def suspect(self, sha256: str) -> None:
        """Remember that an original could not be shown, and trust neither copy nor memory."""
        super().suspect(sha256)
        self._checked.discard(sha256)
        self._sizes.pop(sha256, None)

    def forget(self, sha256: str) -> None:
        """Take an original and its copy away again."""
        super().forget(sha256)
        self._sizes.pop(sha256, None)
        self.bucket.delete(_key(sha256))

    def claim(self, home_id: str) -> None:
        """Mark the bucket's folder as that home's, if it is nobody's. Raises InputError if it is
        another's: each of the two would set aside the pictures of the other.
        """
        if self.bucket.get(WHOSE) is None:
            self.bucket.put_first(WHOSE, home_id.encode())
            if self.bucket.get(WHOSE) is None:
                self.bucket.put(WHOSE, home_id.encode())
        self.must_be_of(home_id)

    def must_be_of(self, home_id: str) -> None:
        """Raise InputError if the bucket's folder is another home's."""
        if self.bucket.get(WHOSE) not in (None, home_id.encode()):
            raise InputError(
                f"{self.bucket} holds the pictures of another home; name another folder of the "
                "bucket, as in BRIEF_IMAGES_URL=s3://BUCKET/FOLDER"
            )

    def drop_copy(self, sha256: str) -> None:
        """Let go of the copy of an original; it is fetched when it is opened."""
        super().forget(sha256)

    def ask(self) -> None:
        """See whether the bucket answers."""
        self.bucket.ask()

    def all_originals(self) -> Iterator[Original]:
        """All that the bucket has, whoever put them there."""
        now = time.time()
        for one in self.bucket.under(ORIGINALS):
            name = one.key.rpartition("/")[2]
            if SHA256.fullmatch(name):
                yield Original(name, one.size, now - one.changed)

    def set_aside(self, sha256: str) -> None:
        """Move an original to those that no record names."""
        today = datetime.now(UTC).date().isoformat()
        self.bucket.move(_key(sha256), f"{UNNAMED}{today}/{sha256}")
        super().forget(sha256)
        self._sizes.pop(sha256, None)

    def aside(self) -> list[str]:
        """The originals that were set aside, by their hashes."""
        return [sha256 for _, sha256 in self._keys_aside()]

    def put_back(self, sha256: str) -> None:
        """Have an original again that was set aside."""
        for key, found in self._keys_aside():
            if found == sha256:
                self.bucket.move(key, _key(sha256))
                return

    def empty_old(self, oldest: date) -> None:
        """Delete what was set aside before that day."""
        for key, _ in self._keys_aside():
            if key.removeprefix(UNNAMED)[:10] < oldest.isoformat():
                self.bucket.delete(key)

    def _keys_aside(self) -> list[tuple[str, str]]:
        found = [(one.key, one.key.rpartition("/")[2]) for one in self.bucket.under(UNNAMED)]
        return [(key, name) for key, name in found if SHA256.fullmatch(name)]


def _key(sha256: str) -> str:
    """Raises StoreError for what is no SHA-256."""
    return place_of(Path(ORIGINALS), sha256).as_posix()
