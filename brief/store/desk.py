"""The desk: one transaction over the database and the image folder."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import event
from sqlalchemy.orm import Session

from brief.errors import StoreError
from brief.store.database import Database
from brief.store.images import ImageStore
from brief.store.records import Image


class Desk:
    """What a use works on. Made by `Store.desk`; alive until its transaction ends."""

    def __init__(self, session: Session, images: ImageStore) -> None:
        self.session = session
        self.images = images
        self._new_images: list[str] = []
        # A session forgets what nobody holds, and would read it anew for each part that names it.
        self._held: list[object] = []
        event.listen(session, "loaded_as_persistent", lambda _, record: self._held.append(record))

    def keep_image(self, data: bytes) -> str:
        """Store image bytes; taken away again if the transaction is undone."""
        sha256, is_new = self.images.keep(data)
        if is_new:
            self._new_images.append(sha256)
        return sha256

    def image_name(self, sha256: str) -> str:
        """What the file was called when it was given."""
        return self.session.get_one(Image, sha256).name

    def undo_images(self) -> None:
        for sha256 in self._new_images:
            self.images.forget(sha256)


class Store:
    """Everything a maker has, in one folder: the database and the images."""

    def __init__(self, home: Path) -> None:
        self.home = home
        try:
            home.mkdir(parents=True, exist_ok=True)
        except OSError as exc:
            raise StoreError(
                f"The folder {home} could not be made: {exc.strerror}. "
                "Name another one with --home or BRIEF_HOME."
            ) from exc
        self.images = ImageStore(home / "images")
        self._database = Database(home / "brief.sqlite3")

    @contextmanager
    def desk(self, *, writing: bool = False) -> Iterator[Desk]:
        """A desk for one transaction: all of it is kept, or none."""
        with self._database.session(writing=writing) as session:
            desk = Desk(session, self.images)
            try:
                yield desk
                session.commit()
            except BaseException:
                # Still under the write lock: nobody else can have come to rely on them.
                desk.undo_images()
                raise

    def close(self) -> None:
        self._database.close()
