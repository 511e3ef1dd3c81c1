"""The frame of every sheet: what of a phone's first screen it takes, and what it asks for."""

from __future__ import annotations

import pytest

from tests.browser.conftest import DESKTOP, PHONE
from tests.browser.test_every_page import SHEETS

FIRST = 0.20  # of a phone's first screen: where a sheet's own heading has to begin
NAVIGATION = 0.18


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_on_a_phone_the_sheet_begins_near_the_top(page, demo, go) -> None:
    """Two rows of navigation; on the sheet of parts the instrument itself comes first."""
    high = page.viewport_size["height"]
    top = "one => one.getBoundingClientRect().top"
    for sheet in SHEETS:
        go(demo, sheet)
        register = page.locator("#register").bounding_box()
        assert register["y"] + register["height"] <= NAVIGATION * high, sheet
        first = page.locator("#panel .front" if sheet == "spec" else "#content h2").first
        assert first.evaluate(top) <= FIRST * high, sheet


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_a_sheet_asks_for_one_style_and_one_script(page, demo, go) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.resource_type))
    for sheet in SHEETS:
        asked.clear()
        go(demo, sheet)
        assert asked.count("script") <= 1, sheet  # a browser may have it still
        assert asked.count("stylesheet") <= 1, sheet


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_at_most_six_entries_and_a_way_past_them(page, demo, go) -> None:
    for sheet in SHEETS:
        go(demo, sheet)
        assert page.get_by_role("navigation", name="Sheets").get_by_role("link").count() <= 6
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip", sheet
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('#content') !== null"), sheet
