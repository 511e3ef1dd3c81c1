"""The sheets of a brief: what each of them shows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brief.services import sheets
from brief.services.pairing.view_settings import Switches, shown_as


@pytest.mark.parametrize("one", sheets.SHEETS, ids=lambda one: one.key)
def test_what_a_sheet_shows_never_stands_in_the_way_of_what_all_show(desk, shop, one) -> None:
    """The panel, for one, would show it as its own."""
    switches = Switches.parse("")
    bare = replace(one, fill=lambda desk, brief, shown: {})
    of_all = sheets.sheet(desk, bare, shop.brief.id, switches)
    assert not of_all.keys() & one.fill(desk, shop.brief, shown_as(switches, [])).keys()


def test_which_pieces_were_never_tested_is_said_with_the_picture(desk, shop) -> None:
    """Or a maker would take the picture's bare wood for what a finish makes of it."""
    for name, reading in (("Ring", "Lab 30 9 15"), ("Binding", "Lab 60 9 15")):
        shop.part(name=name, material_id=shop.material(reading).id)

    def said(state: str) -> str:
        shown = sheets.sheet(desk, sheets.THEME, shop.brief.id, Switches(state=state))
        return shown["untested"]

    assert said("finished") == "Never tested finished, so shown as they are: Ring and Binding."
    assert said("aged").startswith("Never tested aged")
    assert said("bare") == ""
