"""The sheets of a brief: what each of them shows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brief.services import sheets
from brief.services.switches import Switches, shown_as


@pytest.mark.parametrize("one", sheets.SHEETS, ids=lambda one: one.key)
def test_what_a_sheet_shows_never_stands_in_the_way_of_what_all_show(desk, shop, one) -> None:
    """The panel, for one, would show it as its own."""
    switches = Switches.parse("")
    bare = replace(one, fill=lambda desk, brief, shown: {})
    of_all = sheets.sheet(desk, bare, shop.brief.id, switches)
    assert not of_all.keys() & one.fill(desk, shop.brief, shown_as(switches, [])).keys()
