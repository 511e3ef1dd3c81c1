"""A real server and Debian's Chromium, driven by Playwright. Skipped where there is none."""

from __future__ import annotations

import html
import re
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx2
import pytest
import uvicorn
from playwright.sync_api import Locator, Page, expect

from brief.api.app import create_app
from brief.api.limits import RateLimits
from brief.settings import Settings
from brief.store.desk import Store

# The shell is the same engine without what is around a window: a fifth less of the whole work.
CHROMIUM = next(
    filter(None, map(shutil.which, ("chromium-headless-shell", "chromium", "chromium-browser"))),
    None,
)
# What Playwright turns off itself (a further list takes the place of its own), the popup of an
# address bar that nobody sees: a page beside each page, which took longer than the page itself; and
# a process kept ready for a page that nobody opens.
TURNED_OFF = (
    "AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose", "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "PaintHolding",
    "ThirdPartyStoragePartitioning", "AvoidCorsURLLoaderRestartOnRedirect", "OptimizationHints",
    "NetworkTimeServiceQuerying", "AimEnabled", "PreconnectToSearch",
    "WebUIOmniboxPopup", "WebUIOmniboxAimPopup", "WebUIOmniboxFullPopup",
    "SpareRendererForSitePerProcess",
)  # fmt: skip
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    f"--disable-features={','.join(TURNED_OFF)}",
]
DESKTOP = {"width": 1280, "height": 900}
PATIENCE_MS = 120_000  # for what must come; how long it takes a busy machine is not the question
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

    @contextmanager
    def over(self, store: Store, brief_id: str = "") -> Iterator[Served]:
        """Serve another store meanwhile; what was asked of it is answered before this ends."""
        state = self.app.state
        own, state.store, state.limits = state.store, store, RateLimits()
        self.home, self.brief_id = store.home, brief_id
        yield self
        late = time.monotonic() + PATIENCE_MS / 1000
        while self._server.server_state.tasks:
            assert time.monotonic() < late, "a request is never answered"
            time.sleep(0.01)
        state.store = own


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium():
    if CHROMIUM is None:
        pytest.skip("Chromium is not installed")
    from playwright.sync_api import sync_playwright

    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(params=[DESKTOP, PHONE], ids=["desktop", "phone"])
def viewport(request):
    return request.param


HOUSES = ("served", "filled", "demo", "locked", "many", "shared")


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
    shown.under_way = set()
    shown.on("request", lambda request: shown.under_way.add(request))
    for over in ("requestfinished", "requestfailed"):
        shown.on(over, lambda request: shown.under_way.discard(request))
    yield shown
    context.close()
    unexpected = [e for e in errors if not any(text in e for text in shown.expected_errors)]
    assert unexpected == []


def settled(page: Page) -> None:
    """Wait until the page has all that it asked for: its pictures, and what its scripts fetch as
    soon as something is in view, which is known two frames later."""
    page.wait_for_load_state()
    quiet, late = 0, time.monotonic() + PATIENCE_MS / 1000
    while quiet < 2:
        page.evaluate("new Promise(done => requestAnimationFrame(() => setTimeout(done, 20)))")
        quiet = 0 if page.under_way else quiet + 1
        assert time.monotonic() < late, [request.url for request in page.under_way]


def eventually(page: Page, condition: str, given: object = None) -> None:
    """Wait for it. Playwright's own `wait_for_function` evaluates from within the page after its
    first try, which the policy of the pages forbids: it fails whenever the first was too early."""
    late = time.monotonic() + PATIENCE_MS / 1000
    while not page.evaluate(condition, given):
        assert time.monotonic() < late, condition
        page.wait_for_timeout(50)


def unfold(page: Page) -> None:
    """Open the instrument where a sheet has it folded, and wait until it is drawn."""
    fold = page.locator("[data-panel-fold]")
    if fold.is_visible() and fold.get_attribute("aria-expanded") == "false":
        fold.click()
    expect(page.locator("#panel .front svg").first).to_be_visible()


def open_reference(page: Page, title: str) -> Locator:
    """From the References sheet to one of them, large; its article."""
    page.locator("#references").get_by_role("link", name=title).first.click()
    expect(page.locator("article h2")).to_have_text(title)
    settled(page)
    return page.locator("article")


@pytest.fixture
def go(page):
    """Open a sheet of the brief in a house: `go(demo, "spec")`."""

    def to(served: Served, sheet: str):
        page.goto(f"{served.url}/briefs/{served.brief_id}/{sheet}")
        settled(page)
        return page

    return to


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for all tests; each house is a store under it."""
    with Served(tmp_path_factory.mktemp("server")) as running:
        yield running


@pytest.fixture
def served(server: Served, store: Store) -> Iterator[Served]:
    """An empty house."""
    with server.over(store):
        yield server


@pytest.fixture(scope="session")
def demo_filed(server: Served, demo_filed: tuple[Path, str]) -> tuple[Path, str]:
    """A folder with the demo filed once, to be copied, and the id of its brief. What is drawn once
    and then kept has been drawn."""
    home, brief_id = demo_filed
    store = Store(home)
    with server.over(store), httpx2.Client(base_url=server.url, timeout=None) as client:
        for sheet in ("references", "pairings"):
            text = client.get(f"/briefs/{brief_id}/{sheet}").raise_for_status().text
            for address in re.findall(r'src="(/api/[^"]+)"', text):
                client.get(html.unescape(address)).raise_for_status()
    store.close()
    return demo_filed


@pytest.fixture(scope="session")
def demo_store(
    demo_filed: tuple[Path, str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Store]:
    with _copied(demo_filed, tmp_path_factory.mktemp("demo")) as store:
        yield store


@pytest.fixture
def demo(server: Served, demo_store: Store, demo_filed: tuple[Path, str]) -> Iterator[Served]:
    """The demo, for tests that only look."""
    with server.over(demo_store, demo_filed[1]):
        yield server


@pytest.fixture
def filled(server: Served, demo_filed: tuple[Path, str], tmp_path: Path) -> Iterator[Served]:
    """The demo in a house of its own, for tests that change it."""
    with _copied(demo_filed, tmp_path) as store, server.over(store, demo_filed[1]):
        yield server


@contextmanager
def _copied(filed: tuple[Path, str], folder: Path) -> Iterator[Store]:
    """A copy, but for what is made of its pictures to be shown: that is made for all copies once,
    since making it takes longer than most tests."""
    home = folder / "home"
    shutil.copytree(filed[0], home, ignore=shutil.ignore_patterns("renditions"))
    (home / "images" / "renditions").symlink_to(filed[0] / "images" / "renditions")
    store = Store(home)
    yield store
    store.close()
