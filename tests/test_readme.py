"""What the README says to paste can be pasted."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from brief.cli import main

HERE = Path(__file__).resolve().parent.parent
README = (HERE / "README.md").read_text(encoding="utf-8")
LARGEST_PICTURE = 150_000  # bytes; a page of five opens at once on a phone
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", README, re.DOTALL)
PROGRAM = re.compile(r"(?:^|&& |; )(\.venv/bin/|\.venv\\Scripts\\)?brief (\w[\w-]*)", re.MULTILINE)


def blocks(kind: str) -> list[str]:
    return [text for name, text in BLOCKS if name == kind]


def test_a_shell_can_read_every_line():
    """A place to be filled in, such as "<this repository>", is a redirection to a shell."""
    assert blocks("sh")
    for text in blocks("sh"):
        assert subprocess.run(["sh", "-n"], input=text, text=True, check=False).returncode == 0
        assert "<" not in text


def test_what_is_for_powershell_has_nothing_that_its_first_version_refuses():
    """Windows PowerShell 5.1 knows no "&&" (about_Pipeline_Chain_Operators: from version 7)."""
    (text,) = blocks("powershell")
    assert "&&" not in text
    assert "/bin/" not in text


@pytest.mark.parametrize(("path", "command"), sorted(set(PROGRAM.findall(README))))
def test_every_command_is_one_that_there_is(path, command, capsys):
    assert main([command, "--help"]) == 0
    assert f"brief {command}" in capsys.readouterr().out


def test_before_the_short_form_is_used_it_is_said_how_it_is_found():
    said = README.index("`brief` alone stands for that path")
    assert all(path or found > said for found, path in _uses())


def _uses() -> list[tuple[int, str]]:
    return [(match.start(), match[1]) for match in PROGRAM.finditer(README)]


def test_its_pictures_are_there_small_said_in_words_and_none_is_left_over():
    shown = re.findall(r"!\[([^\]]+)\]\(([^)]+)\)", README)
    shown += [
        (alt, src) for src, alt in re.findall(r'<img src="([^"]+)"[^>]* alt="([^"]+)"', README)
    ]
    assert len(shown) == len(re.findall(r"!\[|<img", README))
    assert {path for _, path in shown} == {
        path.relative_to(HERE).as_posix() for path in (HERE / "demo_assets/screens").glob("*.webp")
    }
    assert all((HERE / path).stat().st_size < LARGEST_PICTURE for _, path in shown)
