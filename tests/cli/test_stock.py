"""`brief stock`: its exit codes, what it says of each file, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest


@pytest.fixture
def folder(tmp_path: Path, grained: Path) -> Path:
    made = tmp_path / "store"
    made.mkdir()
    grained.rename(made / "board 1.png")
    return made


def test_says_what_came_of_each_file(brief, folder: Path) -> None:
    (folder / "note.jpg").write_text("delivery note")
    table = folder / "prices.csv"
    table.write_text("file,price\nboard 1.png,12\nsold.jpg,9\n")
    words = ("stock", folder, "--name", "Guild", "--table", table, "--processes", "1")
    code, out, _ = brief(*words)
    assert code == 1
    assert "“Guild”: 1 board measured" in out
    assert "note.jpg: “note.jpg” is not a picture" in out
    assert "sold.jpg: in the table, but not in the folder." in out

    (folder / "note.jpg").unlink()
    table.write_text("file,price\nboard 1.png,13\n")
    code, out, _ = brief(*words, "--source", "loft", "--json")
    told = json.loads(out)
    assert code == 0
    assert (told["files"], told["measured"], told["known"]) == (1, 0, 1)
    assert (told["twice"], told["failed"], told["without_a_file"]) == ({}, {}, [])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--processes", "0"), "--processes must be 1 to 64"),
        (("--processes", "many"), "--processes must be 1 to 64; got “many”"),
        (("--kind", "cheese"), "--kind"),
        (("--table", "none.csv"), "none.csv cannot be opened"),
        (("--name", " "), "--name"),
    ],
)
def test_refuses_what_cannot_be_done(brief, folder: Path, own_home: Path, words, said) -> None:
    code, out, err = brief("stock", folder, "--name", "Guild", *words)
    assert (code, out) == (2, "")
    assert said in err


def test_refuses_a_folder_that_has_nothing(brief, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "there are no files in" in brief("stock", empty, "--name", "Guild")[2]
    assert "is not a folder" in brief("stock", tmp_path / "none", "--name", "Guild")[2]
