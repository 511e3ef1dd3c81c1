"""`brief serve` and `brief demo`: the app on an address, until it is stopped."""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import threading
import webbrowser
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, closing, contextmanager
from functools import partial
from pathlib import Path
from types import MappingProxyType

import uvicorn
from fastapi import FastAPI
from uvicorn.config import LOGGING_CONFIG

from brief.api.app import create_app
from brief.api.metrics import SHARED
from brief.api.watch import log_as_json
from brief.cli.commands.opening.passphrase import how_to_change, need_passphrase
from brief.cli.serve.exposure import Proxy, settings_of
from brief.cli.serve.listening import FIRST_PORT, Listener
from brief.cli.serve.phone_address import print_way_in
from brief.cli.serve.several import HANGS_AFTER_S, Several, one_of_several
from brief.cli.terminal import console
from brief.crew.cluster import safe_address
from brief.places import demo_folder
from brief.services.demo import load_demo
from brief.services.photos.behind import pages_come_first
from brief.settings import Settings
from brief.store.databases.postgres import PostgresDatabase
from brief.store.pictures.bucket import Bucket


def serve(
    home: Path | None,
    listener: Listener,
    proxy: Proxy | None,
    *,
    browser: bool,
    processes: int = 1,
    asked: Mapping[str, object] = MappingProxyType({}),
) -> int:
    """Serve the maker's own briefs, in so many processes.

    asked : of `Settings.log`, `Settings.metrics` and `Settings.scheduler`.

    Raises StoreError if they cannot be opened, InputError if a passphrase is needed and cannot be
    had, or for a scheduler that cannot be one.
    """
    with closing(listener), _counted_together(processes):
        settings = settings_of(home, listener, proxy)
        told = {name: value for name, value in asked.items() if value}
        settings = settings.model_copy(update=told)
        if settings.scheduler:
            safe_address(settings.scheduler)
        app = create_app(settings)
        with closing(app.state.store):
            kept = _where_kept(settings)
            with app.state.store.desk() as desk:
                loss = app.state.store.loss(desk)
            if loss:
                console().print(loss, soft_wrap=True)
            return _run(app, listener, proxy, kept, "" if browser else None, processes)


def _where_kept(settings: Settings) -> str:
    home = settings.home.resolve()
    if settings.url is None and settings.bucket is None:
        return f"Your briefs and pictures are in {home}"
    briefs = PostgresDatabase(settings.url) if settings.url else home
    pictures = Bucket(settings.bucket) if settings.bucket else home
    return f"Your briefs are in {briefs}, their pictures in {pictures}"


def demo(home: Path | None, listener: Listener, proxy: Proxy | None, *, browser: bool) -> int:
    """Serve the invented demo from a folder of its own.

    Without `home` that is a temporary folder, deleted at the end. Raises InputError if `home`
    holds somebody's briefs or rack, or if a passphrase is needed and cannot be had; StoreError if
    it cannot be opened.
    """
    with closing(listener), _ended_as_by_ctrl_c(), ExitStack() as at_the_end:
        until = "which is kept"
        if home is None:
            made = tempfile.TemporaryDirectory(prefix="brief-demo-", ignore_cleanup_errors=True)
            home = Path(at_the_end.enter_context(made))
            until = "which is deleted when you stop"
        settings = settings_of(home, listener, proxy)
        app = create_app(settings)
        at_the_end.enter_context(closing(app.state.store))
        brief_id = load_demo(app.state.store, demo_folder(), alone=True)
        kept = (
            "This brief is invented, to look around in and to change as you like.\n"
            f"It is in {settings.home.resolve()}, {until}; your own briefs are not touched"
        )
        return _run(app, listener, proxy, kept, f"briefs/{brief_id}" if browser else None)


def _run(
    app: FastAPI,
    listener: Listener,
    proxy: Proxy | None,
    kept: str,
    page: str | None,
    processes: int = 1,
) -> int:
    """Say where everything is, open `page` in the browser, and serve until stopped."""
    settings: Settings = app.state.settings
    if settings.locked:
        need_passphrase(app.state.store)
    own_address = f"{proxy.origin}/" if proxy else listener.address
    lines = [f"The Luthier's Brief is open at {own_address}"]
    if proxy:
        lines.append(f"The proxy finds it at {listener.address}")
    if listener.moved:
        lines.append(f"(port {FIRST_PORT} is taken, so it is {listener.port} this time)")
    lines.append(f"{kept}.")
    if settings.locked:
        how = how_to_change(settings.home)
        lines.append(f"It asks for your passphrase; to change it: {how}")
    out = console()
    out.print("\n".join(lines), soft_wrap=True)
    if settings.addresses and not proxy:
        print_way_in(out, settings.addresses)
    out.print("To stop, press Ctrl+C here.")
    if page is not None and _has_a_screen():
        # On a thread, since some browsers come back only when they are closed.
        threading.Thread(target=webbrowser.open, args=[own_address + page], daemon=True).start()
    if settings.log:
        log_as_json()
    if processes > 1:
        app.state.store.close()  # each of them opens its own
        each = partial(one_of_several, settings)
        Several(_config(each, proxy, processes, logs=not settings.log), listener).run()
    else:
        pages_come_first()
        uvicorn.Server(_config(app, proxy, logs=not settings.log)).run(sockets=listener.sockets)
    return 0


def _config(
    app: FastAPI | Callable[[], FastAPI],
    proxy: Proxy | None,
    processes: int = 1,
    *,
    logs: bool = True,
) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        factory=not isinstance(app, FastAPI),
        workers=processes,
        timeout_worker_healthcheck=HANGS_AFTER_S,
        log_level="warning",
        log_config=LOGGING_CONFIG if logs else None,
        server_header=False,
        ws="none",  # nothing here speaks it, and the lock knows only of HTTP
        # Otherwise anybody could say that they came over TLS, or from another address.
        proxy_headers=proxy is not None,
        forwarded_allow_ips=proxy.trusted if proxy else None,
    )


@contextmanager
def _counted_together(processes: int) -> Iterator[None]:
    """A folder in which several processes count what they answer, gone at the end."""
    if processes == 1 or SHARED in os.environ:
        yield
        return
    with tempfile.TemporaryDirectory(prefix="brief-metrics-", ignore_cleanup_errors=True) as shared:
        os.environ[SHARED] = shared
        try:
            yield
        finally:
            del os.environ[SHARED]


def _has_a_screen() -> bool:
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


@contextmanager
def _ended_as_by_ctrl_c() -> Iterator[None]:
    """Take being told to end, and the closing of the terminal, like Ctrl+C.

    The server stops at these signals, too, but then lets them end the process at once, and a
    temporary folder would stay behind.
    """

    def told(_signal: int, _frame: object) -> None:
        raise KeyboardInterrupt

    def terminal_closed(_signal: int, _frame: object) -> None:
        signal.raise_signal(signal.SIGTERM)  # which the server knows how to take

    handlers: dict[int, Callable[[int, object], None]] = {signal.SIGTERM: told}
    if sys.platform != "win32":  # which ends a process whose window is closed
        handlers[signal.SIGHUP] = terminal_closed
    before = {number: signal.signal(number, handler) for number, handler in handlers.items()}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
