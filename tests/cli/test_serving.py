"""`brief serve` and `brief demo` answer, say where everything is, and leave in good order."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from functools import partial
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import ProxyHandler, build_opener

import pytest

from brief.cli.serve.listening import lan_addresses
from brief.services import nouns
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store
from tests.nursery import CHECKOUT, Forked, Nursery

PATIENCE_S = 240  # a busy machine
PASSPHRASE = "heron tide lamp oar"
TITLE = "Saltmarsh, first light"
OPENING = "Opening your briefs"
AT_ONCE = re.compile(r"[A-Z][a-z ]+; the first start can take a minute\.\n")  # said first
only_posix = pytest.mark.skipif(
    sys.platform == "win32", reason="Windows ends a process without asking it"
)


@pytest.fixture(autouse=True)
def ctrl_c_counts() -> Iterator[None]:
    """A shell without job control starts what runs in its background with Ctrl+C ignored, and
    processes hand that on; a handler is not handed on (POSIX, exec)."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


class Running:
    """A `brief` that serves: its process, the lines it said and its address."""

    def __init__(self, process: subprocess.Popen[str] | Forked) -> None:
        self.process = process
        self.said = ""
        for line in process.stdout:
            self.said += line
            if line.startswith("To stop"):
                break
        self.address = re.search(r"(?:is open|finds it) at (http://\S+/)", self.said)[1]

    def fetch(self, path: str) -> bytes:
        opener = build_opener(ProxyHandler({}))
        with opener.open(self.address + path, timeout=PATIENCE_S) as answer:
            return answer.read()

    def ask(
        self, method: str, path: str, sent: object = None, *, at: str = "", **headers: str
    ) -> tuple[int, dict[str, str]]:
        """The status and the headers, by their small names; `at`: another host to connect to."""
        where = urlsplit(self.address)
        headers = {name.replace("_", "-"): value for name, value in headers.items()}
        body = None if sent is None else json.dumps(sent)
        with closing(HTTPConnection(at or where.hostname, where.port, timeout=PATIENCE_S)) as line:
            line.request(method, path, body, {"Content-Type": "application/json", **headers})
            answer = line.getresponse()
            told: dict[str, str] = {}
            for name, value in answer.getheaders():  # the first of those that come twice
                told.setdefault(name.lower(), value)
            return answer.status, told

    def titles(self) -> list[str]:
        return [brief["title"] for brief in json.loads(self.fetch("api/briefs"))["items"]]


