"""`brief backup`, `brief restore` and `brief check`."""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from brief.services import nouns, offcuts
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.references import ReferenceFacts
from brief.store.desk import Store


@pytest.fixture
def home(tmp_path, picture) -> Path:
    """A home with one brief and one picture."""
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        made = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        facts = ReferenceFacts(rights="https://creativecommons.org/publicdomain/zero/1.0/")
        nouns.references.add_picture(desk, made.id, "reeds.png", picture(), facts)
    store.close()
    return tmp_path / "home"


@pytest.fixture
def stick(tmp_path) -> Path:
    return tmp_path / "stick"


def original(folder: Path) -> Path:
    (found,) = [one for one in (folder / "images" / "originals").rglob("*") if one.is_file()]
    return found


def begin(home: Path, title: str) -> None:
    store = Store(home)
    with store.desk(writing=True) as desk:
        nouns.briefs.add(desk, BriefDraft(title=title))
    store.close()


def test_out_and_back(brief, home, stick, tmp_path):
    code, said, err = brief("backup", stick, "--home", home)
    assert (code, err) == (0, "")
    assert said == f"{stick} holds 1 brief and 1 picture, 1 of them copied just now.\n"
    code, said, _ = brief("restore", stick, "--home", tmp_path / "new", "--json")
    assert json.loads(said)["briefs"] == 1
    code, _, err = brief("restore", stick, "--home", home)
    assert code == 2
    assert "nothing is overwritten" in err
    assert brief("export", "salt", "--out", tmp_path / "s.zip", "--home", tmp_path / "new")[0] == 0


def test_an_earlier_copy_is_named_and_put_back(brief, home, stick, tmp_path):
    brief("backup", stick, "--home", home)
    begin(home, "Heron")
    _, said, _ = brief("backup", stick, "--home", home)
    name = re.search(r"Earlier copies kept beside it: 1, the last (\S+)\n", said)[1]
    code, said, _ = brief("restore", stick, "--copy", name, "--home", tmp_path / "new")
    assert (code, "holds again 1 brief" in said) == (0, True)
    code, _, err = brief("restore", stick, "--copy", "may", "--home", tmp_path / "newer")
    assert (code, name in err) == (2, True)


def test_another_home_is_refused_as_often_as_it_is_tried(brief, home, stick, tmp_path):
    brief("backup", stick, "--home", home)
    Store(tmp_path / "other").close()
    for _ in range(2):
        code, said, err = brief("backup", stick, "--home", tmp_path / "other")
        assert (code, said) == (2, "")
        assert err.startswith(f"brief: {stick} is a backup of another home")
        assert "Nothing was changed" in err
    assert brief("restore", stick, "--home", tmp_path / "new")[1].count("holds again 1 brief") == 1


def test_fewer_briefs_are_said(brief, home, stick):
    begin(home, "Heron")
    brief("backup", stick, "--home", home)
    store = Store(home)
    with store.desk(writing=True) as desk:
        offcuts.remove(desk, nouns.briefs, nouns.briefs.page(desk)[0].id, "*")
    store.close()
    _, said, _ = brief("backup", stick, "--home", home)
    assert "On the shelf: 1 fewer than in the copy before, which is kept: 20" in said


def test_a_rotten_picture_is_named(brief, home, stick, tmp_path):
    brief("backup", stick, "--home", home)
    original(stick).write_bytes(b"rot")
    code, said, _ = brief("restore", stick, "--home", tmp_path / "new")
    assert code == 0
    assert "Damaged, so left out: “reeds.png”" in said
    assert "brief check --repair --from BACKUP" in said
    code, said, _ = brief("backup", stick, "--home", home)
    assert "Damaged before and right again: 1." in said


def test_a_backup_that_is_not_sound_ends_with_1(brief, home, stick):
    with closing(sqlite3.connect(home / "brief.sqlite3")) as connection, connection:
        connection.execute("UPDATE briefs SET numbers = '{'")
    code, said, err = brief("backup", stick, "--home", home)
    assert (code, err) == (1, "")
    assert "it is not sound: “numbers” of briefs" in said
    assert brief("backup", stick, "--home", home, "--json")[0] == 1


@pytest.mark.parametrize("damage", [Path.unlink, lambda place: place.write_bytes(b"rot")])
def test_a_backup_without_a_picture_ends_with_1(brief, home, stick, damage):
    damage(original(home))
    code, said, _ = brief("backup", stick, "--home", home)
    assert code == 1
    assert "so left out: “reeds.png”" in said


def test_check_says_what_is_wrong_and_repairs_it(brief, home, stick):
    brief("backup", stick, "--home", home)
    code, said, err = brief("check", "--home", home)
    assert (code, err) == (0, "")
    assert "All is well" in said
    original(home).unlink()
    code, said, err = brief("check", "--home", home)
    assert (code, err) == (1, "")
    assert "The file of “reeds.png” is missing. Put it back: brief check --repair" in said
    told = json.loads(brief("check", "--home", home, "--json")[1])
    assert (told["clean"], told["findings"][0]["kind"]) == (False, "missing")
    assert brief("check", "--repair", "--home", home)[0] == 1
    code, said, _ = brief("check", "--repair", "--from", stick, "--home", home)
    assert (code, "Mended: The file of “reeds.png” is missing." in said) == (0, True)
    assert brief("check", "--home", home)[0] == 0


def test_check_that_cannot_look_ends_with_2(brief, home, tmp_path):
    for words in (
        ["--home", tmp_path / "nowhere"],
        ["--home", home, "--from", home],  # without --repair
        ["--home", home, "--repair", "--from", tmp_path / "nowhere"],
        ["--mend"],
    ):
        code, said, err = brief("check", *words)
        assert (code, said) == (2, "")
        assert err


@pytest.mark.parametrize(
    "words",
    [
        ["export", "salt", "--out", "a.zip"],
        ["export", "salt", "--for-comment", "--out", "a.html"],
        ["booklet", "salt", "--out", "a.pdf"],
    ],
)
def test_a_file_made_without_a_picture_says_so(brief, home, tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    original(home).unlink()
    code, said, err = brief(*words, "--home", home)
    assert (code, err) == (0, "")
    assert "Made without pictures that are missing or damaged: “reeds.png”." in said
    assert Path(words[-1]).stat().st_size > 0
