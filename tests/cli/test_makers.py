"""Several makers on one server, from the terminal: opened, invited, copied, carried, checked."""

from __future__ import annotations

import hashlib
import json
import re
import sqlite3
from pathlib import Path

import pytest

from brief.cli import main
from brief.store.databases.copies import DATABASE
from tests.guild import PASSPHRASE, make, opened_guild, served_guild

pytestmark = pytest.mark.sqlite


@pytest.fixture
def shared(tmp_path: Path) -> Path:
    """The home of a guild in which Bea has a brief."""
    home = tmp_path / "guild"
    with served_guild(home) as guild:
        make(guild.of("Bea"), "briefs", title="Bea's heron", theme="a bird")
    return home


def _titles(home: Path) -> list[str]:
    (workshop,) = [one for one in (home / "workshops").iterdir() if _held(one)]
    return _held(workshop)


def _held(home: Path) -> list[str]:
    with sqlite3.connect(home / DATABASE) as connection:
        return [title for (title,) in connection.execute("SELECT title FROM briefs")]


def test_a_home_is_opened_to_others_and_says_who_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    at = ["--home", str(tmp_path / "home")]
    assert main(["makers", *at]) == 0
    assert "One maker has this server" in capsys.readouterr().out
    assert main(["makers", "--invite", "Bea", *at]) == 2
    assert "brief makers --open NAME" in capsys.readouterr().err
    monkeypatch.setenv("BRIEF_PASSPHRASE", PASSPHRASE["Ana"])
    assert main(["makers", "--open", "Ana", *at]) == 0
    assert "everything stays where it is" in capsys.readouterr().out
    assert main(["makers", "--open", "Ana", *at]) == 2
    capsys.readouterr()
    assert main(["makers", "--invite", "Bea", "--organises", *at]) == 0
    assert re.search(r"/join\?name=Bea#[\w-]{43}\n", capsys.readouterr().out)
    assert main(["makers", *at]) == 0
    assert capsys.readouterr().out == "Ana: owner of the server, organises\n"


@pytest.mark.parametrize("name", ["", "  ", "x" * 81, "two\x00signs"])
def test_a_name_that_cannot_be_used_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    assert main(["makers", "--open", name, "--home", str(tmp_path / "home")]) == 2
    assert "brief:" in capsys.readouterr().err


@pytest.mark.slow
def test_a_backup_has_every_workshop_and_is_put_back_whole(
    shared: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy, again = tmp_path / "copy", tmp_path / "again"
    assert main(["backup", str(copy), "--home", str(shared)]) == 0
    assert capsys.readouterr().out.count("holds") == 3  # Ana's, Bea's, Cleo's
    assert main(["backup", str(copy), "--home", str(shared), "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["workshops"]) == 2
    assert main(["restore", str(copy), "--home", str(again)]) == 0
    assert _titles(again) == _titles(shared) == ["Bea's heron"]
    assert main(["check", "--home", str(again)]) == 0
    with opened_guild(again) as guild:
        found = guild.of("Bea").get("/api/briefs").json()["items"]
        assert [one["title"] for one in found] == ["Bea's heron"]


@pytest.mark.slow
def test_a_check_looks_through_every_workshop(
    shared: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (at,) = [one for one in (shared / "workshops").iterdir() if _held(one)]
    sha256 = hashlib.sha256(b"of nobody").hexdigest()
    stray = at / "images" / "originals" / sha256[:2] / sha256
    stray.parent.mkdir(parents=True)
    stray.write_bytes(b"of nobody")
    assert main(["check", "--home", str(shared)]) == 1
    said = capsys.readouterr().out
    assert said.count("tables 00") == 3
    assert re.search(rf"{at}: .*\nNo record names the picture {sha256[:12]}", said)


@pytest.mark.slow
def test_a_workshop_that_is_gone_is_not_taken_for_empty(
    shared: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (at,) = [one for one in (shared / "workshops").iterdir() if _held(one)]
    at.rename(tmp_path / "elsewhere")
    with opened_guild(shared) as guild:
        answer = guild.of("Bea").get("/api/briefs")
        assert answer.status_code == 507
        assert "not there any more" in answer.json()["detail"]
        assert guild.of("Ana").get("/api/briefs").status_code == 200
    assert not at.exists()
    assert main(["check", "--home", str(shared)]) == 1
    assert f"The workshop {at.name} of one of the makers is not there." in capsys.readouterr().out
    assert main(["backup", str(tmp_path / "copy"), "--home", str(shared)]) == 1
    assert f"The workshop {at.name} of one of the makers is not there." in capsys.readouterr().out


@pytest.mark.slow
def test_a_guild_is_carried_to_a_server_and_back(
    shared: Path,
    tmp_path: Path,
    request: pytest.FixtureRequest,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    server = request.getfixturevalue("postgres")
    server.say("CREATE DATABASE guild")
    url = server.url("guild")
    assert main(["carry", url, "--home", str(shared)]) == 0
    monkeypatch.setenv("BRIEF_DATABASE_URL", url)
    monkeypatch.setenv("BRIEF_HOME", str(shared))
    capsys.readouterr()
    with monkeypatch.context() as elsewhere:  # a computer that has opened none of them yet
        elsewhere.setenv("BRIEF_HOME", str(tmp_path / "elsewhere"))
        assert main(["backup", str(tmp_path / "copy"), "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["workshops"]) == 2
    assert _titles(tmp_path / "copy") == ["Bea's heron"]
    back = tmp_path / "back"
    assert main(["carry", str(back)]) == 0
    assert _titles(back) == ["Bea's heron"]
