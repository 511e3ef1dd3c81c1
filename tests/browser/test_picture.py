"""The picture of the instrument: turned in the panel, its boards laid by pointer and by keys."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from tests.browser.conftest import settled, unfold

TITLE_BACK = re.compile("^Back of the instrument: back ")


def test_the_instrument_is_turned_and_stays_so_on_another_sheet(go, page, demo):
    go(demo, "theme")
    unfold(page)
    seen_from = page.get_by_role("group", name="Seen from")
    seen_from.get_by_role("button", name="back").click()
    expect(page.locator("#panel .front svg")).to_have_attribute("aria-label", TITLE_BACK)
    expect(seen_from.get_by_role("button", name="back")).to_be_focused()
    closer = page.get_by_role("group", name="Look closer")
    closer.get_by_role("button", name="heel").click()
    expect(closer.get_by_role("button", name="heel")).to_have_attribute("aria-pressed", "true")
    link = page.get_by_role("link", name="The flat picture as PNG")
    assert "view=back" in link.get_attribute("href")
    go(demo, "spec")
    unfold(page)
    expect(page.locator("#panel .front svg")).to_have_attribute("aria-label", TITLE_BACK)


def test_a_line_of_the_photograph_becomes_the_joint(go, page, filled):
    go(filled, "spec")
    row = page.locator("li[data-shows-role=top]")
    row.get_by_text("More", exact=True).click()
    row.get_by_text("Place the photo").click()
    picture, slider = row.locator("svg[data-lay]"), row.get_by_label("Joint line")
    picture.scroll_into_view_if_needed()
    board = page.locator("#panel #front-top-board")
    before = board.get_attribute("patternTransform")
    # By pointer: the photograph stands in the middle of its frame.
    frame = picture.bounding_box()
    page.mouse.move(frame["x"] + frame["width"] / 2, frame["y"] + 60)
    page.mouse.down()
    page.mouse.up()
    assert abs(float(slider.input_value()) - 50) < 2
    # The instrument goes along before anything is kept.
    assert board.get_attribute("patternTransform") != before
    # By keys.
    was = float(slider.input_value())
    slider.focus()
    page.keyboard.press("ArrowLeft")
    assert float(slider.input_value()) == was - 0.5
    row.get_by_label("Matching").select_option("book-left")
    row.get_by_label("Rotate the photo").select_option("180")
    row.get_by_role("button", name="Apply").click()
    expect(page.locator("#said")).to_contain_text("photo placed")
    parts = page.request.get(f"{filled.url}/api/parts?brief_id={filled.brief_id}").json()
    (top,) = [one for one in parts["items"] if one["role"] == "top"]
    assert top["laying"] == {"centre": was - 0.5, "match": "book-left", "turn": 180}
    settled(page)  # else the row may come anew between the button's going down and up
    back = row.get_by_role("button", name="Reset placement")
    back.click()
    expect(page.locator("#said")).to_contain_text("placement reset")
    expect(back).to_have_count(0)
    settled(page)


def test_a_board_is_laid_where_it_can_be_seen(go, page, filled):
    go(filled, "spec")
    row = page.locator("li[data-shows-role=back]")
    row.get_by_text("More", exact=True).click()
    row.get_by_text("Place the photo").click()
    expect(page.locator("#panel .front svg")).to_have_attribute("aria-label", TITLE_BACK)
    expect(row.locator("svg[data-lay]")).to_be_visible()
    expect(page.locator("#panel .front svg")).to_be_in_viewport()
    settled(page)
