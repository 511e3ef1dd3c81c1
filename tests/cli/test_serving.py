"""`brief serve` and `brief demo` answer, say where everything is, and leave in good order."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import ProxyHandler, build_opener

import pytest

from brief.services import nouns
from brief.services.theme import BriefDraft
from brief.store.desk import Store

PATIENCE_S = 60
TITLE = "Saltmarsh, first light"
only_posix = pytest.mark.skipif(
    sys.platform == "win32", reason="Windows ends a process without asking it"
)


class Running:
    """A `brief` that serves: its process, the lines it said and its address."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.process = process
        self.said = ""
        for line in process.stdout:
            self.said += line
            if line.startswith("To stop"):
                break
        self.address = re.search(r"is open at (http://\S+/)", self.said)[1]

    def fetch(self, path: str) -> bytes:
        opener = build_opener(ProxyHandler({}))
        with opener.open(self.address + path, timeout=PATIENCE_S) as answer:
            return answer.read()

    def titles(self) -> list[str]:
        return [brief["title"] for brief in json.loads(self.fetch("api/briefs"))["items"]]


@contextmanager
def running(*words: str | Path, **env: str) -> Iterator[Running]:
    with subprocess.Popen(
        [sys.executable, "-m", "brief", *map(str, words), "--no-browser", "--port", "0"],
        env={**os.environ, **env},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    ) as process:
        watchdog = threading.Timer(PATIENCE_S, process.kill)
        watchdog.start()
        try:
            yield Running(process)
        finally:
            watchdog.cancel()
            process.terminate()
            process.wait(PATIENCE_S)


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


def test_serve_keeps_everything_in_the_folder_it_is_given(own_home, tmp_path):
    home = tmp_path / "on a stick"
    with running("serve", "--home", home) as served:
        assert f"are in {home.resolve()}." in served.said
        assert served.titles() == []
    assert (home / "brief.sqlite3").is_file()
    assert not own_home.exists()


def status(served: Running, host: str) -> int:
    port = urlsplit(served.address).port
    with closing(HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as connection:
        connection.request("GET", "/api/briefs", headers={"Host": host})
        return connection.getresponse().status


def test_it_answers_only_to_the_names_it_goes_by(tmp_path):
    """421: RFC 9110, 15.5.20. 192.0.2.7 is kept free for examples (RFC 5737)."""
    own = socket.gethostname()
    with running("serve", "--home", tmp_path / "here", BRIEF_HOSTS="bench.example") as served:
        hosts = ("localhost", "bench.example", "elsewhere.example", "192.0.2.7")
        assert [status(served, host) for host in hosts] == [200, 200, 421, 421]
    with running("serve", "--home", tmp_path / "here", "--host", "0.0.0.0") as served:
        hosts = ("localhost", "192.0.2.7", own, f"{own}.elsewhere.example")
        assert [status(served, host) for host in hosts] == [200, 200, 200, 421]


def test_on_the_network_it_says_who_can_read_and_write(tmp_path):
    with running("serve", "--home", tmp_path / "home", "--host", "0.0.0.0") as served:
        assert "there is no password. Anyone on that network can read the briefs and" in served.said
        assert re.search(r"From another device on your network: http://\S+:\d+/\n", served.said)
        assert served.titles() == []


@only_posix
@pytest.mark.parametrize("signal_name", ["SIGTERM", "SIGINT", "SIGHUP"])
def test_the_demo_leaves_nothing_behind_and_nothing_changed(own_home, tmp_path, signal_name):
    own_briefs(own_home, "A mandola")
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    with running("demo", TMPDIR=str(scratch)) as served:
        (folder,) = scratch.glob("brief-demo-*")
        assert f"It is in {folder.resolve()}, which is deleted when you stop" in served.said
        assert "your own briefs are not touched" in served.said
        assert served.titles() == [TITLE]
        served.process.send_signal(getattr(signal, signal_name))
        assert served.process.wait(PATIENCE_S) == 130
        assert served.process.stderr.read() == ""
    assert list(scratch.iterdir()) == []
    assert kept_titles(own_home) == ["A mandola"]


def test_a_demo_that_is_kept_is_filed_once(own_home, tmp_path):
    home = tmp_path / "kept"
    for _ in range(2):
        with running("demo", "--home", home) as served:
            assert f"It is in {home.resolve()}, which is kept" in served.said
            assert served.titles() == [TITLE]
    assert kept_titles(home) == [TITLE]
    assert not own_home.exists()


def test_the_demo_is_not_put_among_the_makers_own_briefs(brief, own_home):
    own_briefs(own_home, "A mandola")
    code, out, err = brief("demo", "--no-browser", "--port", "0", "--home", own_home)
    assert (code, out) == (2, "")
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
    assert (code, out) == (2, "")
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


def test_a_tilde_is_the_own_folder_from_the_environment_too(tmp_path):
    at_home = {"HOME": str(tmp_path), "USERPROFILE": str(tmp_path)}
    with running("serve", BRIEF_HOME="~/briefs", **at_home) as served:
        assert f"are in {(tmp_path / 'briefs').resolve()}." in served.said
    with running("demo", "--home", "~/kept", **at_home) as served:
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
    monkeypatch.setattr("brief.cli.serving.sys.platform", platform)
    for name, value in display.items():
        monkeypatch.setenv(name, value)
    code, out, _ = brief("serve", "--port", "0", *words)
    assert code == 0
    assert opened == ([re.search(r"http://\S+/", out)[0]] if opens else [])


def test_the_demo_opens_at_its_brief(brief, opened, monkeypatch, tmp_path):
    monkeypatch.setenv("DISPLAY", ":0")
    _, out, _ = brief("demo", "--port", "0", "--home", tmp_path / "kept")
    store = Store(tmp_path / "kept")
    with store.desk() as desk:
        (one,) = nouns.briefs.page(desk)
    store.close()
    assert opened == [re.search(r"http://\S+/", out)[0] + f"briefs/{one.id}"]


def test_a_port_that_was_moved_is_said(brief, opened, monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        monkeypatch.setattr("brief.cli.listening.FIRST_PORT", port)
        monkeypatch.setattr("brief.cli.serving.FIRST_PORT", port)
        _, out, _ = brief("serve", "--no-browser")
    assert re.search(rf"\(port {port} is taken, so it is \d+ this time\)", out)
