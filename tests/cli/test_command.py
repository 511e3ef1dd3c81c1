"""The command as a whole: what can be asked of it, how it starts, and how it ends."""

from __future__ import annotations

import errno
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import brief as package
from brief.cli import main

OPTIONS = {
    "serve": ["--home", "--port", "--lan", "--host", "--public", "--behind-proxy", "--no-browser"],
    "demo": ["--home", "--port", "--lan", "--host", "--no-browser"],
    "passphrase": ["--home"],
    "palette": ["PHOTO", "--colours", "--colors", "--region", "--seed", "--json"],
    "pair": ["GROUND", "INLAY", "--line", "--from", "--light", "--eyes", "--json"],
}
# What takes long to import, and what `brief --help` has no use for at all.
HEAVY = {"alembic", "colour", "colormath", "fastapi", "jinja2", "numpy", "PIL", "pydantic", "rich"}
HEAVY |= {"scipy", "sklearn", "sqlalchemy", "uvicorn"}


def test_the_help_names_every_command(brief):
    code, out, err = brief("--help")
    assert (code, err) == (0, "")
    assert all(command in out for command in OPTIONS)


@pytest.mark.parametrize("command", OPTIONS)
def test_the_help_of_a_command_names_its_options(brief, command):
    code, out, err = brief(command, "--help")
    assert (code, err) == (0, "")
    assert all(option in out for option in OPTIONS[command])


def test_help_shows_what_is_to_be_typed(brief):
    _, out, _ = brief("pair", "--help")
    assert "lab(56.5% 19.3 34.4)" in " ".join(out.split())


def test_the_version_is_the_packages(brief):
    assert brief("--version") == (0, f"brief {package.__version__}\n", "")


def test_without_a_command_the_help_is_shown_as_a_slip(brief):
    code, out, err = brief()
    assert (code, out) == (2, "")
    assert "commands:" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["carve"], "invalid choice: 'carve'"),
        (["palette"], "required: PHOTO"),
        (["pair", "#fff"], "required: INLAY"),
        (["palette", "x.jpg", "--hues", "6"], "unrecognized arguments: --hues"),
        (["serve", "--port", "eighty"], "from 0 to 65535.*got “eighty”"),
        (["serve", "--port", "65536"], "from 0 to 65535.*got “65536”"),
        (["serve", "--home", ""], "name a folder, or leave --home out"),
        (["demo", "--home", " "], "name a folder, or leave --home out"),
        (["serve", "--port", "-1"], "from 0 to 65535.*got “-1”"),
    ],
    ids=" ".join,
)
def test_a_slip_is_explained_on_stderr(brief, words, said):
    code, out, err = brief(*words)
    assert (code, out) == (2, "")
    assert re.search(said, err)


def test_the_help_starts_without_anything_heavy():
    script = (
        "import sys; from brief.cli import main; assert main(['--help']) == 0; "
        "print(*(name.partition('.')[0] for name in sys.modules), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert "brief" in done.stderr.split()
    assert HEAVY & set(done.stderr.split()) == set()


def test_an_interruption_leaves_quietly(brief, monkeypatch, striped):
    def interrupted(*_args, **_kwargs):
        raise KeyboardInterrupt

    monkeypatch.setattr("brief.cli.commands.looking.palette.print_palette", interrupted)
    assert brief("palette", striped) == (130, "", "")


def test_main_reads_the_words_of_the_process(monkeypatch, capsys):
    monkeypatch.setattr(sys, "argv", ["brief", "--version"])
    assert main() == 0
    assert capsys.readouterr().out.startswith("brief ")


@pytest.mark.slow
@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_a_narrow_code_page_costs_signs_and_nothing_else(brief_process, striped, encoding):
    done = brief_process("palette", striped, PYTHONIOENCODING=encoding)
    assert done.returncode == 0
    assert done.stderr == b""
    said = done.stdout.decode(encoding)
    assert "#71553f" in said
    assert ("█" in said) == (encoding == "utf-8")


FULL = Path("/dev/full")  # full(4): every write to it fails as on a full disk
only_with_a_full_device = pytest.mark.skipif(not FULL.exists(), reason="no /dev/full here")


@pytest.mark.slow
@only_with_a_full_device
@pytest.mark.parametrize("words", [["pair", "#fff", "#000"], ["pair", "#fff", "#000", "--json"]])
def test_what_cannot_be_printed_is_said_to_be_so(words):
    with FULL.open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "brief", *words],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert re.fullmatch(r"brief: what was to be printed could not be: .+\n", done.stderr)


@pytest.mark.slow
@pytest.mark.parametrize("words", [["pair", "#fff", "#000"], ["pair", "#fff", "#000", "--json"]])
def test_a_reader_that_has_seen_enough_is_left_in_peace(words):
    reader, writer = os.pipe()
    os.close(reader)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "brief", *words],
            stdout=writer,
            stderr=subprocess.PIPE,
            check=False,
        )
    finally:
        os.close(writer)
    assert done.returncode != 0
    assert done.stderr == b""


def test_an_error_that_is_not_of_printing_is_not_taken_for_one(brief, monkeypatch, striped):
    def missing(*_args, **_kwargs):
        raise FileNotFoundError(errno.ENOENT, "gone", "somewhere")

    monkeypatch.setattr("brief.cli.commands.looking.palette.print_palette", missing)
    with pytest.raises(FileNotFoundError, match="gone"):
        brief("palette", striped)


def test_the_module_is_the_command(brief_process):
    done = brief_process("--version")
    assert (done.returncode, done.stdout.split()) == (0, [b"brief", package.__version__.encode()])
    assert brief_process("carve").returncode == 2
