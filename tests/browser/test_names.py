"""Each control says of what it is, to whoever hears a list of them or speaks their names.

Names as Chromium hands them to a screen reader (Accessibility domain of its DevTools protocol).
"""

from __future__ import annotations

from collections import Counter

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP
from tests.browser.test_every_page import SHEETS, piece_of

FOLDS = {"DisclosureTriangle", "DisclosureTriangleGrouped"}
CONTROLS = {"button", "textbox", "combobox", "checkbox", "radio"}


@pytest.fixture(params=[DESKTOP], ids=["desktop"])
def viewport(request):
    return request.param


def names(page, roles):
    session = page.context.new_cdp_session(page)
    nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    found = [
        node["name"]["value"]
        for node in nodes
        if not node["ignored"] and node["role"]["value"] in roles
    ]
    assert found, f"no {roles} on this page"
    return found


WITHOUT_FOLDS = ("sharing", "paper", "pairings/new", "comments/ask", "today")


@pytest.mark.parametrize("sheet", [*(s for s in SHEETS if s not in WITHOUT_FOLDS), "piece"])
def test_no_two_folds_of_a_sheet_are_called_the_same(demo, page, sheet):
    at = f"timber/{piece_of(page, demo)}" if sheet == "piece" else sheet
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/{at}", wait_until="domcontentloaded")
    found = names(page, FOLDS)
    assert {name: times for name, times in Counter(found).items() if times > 1} == {}
    # What was drawn before the label belongs to the eye.
    assert [name for name in found if name.startswith(("+", "−"))] == []


@pytest.mark.parametrize("sheet", [*SHEETS, "piece"])
def test_no_two_controls_of_a_sheet_are_called_the_same(demo, page, sheet):
    """Links are left out: two of one name may well lead to the same."""
    at = f"timber/{piece_of(page, demo)}" if sheet == "piece" else sheet
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/{at}", wait_until="domcontentloaded")
    found = names(page, CONTROLS)
    assert {name: times for name, times in Counter(found).items() if times > 1} == {}


def test_a_fold_is_named_by_its_label_and_its_thing(demo, page):
    """The label comes first: WCAG 2.2, 2.5.3, so that it can be spoken as it is read."""
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/spec", wait_until="domcontentloaded")
    for opened in page.locator(".part-more > summary").all()[:2]:
        opened.click()
    expect(page.locator(".part-line summary", has_text="Remove")).to_have_count(2)
    assert {"More: Top", "Change: Top", "Note: Top", "Remove: Top"} <= set(names(page, FOLDS))


def test_the_picture_of_a_pairing_names_the_pair(demo, page):
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/pairings", wait_until="domcontentloaded")
    pairing = page.locator("article.pairing").first
    pair = pairing.locator("h3").inner_text()
    assert pairing.locator("img").get_attribute("alt").startswith(f"{pair}. ")
    pairing.locator("h3 a").click()
    expect(page.locator(".pair-seen img:visible").first).to_be_visible()
    shown = page.locator(".pair-seen img:visible").evaluate_all(
        "all => all.map(one => one.getAttribute('alt')).filter(Boolean)"
    )
    assert shown
    assert all(label.startswith(f"{pair}. ") for label in shown)


def test_the_skip_link_hands_over_the_cursor(demo, page):
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/spec", wait_until="domcontentloaded")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to content")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#content")).to_be_focused()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('#content') !== null")


def test_the_links_of_a_piece_are_large_enough_for_a_finger(demo, page):
    """At least 24 by 24 px: WCAG 2.2, 2.5.8."""
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/timber", wait_until="domcontentloaded")
    boxes = [link.bounding_box() for link in page.locator("#rack a").all()]
    assert len(boxes) >= 10
    assert min(box["height"] for box in boxes) >= 24
