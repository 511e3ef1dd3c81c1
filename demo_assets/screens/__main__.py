"""Takes the README's pictures of the running demo again: `python -m demo_assets.screens`.

It needs Chromium, and serves a demo of its own on this computer while it runs.
"""

from __future__ import annotations

import shutil
import socket
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import uvicorn
from playwright.sync_api import sync_playwright

from brief.api.app import create_app
from brief.places import demo_folder
from brief.services.demo import load_demo
from brief.settings import Settings
from demo_assets.screens.take import SCREENS, keep, picture_file, take


@contextmanager
def served_demo(home: Path) -> Iterator[tuple[str, str]]:
    """The address of a demo filed in `home`, and the id of its brief."""
    app = create_app(Settings(home=home))
    brief_id = load_demo(app.state.store, demo_folder())
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    try:
        while not server.started:
            time.sleep(0.05)
        yield f"http://127.0.0.1:{listening.getsockname()[1]}", brief_id
    finally:
        server.should_exit = True
        thread.join(timeout=10)


def main() -> None:
    """Every picture, with its words beside it."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    with (
        tempfile.TemporaryDirectory() as folder,
        served_demo(Path(folder) / "home") as (url, brief_id),
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        for screen in SCREENS:
            keep(screen.name, take(browser, url, brief_id, screen))
            size = picture_file(screen.name).stat().st_size
            print(f"{picture_file(screen.name).name}  {size // 1024} kB")
        browser.close()


if __name__ == "__main__":
    main()
