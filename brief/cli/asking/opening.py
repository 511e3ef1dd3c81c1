"""Opening the program: one's own briefs, the demo, and who may."""

from __future__ import annotations

import argparse
import gc
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from brief.cli.asking.arguments import add_home, folder
from brief.errors import InputError, quoted

if TYPE_CHECKING:
    from brief.cli.serve.exposure import Proxy
    from brief.cli.serve.listening import Listener

PORTS = 65536
MOST_PROCESSES = 64


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add these commands: serve, demo, passphrase."""
    serve = commands.add_parser("serve", help="open your briefs in the browser")
    serve.set_defaults(run=_serve)
    _add_serving(
        serve, "the folder of your briefs and pictures (otherwise BRIEF_HOME, or your data folder)"
    )
    serve.add_argument(
        "--processes",
        metavar="N",
        type=_processes,
        default=1,
        help="answer in so many processes, for many people at once (1)",
    )
    serve.add_argument(
        "--log",
        choices=["json"],
        default="",
        help="write a line of JSON for each request, without anything private, to standard error",
    )
    serve.add_argument(
        "--metrics",
        action="store_true",
        help="count requests for /api/metrics (OpenMetrics), which the owner or the token in "
        "BRIEF_METRICS_TOKEN opens",
    )
    serve.add_argument(
        "--scheduler",
        metavar="tls://HOST:PORT",
        default="",
        help="have the workers of a Dask cluster compute the studio’s pictures (otherwise "
        "BRIEF_SCHEDULER, or this computer); certificates are where Dask’s own configuration says",
    )

    demo = commands.add_parser("demo", help="open an invented brief to look around in")
    demo.set_defaults(run=_demo)
    _add_serving(demo, "a folder to keep the demo in (otherwise it is deleted when you stop)")

    passphrase = commands.add_parser(
        "passphrase",
        help="set or change what opens your briefs from another device",
        description="Set or change the passphrase that --lan and --public ask for. It is typed "
        "here, or taken from BRIEF_PASSPHRASE. Whoever was signed in has to sign in again.",
    )
    passphrase.set_defaults(run=_passphrase)
    add_home(passphrase)
    _add_makers(commands)


def _add_makers(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    makers = commands.add_parser(
        "makers",
        help="share the server with other makers, each with a shelf and rack of their own",
        description="Without more, says who is here.",
    )
    makers.set_defaults(run=_makers)
    add_home(makers)
    what = makers.add_mutually_exclusive_group()
    what.add_argument(
        "--open", metavar="NAME", help="let others be invited; NAME is what you are called"
    )
    what.add_argument(
        "--invite",
        metavar="NAME",
        help="print a link that makes NAME a maker here, once; or gives them a new passphrase",
    )
    makers.add_argument(
        "--organises", action="store_true", help="who is invited sees what makers hand in"
    )


def _add_serving(parser: argparse.ArgumentParser, home: str) -> None:
    parser.add_argument("--home", metavar="PATH", type=folder, help=home)
    parser.add_argument(
        "--port",
        metavar="N",
        type=_port,
        help="this port and no other (otherwise 8765, or the next one that is free)",
    )
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--lan",
        action="store_true",
        help="answer the phone and others on your network, too, with your passphrase; shows a "
        "code for the phone's camera. It is not encrypted",
    )
    where.add_argument(
        "--host",
        metavar="ADDRESS",
        default="127.0.0.1",
        help="address to listen on (0.0.0.0 = all); asks for the passphrase (127.0.0.1: only this "
        "computer)",
    )
    parser.add_argument(
        "--public",
        metavar="NAME",
        nargs="?",
        const="",
        help="answer the world under this name, with your passphrase, behind a proxy that "
        "handles https (otherwise the first of BRIEF_HOSTS)",
    )
    parser.add_argument(
        "--behind-proxy",
        metavar="ADDRESSES",
        nargs="?",
        const="127.0.0.1,::1",
        help="the proxy's addresses, whose X-Forwarded-For and X-Forwarded-Proto are trusted "
        "(if it says nothing more: this computer's own)",
    )
    parser.add_argument("--no-browser", action="store_true", help="do not open the browser")


def _port(text: str) -> int:
    if not (text.isdecimal() and int(text) < PORTS):
        raise argparse.ArgumentTypeError(
            f"a port is a number from 0 to {PORTS - 1} (0: any that is free); got {quoted(text)}"
        )
    return int(text)


def _processes(text: str) -> int:
    if not (text.isdecimal() and 0 < int(text) <= MOST_PROCESSES):
        raise argparse.ArgumentTypeError(
            f"processes are a number from 1 to {MOST_PROCESSES}, such as 2; got {quoted(text)}"
        )
    return int(text)


@contextmanager
def _said_at_once(what: str) -> Iterator[None]:
    """Say it, and import what takes long: after an install Python has yet to compile that. Modules
    stay to the end; looking for garbage among them would be a fifth of importing them.
    """
    print(f"{what}; the first start can take a minute.", flush=True)
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def _opening(asked: argparse.Namespace) -> tuple[Proxy | None, Listener]:
    """What was said of a proxy, and the sockets, before all that takes long to import."""
    from brief.cli.serve.listening import Listener

    proxy = None
    if (asked.public, asked.behind_proxy) != (None, None):
        from brief.cli.serve.exposure import proxy_of

        proxy = proxy_of(asked.public, asked.behind_proxy)
    if asked.lan and proxy is not None:
        raise InputError("use --lan or --public, not both")
    at = Listener.on_lan(asked.port) if asked.lan else Listener.at(asked.host, asked.port)
    return proxy, at


def _serve(asked: argparse.Namespace) -> int:
    proxy, listener = _opening(asked)
    with _said_at_once("Opening your briefs"):
        from brief.cli.serve.serving import serve

    return serve(
        asked.home,
        listener,
        proxy,
        browser=not asked.no_browser,
        processes=asked.processes,
        asked={"log": asked.log, "metrics": asked.metrics, "scheduler": asked.scheduler},
    )


def _demo(asked: argparse.Namespace) -> int:
    proxy, listener = _opening(asked)
    with _said_at_once("Getting the demo ready"):
        from brief.cli.serve.serving import demo

    return demo(asked.home, listener, proxy, browser=not asked.no_browser)


def _passphrase(asked: argparse.Namespace) -> int:
    from brief.cli.commands.opening.passphrase import change_passphrase

    change_passphrase(asked.home)
    return 0


def _makers(asked: argparse.Namespace) -> int:
    from brief.cli.commands.opening import makers

    if asked.open is not None:
        makers.open_to_others(asked.home, asked.open)
    elif asked.invite is not None:
        makers.invite(asked.home, asked.invite, organises=asked.organises)
    else:
        makers.listed(asked.home)
    return 0
