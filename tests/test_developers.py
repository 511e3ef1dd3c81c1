"""DEVELOPERS.md names what is there: files, and the functions of its three ways."""

from __future__ import annotations

import re
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent
TEXT = (HERE / "DEVELOPERS.md").read_text(encoding="utf-8")
SOURCES = [path for folder in ("brief", "web", "tests") for path in (HERE / folder).rglob("*.*")]
FILE = re.compile(r"`([\w.][\w/.-]*\.(?:py|js|html|toml|json|css|csv))`")


def test_every_file_that_is_named_is_there():
    paths = [f"/{path.relative_to(HERE).as_posix()}" for path in SOURCES] + ["/pyproject.toml"]
    paths += [f"/{path.relative_to(HERE).as_posix()}" for path in (HERE / "demo_assets").rglob("*")]
    named = set(FILE.findall(TEXT))
    assert len(named) > 100
    assert [one for one in named if not any(path.endswith(f"/{one}") for path in paths)] == []


def test_every_function_on_the_ways_is_written_somewhere():
    code = "\n".join(
        path.read_text(encoding="utf-8") for path in SOURCES if path.suffix in {".py", ".js"}
    )
    written = set(re.findall(r"(?:\bdef|\bclass|\bfunction) (\w+)", code))
    written |= set(re.findall(r"^ *(\w+)(?:: [\w\[\], ]+)? = ", code, re.MULTILINE))
    _, ways = TEXT.split("\n### Three ways through the code\n")
    ways, _ = ways.split("\n### ", 1)
    named = set(re.findall(r"`((?:\w+\.)?\w+)(?:\(\w*\))?`", FILE.sub("", ways)))
    assert len(named) > 30
    assert {part for one in named for part in one.split(".")} - written - COLUMNS == set()


COLUMNS = {"came_by"}
