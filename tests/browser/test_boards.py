"""Choosing a piece by eye, from the rack shown as boards: by finger, by mouse, by keys alone.

Contrast, names and roles: axe-core, by the rules of WCAG 2.0 to 2.2, A and AA. Targets of at least
44 px: WCAG 2.2, success criterion 2.5.5.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import PHONE, eventually
from tests.browser.reading import violations


def press(page: Page, target: Locator) -> None:
    """With what is at hand: a finger on the phone, a mouse on the desktop."""
    if page.viewport_size == PHONE:
        target.tap()
    else:
        target.click()


def boards_of(page: Page) -> Locator:
    return page.locator("dialog#boards[open] .plank")


def opener(within: Locator, field: str) -> Locator:
    return within.locator(f"[data-boards-for$={field}]")


def must_hold(page: Page) -> None:
    """The open dialog fits, can be read, and every target in it is large enough for a thumb."""
    wide = page.evaluate("document.querySelector('#boards').scrollWidth")
    assert wide <= page.viewport_size["width"]
    assert violations(page, "#boards") == []
    targets = page.locator("#boards :is(button, label:has(input), input[type=search])")
    for target in targets.all():
        if target.is_visible():
            box = target.bounding_box()
            assert box["height"] >= 44, target.inner_text()
            assert box["width"] >= 44, target.inner_text()


def test_an_inlay_is_seen_on_its_ground(filled, go):
    page = go(filled, "pairings/new")
    form = page.locator("#pairing-form")
    press(page, opener(form, "ground_id"))
    expect(page.locator(".plank svg path")).to_have_count(0)
    press(page, boards_of(page).filter(has_text="Feathered walnut"))
    expect(opener(form, "ground_id")).to_be_focused()

    press(page, opener(form, "inlay_id"))
    boards = boards_of(page)
    expect(boards).to_have_count(10)
    expect(boards.filter(has_text="Feathered walnut")).to_have_count(0)  # not into itself
    shell = boards.filter(has_text="Mother-of-pearl")
    drawn = shell.locator(".mat svg")
    hex_colour = shell.get_attribute("data-hex")
    assert drawn.locator("path").get_attribute("stroke") == hex_colour
    texture = drawn.locator("image").get_attribute("href")
    assert texture.startswith("/images/")
    assert texture != shell.get_attribute("data-texture")
    must_hold(page)
    press(page, shell)
    press(page, form.get_by_role("button", name="Judge"))
    judged = page.locator(".pair-words h2")
    expect(judged).to_contain_text("Mother-of-pearl")
    expect(judged).to_contain_text("Feathered walnut")


def test_by_keys_alone(demo, go):
    page = go(demo, "pairings/new")
    top = page.locator("#pairing-form")
    opener(top, "ground_id").press("Enter")
    boards = boards_of(page)
    expect(boards.first).to_be_focused()
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"
    page.keyboard.press("ArrowUp")
    expect(boards.first).to_be_focused()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    expect(boards.nth(2)).to_be_focused()
    page.keyboard.press("End")
    expect(boards.last).to_be_focused()
    box, bar = boards.last.bounding_box(), page.locator(".boards-foot").bounding_box()
    assert box["y"] + box["height"] <= bar["y"] + 1  # not behind the bar
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Close")).to_be_focused()
    page.keyboard.press("Shift+Tab")
    expect(boards.last).to_be_focused()
    page.keyboard.press("Home")
    # Around and around, but never out to the page behind.
    for _ in range(8):
        page.keyboard.press("Tab")
        assert page.evaluate(
            "document.activeElement === document.body || boards.contains(document.activeElement)"
        )
    page.keyboard.press("Escape")
    expect(page.locator("dialog#boards")).not_to_be_visible()
    expect(opener(top, "ground_id")).to_be_focused()
    select = top.get_by_label("Timber", exact=True)
    before = select.input_value()
    page.evaluate("addEventListener('change', e => { window.changed = e.target.id })")
    page.keyboard.press("Enter")
    expect(boards.first).to_be_focused()  # they are fetched again
    page.locator("#boards-words").press("ArrowDown")
    page.keyboard.press("ArrowDown")
    focused = page.evaluate("document.activeElement.dataset.piece")
    page.keyboard.press("Enter")
    assert select.input_value() == focused != before
    assert page.evaluate("window.changed") == select.get_attribute("id")


def test_opened_again_before_the_page_knows_that_it_was_closed(demo, go):
    """The browser tells a page a moment later, on a busy machine after the next press."""
    page = go(demo, "pairings/new")
    button = opener(page.locator("#pairing-form"), "ground_id")
    press(page, button)
    expect(boards_of(page)).to_have_count(11)
    button.evaluate("button => { document.querySelector('#boards').close(); button.click(); }")
    expect(boards_of(page)).to_have_count(11)
    press(page, boards_of(page).filter(has_text="Spruce"))
    select = page.locator("#pairing-form").get_by_label("Timber", exact=True)
    expect(select.locator("option:checked")).to_contain_text("Spruce")


def test_the_rack_is_narrowed_down_and_put_in_order(demo, go):
    page = go(demo, "pairings/new")
    top = page.locator("#pairing-form")
    press(page, opener(top, "ground_id"))
    boards, count = boards_of(page), page.locator("#boards [role=status]")
    expect(count).to_have_text("11 pieces")
    page.locator("#boards-words").fill("JUGLANS")
    expect(boards).to_have_count(1)
    expect(boards).to_contain_text("Feathered walnut")
    expect(count).to_have_text("1 of 11 pieces")
    page.locator("#boards-words").fill("plastic")
    expect(boards).to_have_count(0)
    expect(count).to_have_text("No match among 11 pieces")
    must_hold(page)
    page.locator("#boards-words").fill("")
    press(page, page.locator("#boards").get_by_label("metal"))
    expect(boards).to_have_count(1)
    expect(boards).to_contain_text("Brass")
    press(page, page.locator("#boards").get_by_label("all"))
    press(page, page.get_by_label("lightest first"))
    expect(boards.first).to_have_attribute("data-lab", re.compile("^8"))  # the server put them so
    # L of CIELAB, as the server measured it, falls from board to board.
    lightness = [float(one.get_attribute("data-lab").split(",")[0]) for one in boards.all()]
    assert lightness == sorted(lightness, reverse=True)
    press(page, page.get_by_role("button", name="Close"))
    press(page, opener(top, "ground_id"))
    expect(boards).to_have_count(11)
    expect(page.locator("#boards-words")).to_have_value("")


def test_no_photograph_is_fetched_before_its_board_is_near(demo, go):
    page = go(demo, "pairings/new")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    expect(page.locator("#boards img")).to_have_count(0)
    assert asked == []
    press(page, opener(page.locator("#pairing-form"), "ground_id"))
    photographs = page.locator("#boards img")
    expect(photographs).to_have_count(11)
    assert {one.get_attribute("loading") for one in photographs.all()} == {"lazy"}
    eventually(page, "document.querySelector('#boards img').naturalWidth > 0")


@pytest.mark.parametrize("region", ["#sheet", "#pairing-form"])
def test_a_refresh_under_the_open_dialog(demo, go, region):
    page = go(demo, "pairings/new")
    form = page.locator("#pairing-form")
    press(page, opener(form, "ground_id"))
    page.locator("#boards-words").fill("spruce")
    page.evaluate(
        "async region => (await import(document.querySelector('script[type=module]').src))"
        ".modules['page/refresh.js'].refresh(region)",
        region,
    )
    expect(boards_of(page)).to_have_count(1)
    expect(page.locator("#boards-words")).to_have_value("spruce")
    press(page, boards_of(page))
    expect(opener(form, "ground_id")).to_be_focused()
    select = form.get_by_label("Timber", exact=True)
    expect(select.locator("option:checked")).to_contain_text("Spruce")


def test_a_piece_without_photograph_shows_its_colour_and_one_without_a_colour_is_not_asked(
    served, go, page
):
    measured = [
        {"label": "Read only", "reading": "Lab 40 10 20"},
        {"label": "Pale", "reading": "Lab 80 2 8"},
    ]
    go_to_new(page, served, go, [*measured, {"label": "Bare"}])
    press(page, opener(page.locator("#pairing-form"), "ground_id"))
    expect(boards_of(page)).to_have_count(2)
    read = boards_of(page).nth(0)
    # Lab 40 10 20 is sRGB 120, 88, 62 by colour-science 0.4.7 (D65, 2 degrees).
    expect(read.locator(".mat > svg rect")).to_have_attribute("fill", "#78583e")
    expect(page.locator("#boards fieldset", has_text="Show")).to_have_count(0)  # all is timber
    must_hold(page)


def go_to_new(page, served, go, pieces: list[dict[str, str]]) -> None:
    """The pairings of a new brief, with some pieces on the rack."""
    served.brief_id = page.request.post(f"{served.url}/api/briefs", data={"title": "Bare"}).json()[
        "id"
    ]
    for piece in pieces:
        assert page.request.post(f"{served.url}/api/materials", data=piece).ok
    go(served, "pairings/new")