@contextmanager
def running(
    *words: str | Path,
    nursery: Nursery | None = None,
    does: str = "brief",
    filed: tuple[Path, str] | None = None,
    patience_s: float = PATIENCE_S,
    **env: str,
) -> Iterator[Running]:
    """nursery : forks it, where how a process starts or ends is not the question.
    does : of tests/children.py.
    filed : lay this demo out, where filing it, which takes seconds, is not the question."""
    given = [*map(str, words), "--no-browser", "--port", "0"]
    if filed is not None:
        does, given = "brief_laid_out", [*map(str, filed), *given]
    if nursery is not None:
        begun = nursery.fork(f"tests.children:{does}", *given, env=env, piped=True)
    else:
        script = f"import sys; from tests.children import {does}; sys.exit({does}(*sys.argv[1:]))"
        begun = subprocess.Popen(
            [sys.executable, *(["-m", "brief"] if does == "brief" else ["-c", script]), *given],
            env={**os.environ, **env},
            cwd=CHECKOUT,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
    with begun as process:
        watchdog = threading.Timer(patience_s, process.kill)
        watchdog.start()
        try:
            yield Running(process)
        finally:
            watchdog.cancel()
            process.terminate()
            process.wait(PATIENCE_S)


@pytest.fixture
def forked(nursery: Nursery | None) -> Callable[..., AbstractContextManager[Running]]:
    """`running`, without a start of Python for each."""
    return partial(running, nursery=nursery)


def own_briefs(home: Path, *titles: str) -> None:
    store = Store(home)
    with store.desk(writing=True) as desk:
        for title in titles:
            nouns.briefs.add(desk, BriefDraft(title=title))
    store.close()


def kept_titles(home: Path) -> list[str]:
    store = Store(home)
    with store.desk() as desk:
        titles = [brief.title for brief in nouns.briefs.page(desk)]
    store.close()
    return titles


# Ends where the server would be imported, and loses what was not flushed.
ENDS_AT_THE_IMPORT = """
import os, sys
from brief.cli import main

class Ends:
    def find_spec(self, name, *_):
        if name == "brief.cli.serve.serving":
            os._exit(8 if {"fastapi", "numpy", "sqlalchemy"} & set(sys.modules) else 7)

sys.meta_path.insert(0, Ends())
main([sys.argv[1], "--no-browser", "--port", "0"])
"""


@pytest.mark.parametrize(
    ("command", "said"), [("demo", "Getting the demo ready"), ("serve", OPENING)]
)
def test_something_is_said_before_anything_slow_is_begun(command, said):
    """A first start compiles all that it imports, which takes up to a minute."""
    done = subprocess.run(
        [sys.executable, "-c", ENDS_AT_THE_IMPORT, command],
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    assert (done.returncode, done.stderr) == (7, "")
    assert done.stdout == f"{said}; the first start can take a minute.\n"


def test_serve_answers_with_the_makers_briefs_until_it_is_told_to_end(own_home):
    own_briefs(own_home, "A mandola")
    with running("serve") as served:
        assert f"Your briefs and pictures are in {own_home.resolve()}." in served.said
        assert served.said.endswith("To stop, press Ctrl+C here.\n")
        assert "Careful" not in served.said
        assert served.titles() == ["A mandola"]
        served.process.terminate()
        served.process.wait(PATIENCE_S)
        assert served.process.stderr.read() == ""
    with pytest.raises(OSError, match="refused"):
        served.fetch("api/briefs")


def test_serve_keeps_everything_in_the_folder_it_is_given(forked, own_home, tmp_path):
    home = tmp_path / "on a stick"
    with forked("serve", "--home", home) as served:
        assert f"are in {home.resolve()}." in served.said
        assert served.titles() == []
    assert (home / "brief.sqlite3").is_file()
    assert not own_home.exists()


def test_an_empty_database_beside_pictures_is_said_at_the_start_and_on_the_shelf(forked, tmp_path):
    """As a power cut, or a program that copies folders, may leave it."""
    home = tmp_path / "home"
    store = Store(home)
    store.images.keep(b"a picture")
    store.close()
    (home / "brief.sqlite3").write_bytes(b"")
    with forked("serve", "--home", home) as served:
        said = f"The database in {home.resolve()} is empty, and 1 picture is beside it."
        assert said in " ".join(served.said.split())
        assert f"brief restore BACKUP --home {home.resolve()}" in " ".join(served.said.split())
        assert said in served.fetch("").decode()
    own_briefs(home, "Begun all the same")
    with forked("serve", "--home", home) as served:
        assert "is empty" not in served.said
        assert "is empty" not in served.fetch("").decode()


def status(served: Running, host: str) -> int:
    port = urlsplit(served.address).port
    with closing(HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as connection:
        connection.request("GET", "/api/briefs", headers={"Host": host})
        return connection.getresponse().status


def test_it_answers_only_to_the_names_it_goes_by(forked, tmp_path):
    """421: RFC 9110, 15.5.20. 192.0.2.7 is kept free for examples (RFC 5737)."""
    own = socket.gethostname()
    with forked("serve", "--home", tmp_path / "here", BRIEF_HOSTS="bench.example") as served:
        hosts = ("localhost", "bench.example", "elsewhere.example", "192.0.2.7")
        assert [status(served, host) for host in hosts] == [200, 200, 421, 421]
    everywhere = {"BRIEF_PASSPHRASE": PASSPHRASE}
    with forked("serve", "--home", tmp_path / "here", "--host", "0.0.0.0", **everywhere) as served:
        hosts = ("localhost", "192.0.2.7", own, f"{own}.elsewhere.example")
        assert [status(served, host) for host in hosts] == [401, 401, 401, 421]


@pytest.mark.parametrize("way", ["--lan", "--host=0.0.0.0"])
def test_on_the_network_it_asks_for_the_passphrase_and_says_who_can_read_along(
    forked, tmp_path, way
):
    around = lan_addresses()
    if not around:
        pytest.skip("this computer is on no network")
    home = tmp_path / "home"
    with forked("serve", "--home", home, way, BRIEF_PASSPHRASE=PASSPHRASE) as served:
        assert f"From another device on your network: http://{around[0]}:" in served.said
        assert "nothing is encrypted. Anyone on that network can read" in served.said
        assert "It asks for your passphrase" in served.said
        assert PASSPHRASE not in served.said
        assert "█" not in served.said  # a code for the camera is no use in a file
        for at in ("", around[0]):  # one proxy on this computer would let all the world in
            assert served.ask("GET", "/api/briefs", at=at)[0] == 401
        sent = {"passphrase": "heron tide lamp oak"}
        assert served.ask("POST", "/api/session", sent, at=around[0])[0] == 401
        code, told = served.ask("POST", "/api/session", {"passphrase": PASSPHRASE}, at=around[0])
        assert (code, "server" in told) == (200, False)
        signed_in = told["set-cookie"].partition(";")[0]
        assert served.ask("GET", "/api/briefs", at=around[0], Cookie=signed_in)[0] == 200
    with forked("serve", "--home", home) as served:
        assert served.titles() == []  # for this computer alone nothing has changed


def test_on_this_computer_nobody_is_believed_to_be_a_proxy(forked, tmp_path):
    """Otherwise the page of another site could pass for one of ours: RFC 6454, 4."""
    with forked("serve", "--home", tmp_path / "home") as served:
        origin = served.address.rstrip("/")
        said = {"X_Forwarded_Proto": "https", "X_Forwarded_For": "192.0.2.7"}
        marsh = {"title": "Marsh"}
        assert served.ask("POST", "/api/briefs", marsh, Origin=origin, **said)[0] == 201
        foreign = origin.replace("http:", "https:")
        assert served.ask("POST", "/api/briefs", marsh, Origin=foreign, **said)[0] == 403


def test_to_the_world_it_answers_only_behind_the_proxy_it_was_told_of(forked, tmp_path):
    """X-Forwarded-Proto is heeded from that proxy alone."""
    words = ["serve", "--home", tmp_path / "home", "--public", "briefs.example", "--behind-proxy"]
    through = {"Host": "briefs.example", "X_Forwarded_Proto": "https"}
    through["Origin"] = "https://briefs.example"
    sent = {"passphrase": PASSPHRASE}
    with forked(*words, BRIEF_PASSPHRASE=PASSPHRASE) as served:
        assert "is open at https://briefs.example/\n" in served.said
        assert "encrypted" not in served.said
        code, told = served.ask("POST", "/api/session", sent, **through)
        assert (code, "strict-transport-security" in told) == (200, True)
        assert re.match(r"__Host-\w+=.*; Secure", told["set-cookie"])
        assert served.ask("GET", "/api/briefs", **through)[0] == 401
        assert served.ask("GET", "/api/briefs", Host="briefs.example")[0] == 421
        other = {**through, "Host": "elsewhere.example"}
        assert served.ask("GET", "/api/briefs", **other)[0] == 421
    with forked(*words, "192.0.2.7") as served:  # another one than asks here
        assert served.ask("POST", "/api/session", sent, **through)[0] == 421


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--public"], "in the clear, so it is not started.*--behind-proxy.*--lan"),
        (["--public", "briefs.example"], "in the clear, so it is not started"),
        (["--public", "--behind-proxy"], "say under which name it is found"),
        (["--lan", "--public", "briefs.example", "--behind-proxy"], "--lan or --public, not both"),
        (["--lan"], "no terminal to type a passphrase in; set it in BRIEF_PASSPHRASE"),
        (["--host", "0.0.0.0"], "no terminal to type a passphrase in"),
        (["--scheduler", "tcp://cluster.example:8786"], "is not encrypted"),
    ],
)
def test_it_is_not_opened_to_others_unguarded(brief, own_home, monkeypatch, words, said):
    monkeypatch.setattr("brief.cli.serve.listening.lan_addresses", lambda: ["127.0.0.2"])
    monkeypatch.setattr("sys.stdin", io.StringIO())
    monkeypatch.setattr("uvicorn.Server.run", lambda *_args, **_kwargs: pytest.fail("it serves"))
    code, out, err = brief("serve", "--no-browser", "--port", "0", *words)
    assert (code, AT_ONCE.sub("", out)) == (2, "")
    assert re.search(said, err)


def test_a_passphrase_too_short_is_refused_at_the_start(brief, own_home, monkeypatch):
    monkeypatch.setenv("BRIEF_PASSPHRASE", "short")
    code, _, err = brief("serve", "--no-browser", "--port", "0", "--host", "0.0.0.0")
    assert (code, "at least 15 characters, and this has 5" in err) == (2, True)


@pytest.mark.slow
@only_posix
@pytest.mark.parametrize("signal_name", ["SIGTERM", "SIGINT", "SIGHUP"])
def test_the_demo_leaves_nothing_behind_and_nothing_changed(
    own_home, tmp_path, demo_filed, signal_name
):
    own_briefs(own_home, "A mandola")
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    with running("demo", filed=demo_filed, TMPDIR=str(scratch)) as served:
        (folder,) = scratch.glob("brief-demo-*")
        assert f"It is in {folder.resolve()}, which is deleted when you stop" in served.said
        assert "your own briefs are not touched" in served.said
        assert served.titles() == [TITLE]
        served.process.send_signal(getattr(signal, signal_name))
        assert served.process.wait(PATIENCE_S) == 130
        assert served.process.stderr.read() == ""
    assert list(scratch.iterdir()) == []
    assert kept_titles(own_home) == ["A mandola"]


def test_a_demo_that_is_kept_is_filed_once(forked, own_home, tmp_path):
    home = tmp_path / "kept"
    for _ in range(2):
        with forked("demo", "--home", home) as served:
            assert f"It is in {home.resolve()}, which is kept" in served.said
            assert served.titles() == [TITLE]
    assert kept_titles(home) == [TITLE]
    assert not own_home.exists()


def test_the_demo_is_not_put_among_the_makers_own_briefs(brief, own_home):
    own_briefs(own_home, "A mandola")
    code, out, err = brief("demo", "--no-browser", "--port", "0", "--home", own_home)
    assert (code, AT_ONCE.sub("", out)) == (2, "")
    assert f"{own_home} already holds briefs or a rack" in err
    assert kept_titles(own_home) == ["A mandola"]


@pytest.mark.parametrize("command", ["serve", "demo"])
def test_a_port_that_is_taken_is_refused_before_anything_is_begun(brief, own_home, command):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        code, out, err = brief(command, "--no-browser", "--port", str(port))
    assert (code, out) == (2, "")
    assert f"port {port} is taken" in err
    assert not own_home.exists()


def test_a_home_that_cannot_be_a_folder_is_refused(brief, tmp_path):
    (tmp_path / "file").write_text("not a folder")
    code, out, err = brief("serve", "--no-browser", "--port", "0", "--home", tmp_path / "file")
    assert (code, AT_ONCE.sub("", out)) == (2, "")
    assert re.fullmatch(r"brief: The folder .*file could not be made: .*\n", err)


@only_posix
@pytest.mark.skipif(sys.platform != "win32" and os.geteuid() == 0, reason="root may write anywhere")
def test_a_home_that_is_read_only_is_refused_with_a_way_out(brief, own_home):
    own_briefs(own_home)
    own_home.chmod(0o555)
    try:
        code, out, err = brief("serve", "--no-browser", "--port", "0")
    finally:
        own_home.chmod(0o755)
    assert (code, out) == (2, "")
    assert f"The folder {own_home} is read-only to this program" in err
    assert "name another folder with --home or BRIEF_HOME" in err


def test_a_tilde_is_the_own_folder_from_the_environment_too(forked, tmp_path, demo_filed):
    at_home = {"HOME": str(tmp_path), "USERPROFILE": str(tmp_path)}
    with forked("serve", BRIEF_HOME="~/briefs", **at_home) as served:
        assert f"are in {(tmp_path / 'briefs').resolve()}." in served.said
    with forked("demo", "--home", "~/kept", filed=demo_filed, **at_home) as served:
        assert f"It is in {(tmp_path / 'kept').resolve()}, which is kept" in served.said


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The pages opened in the browser by commands whose server stops at once."""
    pages: list[str] = []
    monkeypatch.setattr("webbrowser.open", pages.append)
    monkeypatch.setattr("uvicorn.Server.run", lambda *_args, **_kwargs: None)
    monkeypatch.setattr("threading.Thread.start", threading.Thread.run)
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    return pages


@pytest.mark.parametrize(
    ("platform", "display", "words", "opens"),
    [
        ("linux", {"DISPLAY": ":0"}, [], True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, [], True),
        ("linux", {}, [], False),
        ("darwin", {}, [], True),
        ("win32", {}, [], True),
        ("linux", {"DISPLAY": ":0"}, ["--no-browser"], False),
        ("win32", {}, ["--no-browser"], False),
    ],
)
def test_the_browser_is_opened_where_there_is_a_screen(
    brief, opened, monkeypatch, platform, display, words, opens
):
    monkeypatch.setattr("brief.cli.serve.serving.sys.platform", platform)
    for name, value in display.items():
        monkeypatch.setenv(name, value)
    code, out, _ = brief("serve", "--port", "0", *words)
    assert code == 0
    assert opened == ([re.search(r"http://\S+/", out)[0]] if opens else [])


def test_the_demo_opens_at_its_brief(brief, opened, monkeypatch, tmp_path, demo_filed):
    """Which lies there from an earlier day."""
    monkeypatch.setenv("DISPLAY", ":0")
    shutil.copytree(demo_filed[0], tmp_path / "kept")
    _, out, _ = brief("demo", "--port", "0", "--home", tmp_path / "kept")
    store = Store(tmp_path / "kept")
    with store.desk() as desk:
        (one,) = nouns.briefs.page(desk)
    store.close()
    assert opened == [re.search(r"http://\S+/", out)[0] + f"briefs/{one.id}"]


def test_a_port_that_was_moved_is_said(brief, opened, monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        monkeypatch.setattr("brief.cli.serve.listening.FIRST_PORT", port)
        monkeypatch.setattr("brief.cli.serve.serving.FIRST_PORT", port)
        _, out, _ = brief("serve", "--no-browser")
    assert re.search(rf"\(port {port} is taken, so it is \d+ this time\)", out)
