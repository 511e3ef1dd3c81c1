"""What most tests stand on: a store in a folder of its own, the app over it, small pictures."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import pytest
from fastapi import FastAPI
from PIL import Image
from starlette.testclient import TestClient

from brief.api.app import create_app
from brief.settings import Settings
from brief.store.desk import Desk, Store

Picture = Callable[..., bytes]

WALNUT = (92, 64, 44)
SHELL = (226, 225, 218)
REED = (142, 138, 106)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


@pytest.fixture
def store(home: Path) -> Iterator[Store]:
    opened = Store(home)
    yield opened
    opened.close()


@pytest.fixture
def desk(store: Store) -> Iterator[Desk]:
    """A desk whose transaction is kept when the test ends well."""
    with store.desk(writing=True) as open_desk:
        yield open_desk


@pytest.fixture
def app(home: Path) -> FastAPI:
    return create_app(Settings(home=home))


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app) as connected:
        yield connected


@pytest.fixture
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
