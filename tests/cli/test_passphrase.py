"""The passphrase is asked for in the terminal, the first time, and changed there."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest
import zxingcpp
from rich.console import Console

from brief.cli.commands.opening.passphrase import how_to_change, need_passphrase
from brief.cli.serve.phone_address import print_way_in
from brief.services.sharing import owner
from brief.store.desk import Store

FIRST, SECOND = "heron tide lamp oar", "curlew mast tar rope"


@pytest.fixture
def typing(monkeypatch):
    """Let somebody type these lines; returns what is left of them."""

    def lines(*typed: str) -> list[str]:
        left = list(typed)
        monkeypatch.setattr("sys.stdin.isatty", lambda: True)
        monkeypatch.setattr("getpass.getpass", lambda _prompt: left.pop(0))
        return left

    return lines


def opens(home, text: str) -> bool:
    store = Store(home)
    with store.desk() as desk:
        found = owner.opened_by(desk, text)
    store.close()
    return found is not None


def test_it_is_typed_twice_and_again_until_it_can_be_used(brief, own_home, typing):
    left = typing("short", FIRST, "heron tide lamp oak", FIRST, FIRST)
    code, out, err = brief("passphrase")
    assert (code, err, left) == (0, "", [])
    assert "Not this one: a passphrase has at least 15 characters, and this has 5" in out
    assert "The two were not the same" in out
    assert f"The passphrase of {own_home.resolve()} is set." in out
    assert FIRST not in out
    assert opens(own_home, FIRST)


def test_a_new_one_takes_the_place_of_the_old_one(brief, tmp_path, monkeypatch):
    home = tmp_path / "kept"
    for text in (FIRST, SECOND):
        monkeypatch.setenv("BRIEF_PASSPHRASE", text)
        assert brief("passphrase", "--home", home)[0] == 0
    assert (opens(home, FIRST), opens(home, SECOND)) == (False, True)


def test_the_way_to_change_it_names_another_folder(own_home, tmp_path):
    assert how_to_change(own_home) == "brief passphrase"
    assert how_to_change(tmp_path / "on a stick").endswith('on a stick"')


def test_without_a_terminal_the_environment_has_to_say_it(brief, own_home, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO())
    code, out, err = brief("passphrase")
    assert (code, out) == (2, "")
    assert "set it in BRIEF_PASSPHRASE" in err


def test_it_is_asked_for_once(store, typing, monkeypatch, capsys):
    left = typing(FIRST, FIRST)
    for _ in range(2):
        need_passphrase(store)
    assert left == []
    capsys.readouterr()
    monkeypatch.setenv("BRIEF_PASSPHRASE", FIRST)
    need_passphrase(store)
    assert capsys.readouterr().out == ""
    monkeypatch.setenv("BRIEF_PASSPHRASE", SECOND)
    need_passphrase(store)
    assert "is not the passphrase that these briefs have" in capsys.readouterr().out
    with store.desk() as desk:
        assert owner.opened_by(desk, FIRST)


def test_in_a_terminal_the_code_can_be_read_by_a_camera():
    """By ZXing-C++, dark on light; with a quiet zone of four modules, ISO/IEC 18004, 6.3.8."""
    address = "http://192.168.178.123:18765/"
    out = Console(file=io.StringIO(), force_terminal=True, color_system="truecolor", width=40)
    print_way_in(out, [address, "http://10.0.0.5:18765/"])
    said = re.sub(r"\x1b\[[\d;]*m", "", out.file.getvalue())
    assert "38;2;255;255;255;48;2;0;0;0m" in out.file.getvalue()
    rows = [line for line in said.splitlines() if re.fullmatch("[ ▀▄█]+", line)]
    upper, lower = {"█": 1, "▀": 1}, {"█": 1, "▄": 1}
    modules = [[half.get(sign, 0) for sign in row] for row in rows for half in (upper, lower)]
    pixels = np.kron(np.array(modules[: len(rows[0])], dtype=np.uint8) * 255, np.ones((6, 6)))
    (found,) = zxingcpp.read_barcodes(pixels.astype(np.uint8))
    assert found.text == address
    assert all(all(row) for row in modules[:4])
    assert "or, on another network: http://10.0.0.5:18765/" in said


def test_where_blocks_cannot_be_written_there_is_no_code():
    class OldCodePage(io.TextIOWrapper):
        encoding = "cp437"

    out = Console(file=OldCodePage(io.BytesIO()), force_terminal=True, width=80)
    assert out.encoding == "cp437"
    with out.capture() as said:
        print_way_in(out, ["http://192.168.1.5:8765/"])
    assert "█" not in said.get()
    assert "http://192.168.1.5:8765/" in said.get()
