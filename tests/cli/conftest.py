"""What the command is tried on: small pictures, and a process of its own where that matters."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from brief.cli import main

FORCED = ("FORCE_COLOR", "NO_COLOR", "COLORTERM", "CLICOLOR_FORCE", "TTY_COMPATIBLE", "COLUMNS")
# A dark timber, a pale one and a green dye, as flat stripes of so many rows.
STRIPES = {"#71553f": 120, "#d6b69b": 80, "#4f7f6d": 40}


@pytest.fixture(autouse=True)
def plain_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing in the tester's own environment decides what is printed."""
    for name in FORCED:
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("BRIEF_PASSPHRASE", raising=False)


@pytest.fixture(autouse=True)
def own_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The maker's own folder: not there yet."""
    home = tmp_path / "maker"
    monkeypatch.setenv("BRIEF_HOME", str(home))
    return home


@pytest.fixture
def brief(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Run the command in this process: exit code, standard output, standard error."""

    def run(*words: str | Path) -> tuple[int, str, str]:
        code = main([str(word) for word in words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.fixture
def brief_process() -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """Run `python -m brief` to its end."""

    def run(*words: str | Path, **env: str) -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(
            [sys.executable, "-m", "brief", *map(str, words)],
            env={**os.environ, **env},
            capture_output=True,
            timeout=60,
            check=False,
        )

    return run


@pytest.fixture
def stripes() -> list[str]:
    """The colours of `striped`: a half of it, a third, and the rest."""
    return list(STRIPES)


@pytest.fixture
def striped(tmp_path: Path) -> Path:
    """A picture of three flat colours."""
    rows = [np.tile(_rgb(code), (count, 40, 1)) for code, count in STRIPES.items()]
    path = tmp_path / "striped.png"
    Image.fromarray(np.concatenate(rows)).save(path)
    return path


@pytest.fixture
def grained(tmp_path: Path) -> Path:
    """A board with a figure: brown with lighter streaks."""
    rng = np.random.default_rng(7)
    figure = rng.normal(0, 9, size=(1, 60, 1)) + rng.normal(0, 3, size=(80, 60, 1))
    path = tmp_path / "grained.png"
    Image.fromarray(np.clip(_rgb("#71553f") + figure, 1, 254).astype(np.uint8)).save(path)
    return path


def _rgb(code: str) -> np.ndarray:
    return np.array([int(code[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.uint8)
