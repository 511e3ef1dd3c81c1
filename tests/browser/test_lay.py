"""A colour laid on a board by finger, keys and numbers; a finish test with a line between."""

from __future__ import annotations

import re
from urllib.parse import parse_qs, urlparse

from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, PHONE
from tests.browser.reading import violations


def patch(page: Page) -> dict[str, float]:
    """Where it is, per cent of the board, as it is seen."""
    return page.evaluate(
        """() => {
            const board = document.querySelector('.laid image').getBoundingClientRect();
            const all = [...document.querySelector('[data-patch]').children];
            const boxes = all.map(one => one.getBoundingClientRect());
            const left = Math.min(...boxes.map(one => one.left));
            const right = Math.max(...boxes.map(one => one.right));
            const share = value => Math.round(1000 * value) / 10;
            return { x: share((left - board.left) / board.width),
                y: share((boxes[0].top - board.top) / board.height),
                w: share((right - left) / board.width),
                h: share(boxes[0].height / board.height) };
        }"""
    )


def asked(page: Page) -> dict[str, str]:
    return {name: values[0] for name, values in parse_qs(urlparse(page.url).query).items()}


def test_a_finger_moves_the_patch(demo, go):
    page = go(demo, "lay?state=bare&x=20&y=20&w=30&h=40")
    box = page.locator(".laid-edge").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = page.evaluate("scrollY")
    finger = page.context.new_cdp_session(page)
    for kind, down in [("touchStart", 0), *(("touchMove", 4 * step) for step in range(1, 9))]:
        there = {"type": kind, "touchPoints": [{"x": x, "y": y + down}]}
        finger.send("Input.dispatchTouchEvent", there)
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page).to_have_url(re.compile(r"y=2[1-9]|y=[3-9]\d"))
    assert page.evaluate("scrollY") == before


def test_the_patch_is_moved_and_sized_and_kept_in_the_address(demo, go):
    page = go(demo, "lay?state=bare&x=20&y=20&w=30&h=40")
    assert patch(page) == {"x": 20, "y": 20, "w": 30, "h": 40}
    board = page.locator(".laid image").bounding_box()
    wide = page.viewport_size["width"]
    if page.viewport_size == DESKTOP:
        assert page.locator(".lay-large figure").bounding_box()["width"] >= 0.55 * wide
    assert board["y"] + board["height"] <= page.viewport_size["height"]

    def at(x: float, y: float) -> tuple[float, float]:
        return board["x"] + board["width"] * x / 100, board["y"] + board["height"] * y / 100

    page.mouse.move(*at(35, 40))
    page.mouse.down()
    page.mouse.move(*at(45, 50), steps=4)
    page.mouse.up()
    moved = patch(page)
    assert abs(moved["x"] - 30) < 0.5
    assert abs(moved["y"] - 30) < 0.5
    assert abs(float(asked(page)["x"]) - 30) < 0.5
    page.mouse.move(*at(moved["x"] + 30, moved["y"] + 40))
    page.mouse.down()
    page.mouse.move(*at(moved["x"] + 50, moved["y"] + 45), steps=4)
    page.mouse.up()
    assert abs(patch(page)["w"] - 50) < 0.6

    page.locator("[data-hold]").focus()
    before = patch(page)
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Shift+ArrowDown")
    after = patch(page)
    assert abs(before["x"] - after["x"] - 1) < 0.2
    assert abs(after["h"] - before["h"] - 1) < 0.2
    page.get_by_label("Left").fill("5,5")
    assert abs(patch(page)["x"] - 5.5) < 0.2
    kept = patch(page)
    page.reload()
    again = patch(page)
    assert all(abs(again[name] - kept[name]) < 0.2 for name in kept)
    # Another lamp, and another board, leave it where it is.
    page.get_by_role("link", name="the doorway").click()
    expect(page.locator("[aria-current]", has_text="the doorway")).to_be_visible()
    assert all(abs(patch(page)[name] - kept[name]) < 0.2 for name in kept)
    page.get_by_label("Board").select_option(label="Sapele neck blank")
    page.wait_for_url(re.compile("board="))
    expect(page.locator(".laid")).to_have_attribute("aria-label", re.compile("on Sapele"))
    assert abs(float(asked(page)["x"]) - 5.5) < 0.2
    assert asked(page)["state"] == "bare"
    assert violations(page) == []


def test_it_answers_in_words_and_the_figures_are_folded(demo, go):
    page = go(demo, "lay")
    expect(page.locator(".lay-words .pair-word")).to_contain_text("difference")
    assert "CIEDE2000" not in page.locator(".lay-words").inner_text()
    page.locator("summary", has_text="How sure is this?").click()
    expect(page.locator("#lay-figures")).to_contain_text("CIEDE2000")
    page.get_by_label("Colour", exact=True).select_option(label="Brass sheet, brushed")
    expect(page.locator("[data-patch] image")).to_have_count(1)
    for wide in (320, 390, 768, 1920):
        page.set_viewport_size({"width": wide, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
    assert violations(page) == []


def test_without_scripts_the_numbers_move_it(demo, chromium):
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(120_000)
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/lay")
    page.get_by_label("Left").fill("10")
    page.get_by_label("Colour", exact=True).select_option(label="Brass sheet, brushed")
    page.get_by_role("button", name="Show").click()
    expect(page.locator("[data-patch]")).to_have_attribute("x", "100")
    assert asked(page)["colour"].startswith("piece:")
    context.close()


def test_a_finish_test_is_one_picture_with_a_line_to_slide(demo, go, page):
    pieces = page.request.get(f"{demo.url}/api/materials").json()["items"]
    walnut = next(one["id"] for one in pieces if one["label"].startswith("Feathered walnut"))
    go(demo, f"timber/{walnut}")
    figure = page.locator("[data-two-states]").first
    figure.scroll_into_view_if_needed()
    before, after = figure.locator("img").all()
    assert before.bounding_box() == after.bounding_box()
    slider = figure.get_by_role("slider")
    assert after.evaluate("e => getComputedStyle(e).clipPath") == "inset(0px 0px 0px 50%)"
    slider.fill("20")
    assert after.evaluate("e => getComputedStyle(e).clipPath") == "inset(0px 0px 0px 20%)"
    expect(slider).to_have_attribute("aria-valuetext", "20\u00a0% before, 80\u00a0% after")
    slider.focus()
    page.keyboard.press("Home")
    assert after.evaluate("e => getComputedStyle(e).clipPath") == "inset(0px 0px 0px 0%)"
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    assert violations(page, "#finish-tests") == []


def test_a_patch_that_cannot_be_is_said_beside_its_number(demo, go):
    page = go(demo, "lay?state=bare&x=20&y=20&w=30&h=40")
    width = page.locator("[name=w]")
    for typed, said in (("-30", "beyond the board; 1 is shown"), ("wide", "a number of percent")):
        width.fill(typed)
        width.press("Tab")
        expect(page.locator(".fault").first).to_contain_text(said)
        expect(width).to_have_value(typed)
    width.fill("25")
    width.press("Tab")
    expect(page.locator(".fault")).to_have_count(0)
