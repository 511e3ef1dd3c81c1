"""What ruff does not see of a docstring: whether it agrees with the code below it.

The form is numpydoc's; ruff holds that every public function, method and class has one.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import brief

PACKAGE = Path(brief.__file__).parent
# Those whose functions say what they take, return and refuse.
PURE = ("colour", "photo", "instrument")
Function = ast.FunctionDef | ast.AsyncFunctionDef


def _functions(*folders: str) -> Iterator[tuple[str, Function, str]]:
    """Every public function with a docstring: where it is, its tree, and the docstring."""
    for folder in folders:
        for path in sorted((PACKAGE / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, Function) and not node.name.startswith("_"):
                    where = f"{path.relative_to(PACKAGE)}:{node.lineno} {node.name}"
                    yield where, node, ast.get_docstring(node) or ""


def _described(docstring: str) -> list[str]:
    """The names in its section of parameters."""
    section = re.search(r"^Parameters\n-+\n((?:.+\n?|\n(?! *\S+\n-))*)", docstring, re.MULTILINE)
    heads = re.findall(r"^([*\w][*\w, ]*?)(?: :.*)?$", section[1], re.MULTILINE) if section else []
    return [name.strip(" *") for head in heads for name in head.split(",")]


def _taken(node: Function) -> list[str]:
    given = node.args
    named = [*given.posonlyargs, *given.args, given.vararg, *given.kwonlyargs, given.kwarg]
    return [one.arg for one in named if one is not None and one.arg not in ("self", "cls")]


def test_a_section_of_parameters_names_those_that_the_function_takes():
    wrong = [
        f"{where}: {described}, but it takes {_taken(node)}"
        for where, node, docstring in _functions("")
        if (described := sorted(_described(docstring))) and described != sorted(_taken(node))
    ]
    assert not wrong


@pytest.mark.parametrize("folder", PURE)
def test_a_function_that_refuses_something_says_with_which_error(folder):
    silent = [
        where
        for where, node, docstring in _functions(folder)
        if any(isinstance(one, ast.Raise) for one in ast.walk(node))
        and not re.search(r"^Raises\n-+\n", docstring, re.MULTILINE)
    ]
    assert not silent
