"""What most tests stand on: a store in a folder of its own, the app over it, small pictures."""

from __future__ import annotations

import contextlib
import gc
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from functools import cache, wraps
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from PIL import Image
from sqlalchemy import Dialect, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.util import LRUCache

from brief.api import app as app_module
from brief.api.app import create_app
from brief.api.limits import RateLimits
from brief.places import demo_folder
from brief.services.demo import load_demo
from brief.settings import Settings
from brief.store import backup as backup_module
from brief.store import carrying
from brief.store import check as check_module
from brief.store import desk as desk_module
from brief.store.databases import soundness
from brief.store.databases.database import Database
from brief.store.databases.postgres import PostgresDatabase
from brief.store.databases.sqlite_file import SqliteFile
from brief.store.desk import Desk, Store
from brief.store.pictures import bucket as bucket_module
from brief.store.pictures import bucket_images
from tests.asking import TestClient
from tests.bucket_server import BucketServer
from tests.bucket_server import served as served_bucket
from tests.nursery import Nursery
from tests.postgres_server import Server
from tests.postgres_server import served as served_postgres
from tests.studio_at_once import studio_at_once

Picture = Callable[..., bytes]

WALNUT = (92, 64, 44)
SHELL = (226, 225, 218)
REED = (142, 138, 106)


def pytest_configure(config: pytest.Config) -> None:
    """Where no bytecode may be written beside the code, pytest's own folder holds it: else each
    process that a test starts compiles the whole program again."""
    cache = getattr(config, "cache", None)
    if sys.dont_write_bytecode and not sys.pycache_prefix and cache is not None:
        sys.dont_write_bytecode = False
        sys.pycache_prefix = str(cache.mkdir("bytecode"))
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Iterator[None]:
    """Thousands of tests and all modules stay to the end; looking for garbage among them is a
    fifth of collecting them. So do the apps that tests share, and a tenth of the tests was looking
    for garbage among those."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()
        gc.set_threshold(10_000, 20, 50)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with all tables and nothing in them, so that not every test migrates its own."""
    home = tmp_path_factory.mktemp("empty")
    Store(home).close()
    return home / "brief.sqlite3"


@pytest.fixture(scope="session")
def demo_filed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A folder with the demo filed once, to be copied and left alone, and the id of its brief."""
    store = Store(tmp_path_factory.mktemp("filed"))
    brief_id = load_demo(store, demo_folder())
    store.close()
    return store.home, brief_id


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--postgres",
        action="store_true",
        help="what is kept in a file otherwise is on a PostgreSQL server of the tests' own",
    )

    parser.addoption(
        "--bucket",
        action="store_true",
        help="pictures that are kept in a folder otherwise are in a bucket of the tests' own",
    )


@pytest.fixture(scope="session")
def buckets() -> Iterator[BucketServer]:
    """An S3 server with a bucket."""
    with served_bucket() as server:
        yield server


@pytest.fixture(autouse=True)
def in_a_bucket(request: pytest.FixtureRequest) -> Iterator[None]:
    """With --bucket each home of a test has its pictures there. What holds originals already, as a
    backup, keeps them in its folder."""
    if not request.config.getoption("--bucket"):
        yield
        return
    if request.node.get_closest_marker("folder"):
        pytest.skip("of the folder alone")
    server: BucketServer = request.getfixturevalue("buckets")
    opened, images_at = Store.__init__, bucket_images.images_at
    those: dict[Path, str] = {}

    def url_of(home: Path, url: str | None) -> str | None:
        if url is None and home not in those and not (home / "images" / "originals").is_dir():
            those[home] = server.url()
        return url or those.get(home)

    def there(
        self: Store, home: Path, url: str | None = None, bucket: str | None = None, **more: Any
    ) -> None:
        opened(self, home, url, url_of(home, bucket), **more)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Store, "__init__", there)
        patched.setattr(bucket_module, "_client", cache(bucket_module._client))
        for module in (desk_module, check_module, backup_module, carrying):
            patched.setattr(
                module, "images_at", lambda home, url: images_at(home, url_of(home, url))
            )
        yield


@pytest.fixture
def spoil() -> Callable[[Store, str, Callable[[Path], object]], None]:
    """Do something to the file of an original; in a bucket, too, and no process remembers it."""

    def spoilt(store: Store, sha256: str, way: Callable[[Path], object]) -> None:
        images = store.images
        place = images.path(sha256)
        way(place)
        if isinstance(images, bucket_images.BucketImages):
            key = f"originals/{sha256[:2]}/{sha256}"
            if place.exists():
                images.bucket.put(key, place.read_bytes())
                place.unlink()
            else:
                images.bucket.delete(key)
            images._sizes.clear()
            images._checked.clear()

    return spoilt


@pytest.fixture(scope="session")
def nursery() -> Iterator[Nursery | None]:
    """What forks processes that tests need beside their own; None where there is no fork."""
    with Nursery() if hasattr(os, "fork") else contextlib.nullcontext() as forks:
        yield forks


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A PostgreSQL server."""
    with served_postgres() as server:
        yield server


