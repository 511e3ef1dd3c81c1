"""Styles and scripts of the pages, each as one answer.

`web/static` has many small files, so that each can be read; a browser would ask for them one after
the other, which a phone at the bench waits for. So the files are put together here, once in a
process: styles by a list, modules from `app.js` in the order of their imports.
"""

from __future__ import annotations

import hashlib
import posixpath
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fastapi import Request
from fastapi.responses import Response

from brief.api.routing import Router
from brief.places import web_folder

router = Router(include_in_schema=False)

STYLES = ("css/faces.css", "css/paper.css", "css/sheet.css")  # the rest follows by name
NOT_OF_PAGES = ("css/docs.css", "css/guest.css")
"""Styles of pages that load them by themselves."""
FIRST_MODULE = "app.js"
TURNING = "turning/stage.js"
IN_A_FILE = "turning/in-a-file.js"
FOR_GOOD = "public, max-age=31536000, immutable"

_IMPORT = re.compile(r"^import (?P<names>\{[^}]*\}|\* as \w+) from '(?P<path>\.[^']*)';\n", re.M)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function\*?|const|class) (?P<name>\w+))", re.M)


@dataclass(frozen=True)
class Bundle:
    """text : all of it. address : where it is served; another text has another address."""

    text: str
    address: str


@router.get("/static/css/pages.css")
def styles(request: Request) -> Response:
    """All styles of the pages."""
    return _answer(request, style_bundle(), "text/css")


@router.get("/static/js/pages.js")
def scripts(request: Request) -> Response:
    """All modules of the pages."""
    return _answer(request, script_bundle(), "text/javascript")


@router.get("/static/js/turning.js")
def turning(request: Request) -> Response:
    """The modules that turn the instrument, which a page asks for once somebody wants that."""
    return _answer(request, turning_bundle(), "text/javascript")


def _answer(request: Request, bundle: Bundle, media_type: str) -> Response:
    """Kept for good by whoever asked for just this text."""
    known = request.url.query == bundle.address.partition("?")[2]
    kept = FOR_GOOD if known else "no-cache"
    return Response(bundle.text, media_type=media_type, headers={"Cache-Control": kept})


@cache
def style_bundle() -> Bundle:
    """The styles in the order of `STYLES`, then all others of `css` and what modules bring."""
    folder = web_folder() / "static"
    others = sorted(file.relative_to(folder).as_posix() for file in folder.glob("**/*.css"))
    names = [*STYLES, *(one for one in others if one not in (*STYLES, *NOT_OF_PAGES))]
    text = "\n".join((folder / name).read_text(encoding="utf-8") for name in names)
    return _bundle(text, "/static/css/pages.css")


@cache
def script_bundle() -> Bundle:
    """The modules as one, which has each of them in `modules`, by its path below `js`."""
    return _scripts(FIRST_MODULE, "/static/js/pages.js")


@cache
def turning_bundle() -> Bundle:
    """As `script_bundle`, of what turns the instrument."""
    return _scripts(TURNING, "/static/js/turning.js")


@cache
def script_in_a_file() -> str:
    """What turns the instrument, as a plain script for a file that asks for nothing."""
    text = linked(web_folder() / "static" / "js", IN_A_FILE)
    return f"(() => {{\n{text.removeprefix('export ')}}})();\n"


def _scripts(first: str, address: str) -> Bundle:
    return _bundle(linked(web_folder() / "static" / "js", first), address)


def linked(folder: Path, first: str) -> str:
    """A module with all that it imports as one module; `modules` holds what each exports.

    Each has a scope of its own, a function that answers with its exports. It follows that what is
    exported is a function, a class or a `const`, by a name of its own.

    Raises ValueError for modules that import each other in a circle, or an import or export that
    is written in any other way.
    """
    parts = [
        f"modules['{path}'] = (() => {{\n{text}\n}})();" for path, text in _in_order(folder, first)
    ]
    return "export const modules = {};\n" + "\n".join(parts) + "\n"


def _in_order(folder: Path, first: str) -> Iterator[tuple[str, str]]:
    """Path and rewritten text of each module, those that it imports before it."""
    done: set[str] = set()
    within: list[str] = []

    def follow(path: str) -> Iterator[tuple[str, str]]:
        if path in within:
            raise ValueError(f"modules import each other: {' → '.join([*within, path])}")
        if path in done:
            return
        within.append(path)
        text = (folder / path).read_text(encoding="utf-8")
        for found in _IMPORT.finditer(text):
            yield from follow(_path(path, found["path"]))
        within.pop()
        done.add(path)
        yield path, _in_a_scope(path, text)

    yield from follow(first)


def _in_a_scope(path: str, text: str) -> str:
    """The text of a module as that of a function: its imports looked up, its exports answered."""
    names = [found["name"] for found in _EXPORT.finditer(text)]

    def looked_up(found: re.Match[str]) -> str:
        taken = found["names"].removeprefix("* as ").replace(" as ", ": ")
        return f"const {taken} = modules['{_path(path, found['path'])}'];\n"

    text = _EXPORT.sub("", _IMPORT.sub(looked_up, text))
    if odd := re.search(r"^(?:import|export)\b.*|.*\bawait import\(['\"`].*", text, re.M):
        raise ValueError(f"{path} has an import or export that cannot be linked: {odd[0]}")
    return f"{text}return {{ {', '.join(names)} }};"


def _path(path: str, imported: str) -> str:
    return posixpath.normpath(posixpath.join(posixpath.dirname(path), imported))


def _bundle(text: str, address: str) -> Bundle:
    return Bundle(text, f"{address}?{hashlib.sha256(text.encode()).hexdigest()[:16]}")
