"""`brief stock`: its exit codes, what it says of each file, and what it refuses."""

from __future__ import annotations

import json
import os
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
        (("--scheduler", "tcp://cluster.example:8786"), "is not encrypted"),
        (("--scheduler", "cluster.example"), "such as tls://cluster.example:8786"),
        (("--scheduler", "tls://127.0.0.1:1", "--processes", "2"), "not both"),
    ],
)
def test_refuses_what_cannot_be_done(brief, folder: Path, own_home: Path, words, said) -> None:
    code, out, err = brief("stock", folder, "--name", "Guild", *words)
    assert (code, out) == (2, "")
    assert said in err


def test_a_scheduler_that_is_not_there_leaves_nothing(brief, folder: Path, own_home: Path) -> None:
    pytest.importorskip("distributed")
    words = ("--name", "Guild", "--scheduler", "tcp://127.0.0.1:1")  # where nobody listens
    code, out, err = brief("stock", folder, *words)
    assert (code, out) == (2, "")
    assert "Nothing answers at tcp://127.0.0.1:1" in err
    assert not own_home.exists()


def test_refuses_a_folder_that_has_nothing(brief, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "there are no files in" in brief("stock", empty, "--name", "Guild")[2]
    assert "is not a folder" in brief("stock", tmp_path / "none", "--name", "Guild")[2]


def test_a_measured_table_comes_in_in_place_of_a_folder(brief, tmp_path: Path) -> None:
    table = tmp_path / "measured.txt"  # what it is, it says itself
    table.write_text("label,L,a,b,price (GBP)\nelm,50,8,20,12\nash,500,8,20,\n")
    words = ("stock", table, "--name", "Guild", "--source", "loft")
    code, out, _ = brief(*words)
    assert code == 1
    assert "“Guild”: 1 board new, without a photograph." in out
    assert "1 row: The table does not say under which light" in out
    assert "line 3: L: it must be a number from 0 to 100; got “500”" in out
    table.write_text("label,L,a,b,price (GBP)\nelm,50,8,20,13\nash,70,2,15,\n")
    code, out, _ = brief(*words, "--json")
    told = json.loads(out)
    assert code == 0
    counts = [told[one] for one in ("rows", "new", "changed", "same", "photographed")]
    assert (counts, told["refused"]) == ([2, 1, 1, 0, 0], [])


def test_a_table_refused_whole_leaves_nothing(brief, tmp_path: Path) -> None:
    table = tmp_path / "measured.csv"
    for text, said in (("label,L\nelm,50\n", "no column “a”"), ("", "is empty")):
        table.write_text(text)
        code, out, err = brief("stock", table, "--name", "Guild")
        assert (code, out) == (2, "")
        assert said in err
    table.write_text("label,L,a,b\nelm,500,8,20\n")
    assert brief("stock", table, "--name", "Guild")[0] == 1
    assert brief("stock", table, "--name", "Guild", "--processes", "2")[0] == 2
    assert brief("stock", table, "--name", "Guild", "--kind", "cheese")[0] == 2


def test_what_is_passed_over_is_told(brief, folder: Path, tmp_path: Path) -> None:
    (tmp_path / "loft").mkdir()
    (folder / "loft").symlink_to(tmp_path / "loft")
    (folder / "gone.jpg").symlink_to(tmp_path / "gone.jpg")
    (folder / "round.jpg").symlink_to("round.jpg")
    os.mkfifo(folder / "pipe.jpg")
    code, out, _ = brief("stock", folder, "--name", "Guild", "--processes", "1", "--json")
    told = json.loads(out)
    assert (code, told["files"], told["measured"]) == (1, 5, 1)
    assert told["failed"]["loft"] == "It is a folder, shut or linked. Name it by itself."
    assert told["failed"]["pipe.jpg"] == "It is no file."
    assert told["failed"]["gone.jpg"].startswith("It cannot be read:")
    assert told["failed"]["round.jpg"].startswith("It cannot be read:")


def test_an_address_that_gives_nothing_is_refused(brief, own_home: Path) -> None:
    for url, said in (
        ("ftp://example.org/boards.zip", "it must be https://HOST/FILE"),
        ("http://127.0.0.1:9/boards.zip", "the server does not answer"),  # nobody listens there
    ):
        code, out, err = brief("stock", url, "--name", "Guild")
        assert (code, out) == (2, "")
        assert said in err
    assert not own_home.exists()
