"""The wheel carries all that the program needs, and runs without the checkout."""

from __future__ import annotations

import importlib.util
import json
import os
import re
import subprocess
import sys
import sysconfig
import threading
import venv
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.request import ProxyHandler, build_opener

import pytest

from brief.services.sheets import SHEETS

pytestmark = pytest.mark.wheel

CHECKOUT = Path(__file__).resolve().parent.parent
PATIENCE_S = 60
# What lies beside the package in the checkout, and what of the package is not Python.
PACKAGED = {"web": "brief/_packaged/web", "demo_assets": "brief/_packaged/demo_assets"}
DATA_FOLDERS = ["brief/store/migrations", "brief/instrument/presets"]
DEV_ONLY = ["colour"]  # what the program imported once, and now comes with the extra alone
JPEG_START = b"\xff\xd8\xff"


def run(*words: str | Path, cwd: Path) -> str:
    done = subprocess.run(
        [*map(str, words)],
        cwd=cwd,
        env=clean_environment(),
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def clean_environment(**more: str) -> dict[str, str]:
    """The tester's own, without what would show Python another way to the checkout."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return {**kept, **more}


def files_in(folder: Path) -> set[str]:
    return {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".pyc"
    }


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    # With the build backend at hand there is no need to fetch another one.
    at_hand = ["--no-isolation"] if importlib.util.find_spec("hatchling") else []
    run(
        sys.executable, "-m", "build", "--wheel", *at_hand, "--outdir", folder, CHECKOUT, cwd=folder
    )
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def names(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """A fresh environment with the wheel in it, as the paths of its scripts and packages.

    Everything else comes from the environment that runs the tests. Its folders are only added to
    the search path, behind the fresh ones: what .pth files lie there, such as that of an editable
    install of this project, is not read.
    """
    folder = tmp_path_factory.mktemp("fresh")
    venv.create(folder, with_pip=True)
    paths = sysconfig.get_paths("venv", vars={"base": str(folder), "platbase": str(folder)})
    python = Path(paths["scripts"], "python")
    run(python, "-m", "pip", "install", "--no-deps", "--no-index", wheel, cwd=folder)
    borrowed = {sysconfig.get_path(kind) for kind in ("purelib", "platlib")}
    Path(paths["purelib"], "borrowed.pth").write_text("\n".join(sorted(borrowed)))
    for name in DEV_ONLY:  # stands before the borrowed one, and cannot be imported
        Path(paths["purelib"], f"{name}.py").write_text(f"raise ImportError('{name} is borrowed')")
    return paths


def test_what_lies_beside_the_package_is_in_the_wheel(names):
    for folder, place in PACKAGED.items():
        wanted = {f"{place}/{name}" for name in files_in(CHECKOUT / folder)}
        assert any(name.endswith(".html" if folder == "web" else ".jpg") for name in wanted)
        assert wanted - names == set()


def test_the_data_of_the_package_is_in_the_wheel(names):
    for folder in DATA_FOLDERS:
        wanted = {f"{folder}/{name}" for name in files_in(CHECKOUT / folder)}
        assert wanted
        assert wanted - names == set()
    assert "brief/py.typed" in names


def test_nothing_else_is_in_the_wheel(names):
    assert {name.partition("/")[0].partition("-")[0] for name in names} == {
        "brief",
        "luthiers_brief",
    }
    assert [name for name in names if "__pycache__" in name or name.endswith(".sqlite3")] == []
    assert [name for name in names if name.startswith("luthiers_brief") and "LICENSE" in name]


def test_an_editable_install_is_the_checkout_and_copies_nothing(tmp_path):
    script = "import sys, hatchling.build; hatchling.build.build_editable(sys.argv[1])"
    run(sys.executable, "-c", script, tmp_path, cwd=CHECKOUT)
    (built,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(built) as archive:
        names = archive.namelist()
        (path,) = [name for name in names if name.endswith(".pth")]
        assert Path(archive.read(path).decode().strip()) == CHECKOUT
    assert [name for name in names if ".dist-info/" not in name] == [path]


def test_the_installed_package_is_the_wheels(installed, tmp_path):
    python = Path(installed["scripts"], "python")
    script = "import brief, sys; print(brief.__file__); print(*sys.path, sep='\\n')"
    place, *search = run(python, "-c", script, cwd=tmp_path).splitlines()
    assert Path(place).is_relative_to(installed["purelib"])
    assert str(CHECKOUT) not in search


@pytest.fixture(scope="module")
def demo(
    installed: dict[str, str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[str, str]]:
    """The wheel's own demo, served: its address, and the id of its brief."""
    folder = tmp_path_factory.mktemp("elsewhere")
    with subprocess.Popen(
        [Path(installed["scripts"], "brief"), "demo", "--no-browser", "--port", "0"],
        cwd=folder,
        env=clean_environment(BRIEF_HOME=str(folder / "own"), PYTHONUTF8="1"),
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    ) as process:
        watchdog = threading.Timer(PATIENCE_S, process.kill)
        watchdog.start()
        try:
            said = ""
            while "To stop" not in said and (line := process.stdout.readline()):
                said += line
            address = re.search(r"is open at (http://\S+)/", said)[1]
            (brief,) = json.loads(fetch(f"{address}/api/briefs"))["items"]
            yield address, brief["id"]
        finally:
            watchdog.cancel()
            process.terminate()


def fetch(url: str) -> bytes:
    with build_opener(ProxyHandler({})).open(url, timeout=PATIENCE_S) as answer:
        body: bytes = answer.read()
        return body


@pytest.mark.parametrize("page", ["", *(f"briefs/{{id}}/{sheet.key}" for sheet in SHEETS)])
def test_it_serves_its_pages_with_all_that_they_show(demo, page):
    address, brief_id = demo
    text = fetch(f"{address}/{page.format(id=brief_id)}").decode()
    assert "Saltmarsh, first light" in text
    styles = set(re.findall(r'"(/static/[^"]+)"', text))
    assert styles
    for path in styles:
        assert fetch(address + path)


def test_it_serves_the_pictures_of_the_demo(demo):
    address, brief_id = demo
    references = json.loads(fetch(f"{address}/api/references?brief_id={brief_id}"))["items"]
    pictures = [reference["picture"] for reference in references if reference["picture"]]
    assert pictures
    for picture in pictures:
        assert fetch(address + picture["thumb"]).startswith(JPEG_START)
    original = (CHECKOUT / "demo_assets" / "pictures" / pictures[0]["name"]).read_bytes()
    assert fetch(address + pictures[0]["original"]) == original
