"""Imports point down, and what is asked for little loads little."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from graphlib import TopologicalSorter
from pathlib import Path

import pytest
from grimp import build_graph
from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

CHECKOUT = Path(__file__).parent.parent
# What a layer must not load; by the name it is imported under.
WEB_AND_DATABASE = {"fastapi", "starlette", "uvicorn", "jinja2", "sqlalchemy", "alembic"}
CONVERTING = {"colormath", "networkx"}
# How many files of Python a folder may hold before whoever looks for one reads a list: then it gets
# rooms (common practice, no source).
MOST_FILES = 14
LISTS = {"brief/api", "brief/store/migrations/versions"}  # one file a noun, one a step
HEAVY = {"sklearn", "colour", "PIL", "pillow_heif", "contourpy", "scipy", "ezdxf", "reportlab"}


@pytest.mark.skipif(not (CHECKOUT / "pyproject.toml").exists(), reason="the layers are in it")
def test_the_layers_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(CHECKOUT)
    # It would silence every logger that there is, for the tests after this one, too.
    monkeypatch.setattr("importlinter.cli.logging_config.dictConfig", lambda config: None)
    assert lint_imports(no_cache=True) == EXIT_STATUS_SUCCESS


def test_no_module_needs_itself_by_way_of_others() -> None:
    graph = build_graph("brief", cache_dir=None)
    assert len(graph.modules) > 200
    needs = {one: graph.find_modules_directly_imported_by(one) for one in graph.modules}
    TopologicalSorter(needs).prepare()  # raises CycleError, which says the circle


def test_no_folder_holds_more_files_than_one_sees_at_a_glance() -> None:
    files = [path.relative_to(CHECKOUT) for path in (CHECKOUT / "brief").rglob("*.py")]
    held = Counter(path.parent.as_posix() for path in files)
    assert set(held) > LISTS
    full = {folder: count for folder, count in held.items() if count > MOST_FILES}
    assert {folder: full[folder] for folder in sorted(set(full) - LISTS)} == {}


def test_only_what_makes_tables_needs_the_library_that_comes_with_dev_alone() -> None:
    graph = build_graph("brief", cache_dir=None)
    assert graph.find_downstream_modules("brief.colour.reference_library") == {
        "brief.colour.notation.munsell_table",
        "brief.colour.viewing.light_surfaces",
        "brief.colour.viewing.light_tables",
    }


def _loaded_by(*code: str) -> set[str]:
    """The packages that are loaded once Python has run this."""
    listing = "import sys; print(*sorted({name.partition('.')[0] for name in sys.modules}))"
    done = subprocess.run(
        [sys.executable, "-c", "\n".join([*code, listing])],
        check=True,
        capture_output=True,
        text=True,
        cwd=CHECKOUT,
    )
    return set(done.stdout.splitlines()[-1].split())


@pytest.mark.parametrize(
    ("package", "unwanted"),
    [
        ("brief.colour", WEB_AND_DATABASE | HEAVY | {"pydantic"}),
        ("brief.errors", WEB_AND_DATABASE | HEAVY | {"pydantic", "numpy"}),
        ("brief.photo", WEB_AND_DATABASE | CONVERTING | {"sklearn", "colour", "pillow_heif"}),
        ("brief.instrument", WEB_AND_DATABASE | HEAVY),
        ("brief.wood", WEB_AND_DATABASE | HEAVY),
        ("brief.crew.processes", WEB_AND_DATABASE | HEAVY | {"numpy", "distributed"}),
        ("brief.cli.commands.looking.pair", WEB_AND_DATABASE | {"sklearn", "scipy", "shapely"}),
        ("brief.cli.commands.looking.palette", WEB_AND_DATABASE | {"sklearn", "scipy", "shapely"}),
        ("brief.store.desk", {"fastapi", "starlette", "alembic", "sklearn", "PIL"}),
        (
            "brief.services.nouns",
            {"fastapi", "starlette", "uvicorn", "jinja2", "sklearn"} | CONVERTING,
        ),
        ("brief.api.app", {"distributed", "sklearn", "colour", "alembic"} | CONVERTING),
    ],
)
def test_a_package_loads_only_what_it_is_about(package: str, unwanted: set[str]) -> None:
    loaded = _loaded_by(f"import {package}")
    assert "brief" in loaded
    assert loaded & unwanted == set()


def test_asking_for_help_loads_nothing_heavy() -> None:
    loaded = _loaded_by("from brief.cli import main", "assert main(['--help']) == 0")
    assert loaded & (WEB_AND_DATABASE | HEAVY | {"numpy"}) == set()
