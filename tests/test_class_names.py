"""A class name means one thing in the whole program, so that a reader need not ask which."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent / "brief"


def test_no_two_classes_have_one_name() -> None:
    found = Counter(
        node.name
        for path in PACKAGE.rglob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert len(found) > 500
    assert [name for name, count in found.items() if count > 1] == []
