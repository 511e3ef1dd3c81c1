"""The desk: one transaction over the database and the image folder."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, event, select
from sqlalchemy.orm import Session

from brief.english import agree, number_of
from brief.errors import StoreError
from brief.store.databases.copies import DATABASE, MARK
from brief.store.databases.database import Database, let_references_wait
from brief.store.databases.slate import Slate
from brief.store.doings import write_down
from brief.store.pictures.bucket_images import images_at
from brief.store.pictures.images import ImageStore
from brief.store.pictures.sweep import needs_sweep, sweep, unlisted
from brief.store.records import Brief, Home, Image, Material, Stock

log = logging.getLogger(__name__)


class Desk:
    """What a use works on. Made by `Store.desk`; alive until its transaction ends."""

    def __init__(
        self, session: Session, images: ImageStore, *, mark: str = "", by: str = ""
    ) -> None:
        """mark : what the secrets of links that are made here begin with. by : who works at it,
        where what they do is to be written down.
        """
        self.session = session
        self.images = images
        self.mark = mark
        self._new_images: list[str] = []
        # Pictures that could not be shown, and were gone without: their names, by SHA-256.
        self.lost: dict[str, str] = {}
        # A session forgets what nobody holds, and would read it anew for each part that names it.
        self._held: list[object] = []
        event.listen(session, "loaded_as_persistent", lambda _, record: self._held.append(record))
        if by:
            write_down(session, by)

    def keep_image(self, data: bytes) -> str:
        """Store image bytes; taken away again if the transaction is undone."""
        sha256, is_new = self.images.keep(data)
        if is_new:
            self._new_images.append(sha256)
        return sha256

    def image_name(self, sha256: str) -> str:
        """What the file was called when it was given."""
        return self.session.get_one(Image, sha256).name

    @property
    def connection(self) -> Connection:
        """What the transaction runs on, for what is read beside the records."""
        return self.session.connection()

    def let_references_wait(self) -> None:
        """To the end of the transaction: until then a record may name one that comes after it."""
        let_references_wait(self.connection)

    @property
    def new_images(self) -> tuple[str, ...]:
        """The hashes of those that were not there before this desk kept them."""
        return tuple(self._new_images)


class Store:
    """Everything a maker has, in one folder: the database and the images. Or the database is on a
    server, or the images are in a bucket, and the folder holds the rest.
    """

    def __init__(
        self, home: Path, url: str | None = None, bucket: str | None = None, *, mark: str = ""
    ) -> None:
        """url : of the database on a server; without one it is a file in `home`. bucket : the URL
        of that of the images. mark : what the secrets of links that are made here begin with.

        Raises StoreError if something cannot be opened, InputError for what is no such URL.
        """
        self.home, self._mark = home, mark
        try:
            home.mkdir(parents=True, exist_ok=True)
        except OSError as exc:
            raise StoreError(
                f"The folder {home} could not be made: {exc.strerror}. "
                "Name another one with --home or BRIEF_HOME."
            ) from exc
        self.images = images_at(home, bucket)
        if bucket is not None:
            self.images.ask()  # before anything is made for a wrong one
        database = home / DATABASE
        self._was_emptied = url is None and database.is_file() and database.stat().st_size == 0
        self._database = Database(url or database)
        self.slate = Slate(home, url)
        if bucket is not None:
            try:
                with self._database.session(writing=False) as session:
                    self.images.claim(session.scalars(select(Home.id)).one())
            except BaseException:
                self.close()
                raise

    @contextmanager
    def desk(self, *, writing: bool = False, by: str = "") -> Iterator[Desk]:
        """A desk for one transaction: all of it is kept, or none. by : who works at it, where what
        they do is to be written down.
        """
        desk: Desk | None = None
        try:
            with self._database.session(writing=writing) as session:
                desk = Desk(session, self.images, mark=self._mark, by=by)
                yield desk
                session.commit()
        except BaseException:
            if desk is not None:
                self._forget(desk.new_images)
            raise

    def _forget(self, new: tuple[str, ...]) -> None:
        """Take new images away again, unless a record names them: of a server that went away while
        it committed nobody knows whether it did, and its turn has gone to others, who may have come
        to rely on them.
        """
        if not new:
            return
        try:
            with self._database.session(writing=True) as session:
                for sha256 in new:
                    if session.get(Image, sha256) is None:
                        self.images.forget(sha256)
        except (OSError, StoreError) as exc:
            log.warning("Of an undone change %d pictures are left to be swept: %s", len(new), exc)

    def ask(self) -> None:
        """Read from the database, and look for the folder and the bucket. Raises StoreError
        where any does not answer.
        """
        with self.desk() as desk:
            desk.session.scalar(select(Brief.id).limit(1))
        if not self.home.is_dir():  # it may be a disk of the network, which can go away
            raise StoreError(f"The folder {self.home} is not there.")
        self.images.ask()

    def sweep(self) -> None:
        """Set aside what a program that was killed left behind. Where that cannot be done now, it
        is another time.
        """
        if (self.home / MARK).exists():  # earlier copies in it may name what the newest does not
            return
        try:
            with self.desk() as desk:
                if not needs_sweep(self.images, desk.connection):
                    return
            with self.desk(writing=True) as desk:
                moved = sweep(self.images, desk.connection)
        except (OSError, StoreError) as exc:
            log.warning("%s was not swept: %s", self.home, exc)
            return
        if moved:
            log.warning(
                "Pictures that no record names were set aside: %d, now in %s",
                len(moved),
                self.images.aside_at,
            )

    def loss(self, desk: Desk) -> str | None:
        """What to say where the database holds nothing, and once did."""
        if any(desk.session.scalar(select(one.id).limit(1)) for one in (Brief, Material, Stock)):
            return None
        count = sum(1 for _ in unlisted(self.images, set()))
        if not count and not self._was_emptied:
            return None
        beside = f"{number_of(count, 'picture')} {agree(count, 'is', 'are')} beside it"
        what = f"is empty, and {beside}" if count else "was emptied (0 bytes)"
        home = self.home.resolve()
        return (
            f"The database in {home} {what}. If you had briefs here, put them back before you "
            "begin another: stop this program, rename that folder, and say: "
            f"brief restore BACKUP --home {home}"
        )

    def close(self) -> None:
        """Close the database."""
        self.slate.close()
        self._database.close()