@pytest.fixture(autouse=True)
def on_a_server(request: pytest.FixtureRequest) -> Iterator[None]:
    """With --postgres each home of a test has a database there, and nobody finds a word of it."""
    if not request.config.getoption("--postgres"):
        yield
        return
    if request.node.get_closest_marker("sqlite"):
        pytest.skip("of the file alone")
    server: Server = request.getfixturevalue("postgres")
    opened = Store.__init__
    those: dict[Path, str] = {}
    stores: list[Store] = []

    def there(
        self: Store, home: Path, url: str | None = None, bucket: str | None = None, **more: Any
    ) -> None:
        if url is None and home not in those:
            those[home] = server.database()
        opened(self, home, url or server.url(those[home]), bucket, **more)
        stores.append(self)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Store, "__init__", there)
        yield
    for store in stores:  # whose tests may have left them open
        store.close()
    for name in those.values():
        server.take_back(name)


@pytest.fixture(autouse=True)
def new_homes(empty_database: Path) -> Iterator[None]:
    """The database of a home that a test opens new is a copy: going through all migrations takes
    0.4 s, and the tests of the store do."""
    opened = Database.__init__

    def copied(self: Database, path: Path | str) -> None:
        if isinstance(path, Path) and not path.exists() and path.parent.is_dir():
            with contextlib.suppress(OSError):  # which the program itself puts into words
                shutil.copy(empty_database, path)
        opened(self, path)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Database, "__init__", copied)
        yield


@pytest.fixture(scope="session", autouse=True)
def no_power_fails() -> Iterator[None]:
    """No test waits for the disk: most of a short one would be that. What is there after a kill,
    tests/killed ask of processes of their own."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(os, "fsync", lambda _descriptor: None)
        yield


def _unflushed(connection: Any, _record: object) -> None:
    connection.execute("PRAGMA synchronous=OFF")


@pytest.fixture(scope="session", autouse=True)
def statements_once() -> Iterator[None]:
    """Each home has an engine of its own, and each engine would compile the same statements again:
    half of a short test. They share a dialect, which a statement is compiled for, and what it was
    compiled to.
    """
    of_file, of_server, to_read = (
        SqliteFile.engine, PostgresDatabase.engine, soundness.create_engine
    )  # fmt: skip
    known: dict[str, Dialect] = {}
    compiled = LRUCache(5000)

    def sharing(engine: Engine) -> Engine:
        if engine.dialect.name not in known:
            engine.connect().close()  # only then a dialect knows its database
        engine.dialect = known.setdefault(engine.dialect.name, engine.dialect)
        engine.update_execution_options(compiled_cache=compiled)
        return engine

    @wraps(of_file)
    def of_a_home(self: SqliteFile) -> Engine:
        engine = of_file(self)
        event.listen(engine, "connect", _unflushed)
        return sharing(engine)

    @wraps(of_server)
    def on_a_server(self: PostgresDatabase, *given: Any, **more: Any) -> Engine:
        engine = of_server(self, *given, **more)
        if self.schema is None:  # whose tables a dialect would take for everybody's
            with contextlib.suppress(DBAPIError):  # of a server that is not there
                return sharing(engine)
        return engine

    with pytest.MonkeyPatch.context() as patched:
        sharing(create_engine("sqlite://"))
        patched.setattr(SqliteFile, "engine", of_a_home)
        patched.setattr(PostgresDatabase, "engine", on_a_server)
        patched.setattr(
            soundness, "create_engine", lambda *given, **more: sharing(to_read(*given, **more))
        )
        yield


@pytest.fixture(scope="session", autouse=True)
def routers_once() -> Iterator[None]:
    """A noun's router knows nothing of its app, and making them all takes half a second."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(app_module, "noun_router", cache(app_module.noun_router))
        yield


@pytest.fixture
def store(home: Path, empty_database: Path) -> Iterator[Store]:
    home.mkdir()
    shutil.copy(empty_database, home)
    opened = Store(home)
    yield opened
    opened.close()


@pytest.fixture
def desk(store: Store) -> Iterator[Desk]:
    """A desk whose transaction is kept when the test ends well."""
    with store.desk(writing=True) as open_desk:
        yield open_desk


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory, empty_database: Path) -> Iterator[TestClient]:
    """One app for all tests; each test puts its own store under it."""
    settings = Settings(home=tmp_path_factory.mktemp("served"), hosts="testserver")
    shutil.copy(empty_database, settings.home)
    with TestClient(create_app(settings)) as client:
        yield client


@pytest.fixture
def app(served: TestClient, store: Store) -> Iterator[FastAPI]:
    app = served.app
    own, app.state.store = app.state.store, store
    app.state.limits = RateLimits()
    studio = studio_at_once(app)
    yield app
    studio.close()  # whoever is at work there looks at the store once more after the last picture
    app.state.store = own
    assert studio.is_idle


@pytest.fixture
def client(served: TestClient, app: FastAPI) -> TestClient:
    return served


@pytest.fixture(scope="session")
def picture() -> Picture:
    """A small picture file: upright bands of the given colours, left to right."""

    def made(
        *colours: tuple[int, ...], kind: str = "PNG", size: tuple[int, int] = (48, 32)
    ) -> bytes:
        bands = colours or (WALNUT, REED)
        image = Image.new("RGB" if len(bands[0]) == 3 else "RGBA", size)
        width = size[0] // len(bands)
        for place, colour in enumerate(bands):
            image.paste(colour, (place * width, 0, size[0], size[1]))
        target = BytesIO()
        image.save(target, kind)
        return target.getvalue()

    return made
