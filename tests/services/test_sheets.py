"""The sheets of a brief: what each of them shows."""

from __future__ import annotations

import ast
from dataclasses import fields
from pathlib import Path

import pytest

from brief.services import sheets
from brief.services.pairing.view_settings import Switches


@pytest.mark.parametrize("one", sheets.SHEETS, ids=lambda one: one.key)
def test_what_a_sheet_shows_never_stands_in_the_way_of_what_all_show(desk, shop, one) -> None:
    """The panel, for one, would show it as its own."""
    filled = sheets.sheet(desk, one, shop.brief.id, Switches.parse(""))
    names = [field.name for part in filled for field in fields(part)]
    assert {"sheet", "front", "lost_pictures"} < {*names}
    assert len(names) == len({*names})
    assert all(type(part).__dataclass_params__.frozen for part in filled)


def test_no_page_is_made_of_a_bag_of_anything() -> None:
    """What a template is filled with has a type, so that mypy sees what each page needs."""
    pages = Path(sheets.__file__).with_name("pages")
    files = [*pages.rglob("*.py"), Path(sheets.__file__)]
    assert len(files) > 10
    for file in files:
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AnnAssign):
                told = node.returns if isinstance(node, ast.FunctionDef) else node.annotation
                assert told is not None, (file, node.lineno)
                assert not {"Any", "Json", "Columns", "Fields"} & {
                    one.id for one in ast.walk(told) if isinstance(one, ast.Name)
                }, (file, node.lineno)


def test_which_pieces_were_never_tested_is_said_with_the_picture(desk, shop) -> None:
    """Or a maker would take the picture's bare wood for what a finish makes of it."""
    for name, reading in (("Ring", "Lab 30 9 15"), ("Binding", "Lab 60 9 15")):
        shop.part(name=name, material_id=shop.material(reading).id)

    def said(state: str) -> str:
        _, panel = sheets.panel(desk, sheets.THEME, shop.brief.id, Switches(state=state))
        return panel.untested

    assert said("finished") == "No finish test, shown bare: Ring and Binding."
    assert said("aged").startswith("No ageing test, shown bare: ")
    assert said("bare") == ""
