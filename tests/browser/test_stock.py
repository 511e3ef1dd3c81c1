"""Looking in a merchant's stock: what is looked for, the next page, and a board into the rack."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser.conftest import settled
from tests.made_stock import made_stock, wood_like


@pytest.fixture
def stocked(filled):
    picture = BytesIO()
    Image.new("RGB", (160, 60), (92, 64, 44)).save(picture, "PNG")
    with filled.app.state.store.desk(writing=True) as desk:
        made_stock(desk, picture.getvalue(), wood_like(60))
    return filled


def test_a_board_is_looked_for_and_taken(stocked, page, go) -> None:
    go(stocked, "stock")
    boards = page.locator(".stock-boards > li")
    expect(boards).to_have_count(12)
    name = boards.first.locator("b").first
    page.get_by_label("Look for", exact=True).select_option(index=2)
    expect(page.get_by_role("heading", name=re.compile("^Nearest to"))).to_be_visible()
    first = name.inner_text()
    page.get_by_role("link", name="Next page of the boards").click()
    expect(page.get_by_text("Page 2 of 5")).to_be_visible()
    expect(page.get_by_role("heading", name=re.compile("^Nearest to"))).to_be_visible()
    expect(name).not_to_have_text(first)
    settled(page)
    label = name.inner_text()
    boards.first.get_by_role("button", name="Take into my rack").click()
    expect(page.get_by_text(f"{label} is on the rack")).to_be_visible()
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0
    go(stocked, "timber")
    expect(page.get_by_text(label, exact=True).first).to_be_attached()
