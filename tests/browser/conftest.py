"""A real server and Debian's Chromium, driven by Playwright. Skipped where there is none."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn

from brief.api.app import create_app
from brief.places import demo_folder
from brief.services.demo import load_demo
from brief.settings import Settings
from brief.store.desk import Store

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
DESKTOP = {"width": 1280, "height": 900}
PATIENCE_MS = 30_000  # measuring a photograph takes a busy machine a while
PHONE = {"width": 390, "height": 844}


class Served:
    """The app at `url`, its data in `home`; `opened` as `Settings` has it."""

    def __init__(self, home: Path, **opened: object) -> None:
        self.home = home
        self.app = create_app(Settings(home=home, **opened))
        listening = socket.socket()
        listening.bind(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{listening.getsockname()[1]}"
        self._server = uvicorn.Server(uvicorn.Config(self.app, log_level="error"))
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [listening]}, daemon=True
        )

    def __enter__(self) -> Served:
        self._thread.start()
        while not self._server.started:
            time.sleep(0.02)
        return self

    def __exit__(self, *_: object) -> None:
        self._server.should_exit = True
        self._thread.join(timeout=10)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium():
    if CHROMIUM is None:
        pytest.skip("Chromium is not installed")
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(params=[DESKTOP, PHONE], ids=["desktop", "phone"])
def viewport(request):
    return request.param


HOUSES = ("served", "filled", "demo", "locked")


@pytest.fixture
def page(request, chromium, viewport):
    """A page that fails the test at its end if the browser reported any error."""
    for (
        house
    ) in HOUSES:  # it is opened before the page, so that the page is closed before it stops:
        if house in request.fixturenames:  # what is still being fetched would be refused
            request.getfixturevalue(house)
    context = chromium.new_context(viewport=viewport, has_touch=viewport is PHONE)
    shown = context.new_page()
    shown.set_default_timeout(PATIENCE_MS)
    errors: list[str] = []
    shown.on("pageerror", lambda error: errors.append(str(error)))
    shown.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    shown.expected_errors = []  # texts that a test brings about on purpose
    yield shown
    context.close()
    unexpected = [e for e in errors if not any(text in e for text in shown.expected_errors)]
    assert unexpected == []


@pytest.fixture
def go(page):
    """Open a sheet of the brief in a house: `go(demo, "spec")`."""

    def to(served: Served, sheet: str):
        page.goto(f"{served.url}/briefs/{served.brief_id}/{sheet}")
        page.wait_for_load_state("networkidle")
        return page

    return to


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """An empty house."""
    with Served(tmp_path / "home") as running:
        yield running


@pytest.fixture(scope="session")
def demo_filed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A folder with the demo filed once, to be copied; and the id of its brief."""
    home = tmp_path_factory.mktemp("filed")
    store = Store(home)
    brief_id = load_demo(store, demo_folder())
    store.close()
    return home, brief_id


@pytest.fixture(scope="session")
def demo(
    demo_filed: tuple[Path, str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Served]:
    """The demo, for tests that only look."""
    with _served_copy(demo_filed, tmp_path_factory.mktemp("demo")) as running:
        yield running


@pytest.fixture
def filled(demo_filed: tuple[Path, str], tmp_path: Path) -> Iterator[Served]:
    """The demo in a house of its own, for tests that change it."""
    with _served_copy(demo_filed, tmp_path) as running:
        yield running


def _served_copy(filed: tuple[Path, str], folder: Path) -> Served:
    home, brief_id = filed
    running = Served(Path(shutil.copytree(home, folder / "home")))
    running.brief_id = brief_id
    return running
