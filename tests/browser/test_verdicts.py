"""Where a piece will be seen, what that does to its pairings, what the rack could do instead."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import PHONE, unfold
from tests.browser.reading import violations


def place(page: Page, name: str) -> Locator:
    return page.locator("#viewings li", has_text=name)


def judged(page: Page) -> str:
    """The page of the first pairing, with its verdict under each condition."""
    address = page.locator(".pairing h3 a").first.get_attribute("href")
    return page.evaluate("async address => (await fetch(address)).text()", address)


def photographs(page: Page, within: str) -> list[str]:
    """The addresses of all photographs that are laid on a drawing."""
    images = page.locator(f"{within} image")
    return images.evaluate_all("found => found.map(one => one.getAttribute('href'))")


def may_be_read(page: Page, within: str) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    assert violations(page, within) == []


def test_a_place_is_added_changed_and_removed(filled, go):
    page = go(filled, "pairings")
    page.locator("#add-viewing > summary").click()
    form = page.locator("#viewing-form")
    form.get_by_label("Name", exact=True).fill("the shop window")
    form.get_by_label("Viewing distance").fill("3,5")
    form.get_by_label("Light", exact=True).select_option("A")
    may_be_read(page, "#viewings")
    form.get_by_role("button", name="Add the place").click()
    window = place(page, "the shop window")
    expect(window).to_contain_text("from 3.5 m · filament lamp (CIE A)")
    assert "in the shop window, from 3.5 m" in judged(page)
    # It can be seen there at once, and so can the instrument.
    expect(page.locator("#seen-in")).to_contain_text("the shop window")
    unfold(page)
    expect(page.locator("#switch-light")).to_contain_text("the shop window: filament lamp")

    window.locator("summary", has_text="Change").click()
    window.get_by_label("Viewing distance").fill("1")
    window.get_by_label("Brightness").fill("20")
    window.get_by_role("button", name="Save").click()
    expect(window).to_contain_text("At 20 lx eyes begin to lose colour")
    assert "in the shop window, from 1 m" in judged(page)

    window.locator("summary", has_text="Remove").click()
    window.get_by_role("button", name="Move to offcuts bin").click()
    expect(window).to_have_count(0)
    assert "the shop window" not in judged(page)
    page.get_by_role("button", name="Restore").click()
    expect(window).to_have_count(1)
    assert "the shop window" in judged(page)


def test_a_lamp_without_its_kelvin_says_so_beside_the_field(filled, go):
    page = go(filled, "pairings")
    page.expected_errors.append("422")
    page.locator("#add-viewing > summary").click()
    form = page.locator("#viewing-form")
    form.get_by_label("Name", exact=True).fill("the back room")
    form.get_by_label("Light", exact=True).select_option("lamp")
    form.get_by_label("Colour rendering (Ra)").fill("80")
    form.get_by_role("button", name="Add the place").click()
    kelvin = form.get_by_label("Colour temperature")
    expect(kelvin).to_have_attribute("aria-invalid", "true")
    expect(kelvin).to_be_focused()
    expect(form.locator(".fault")).to_contain_text("Say the lamp’s colour temperature")
    expect(form.get_by_label("Name", exact=True)).to_have_value("the back room")
    expect(form.get_by_label("Colour rendering (Ra)")).to_have_value("80")
    may_be_read(page, "#viewings")
    kelvin.fill("3000")
    form.get_by_role("button", name="Add the place").click()
    expect(place(page, "the back room")).to_contain_text("a lamp of 3000 K and Ra 80")


def tick(page: Page, *parts: str) -> None:
    for part in parts:
        page.locator("#asked").get_by_label(part, exact=True).check()


def test_the_rack_is_asked_and_its_answer_taken(filled, go):
    page = go(filled, "spec")
    tick(page, "Top", "Fretboard")
    page.get_by_role("button", name="Find", exact=True).click()
    page.wait_for_url(re.compile(r"/spec\?open=.+&open=.+#asked$"))
    proposals = page.locator(".proposals > li")
    expect(proposals.first).to_contain_text(re.compile("Better|Worse|Much the same|Nothing beats"))
    expect(page.locator("#asked").get_by_label("Top", exact=True)).to_be_checked()
    expect(page.locator("#asked").get_by_label("Back", exact=True)).not_to_be_checked()
    may_be_read(page, "#asked")

    swap = proposals.locator(".swaps > li", has_text="Top: ").first
    named = swap.locator("bdi").nth(1).inner_text()
    before = photographs(page, "#panel .front")
    box = swap.get_by_role("button", name="Use it").bounding_box()
    assert box["height"] >= (44 if page.viewport_size == PHONE else 24)  # WCAG 2.2, 2.5.8 and 2.5.5
    swap.get_by_role("button", name="Use it").click()
    row = page.locator("li[data-shows-role=top]")
    expect(row.locator(".part-piece")).to_contain_text(named)
    assert photographs(page, "#panel .front") != before
    # The question still stands, ticks and all.
    expect(page.locator("#asked").get_by_label("Fretboard", exact=True)).to_be_checked()
    expect(proposals.first).to_be_visible()

    page.go_back()
    expect(page.locator(".proposals")).to_have_count(0)
    expect(page.locator("li[data-shows-role=top] .part-piece")).to_contain_text(named)


def test_a_wrong_price_is_said_beside_it_and_kept(demo, go):
    page = go(demo, "spec")
    tick(page, "Top")
    page.locator("#ask-limits > summary").click()
    price = page.get_by_label("Highest price")
    price.fill("cheap")
    page.get_by_role("button", name="Find", exact=True).click()
    page.wait_for_url(re.compile("most_price=cheap"))
    expect(price).to_have_value("cheap")
    expect(price).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#ask-price-fault")).to_contain_text("“cheap” is no price. Write 68.50")
    expect(page.locator("#asked").get_by_label("Top", exact=True)).to_be_checked()
    expect(page.locator(".proposals")).to_have_count(0)
    may_be_read(page, "#asked")
    price.fill("70,50")
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.locator("#asked")).to_contain_text("Over the highest price: ")
    expect(page.locator("#ask-price-fault")).to_have_count(0)


def test_asking_for_nothing_is_said_beside_the_parts(demo, go):
    page = go(demo, "spec")
    page.locator("#ask-limits > summary").click()
    page.get_by_label("Leave out anything that may need papers").check()
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.locator("#ask-open-fault")).to_contain_text("tick at least one")
    expect(page.get_by_label("Leave out anything that may need papers")).to_be_checked()


def test_proposals_are_shown_as_the_switches_stand(demo, go):
    page = go(demo, "spec")
    tick(page, "Fretboard")
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.locator(".proposals .front")).not_to_have_count(0)
    bare = photographs(page, ".proposals .front")
    if page.viewport_size == PHONE:
        page.locator("[data-panel-fold]").tap()
    page.locator("#switch-state").select_option("finished")
    expect(page.locator("#sheet > .changed")).to_contain_text("Shown finished, in daylight")
    assert photographs(page, ".proposals .front") != bare
    expect(page.locator("#asked").get_by_label("Fretboard", exact=True)).to_be_checked()


def test_the_whole_of_it(demo, go):
    page = go(demo, "spec")
    whole = page.locator("#scheme")
    expect(whole.get_by_role("img")).to_have_attribute(
        "aria-label", re.compile("the closest part to each")
    )
    swatches = page.request.get(f"{demo.url}/api/swatches?brief_id={demo.brief_id}").json()["items"]
    expect(whole.locator(".carriers > li")).to_have_count(len(swatches))
    for swatch in swatches:
        expect(whole.locator(".carriers")).to_contain_text(swatch["name"])
    expect(whole.locator(".sentences")).to_contain_text("Least harmonious neighbours")
    whole.locator("summary", has_text="How it was made").click()
    expect(whole.locator(".made")).to_contain_text("in the net loft, from 2 m")
    may_be_read(page, "#scheme")


def test_with_one_part_nothing_is_weighed_yet(served, page):
    brief = page.request.post(f"{served.url}/api/briefs", data={"title": "One"}).json()["id"]
    page.goto(f"{served.url}/briefs/{brief}/spec")
    expect(page.locator("#scheme .empty")).to_contain_text("at least two parts")
    page.locator("#asked label.check").first.click()
    page.get_by_role("button", name="Find", exact=True).click()
    expect(page.locator("#ask-open-fault")).to_contain_text("No piece within these limits")


def test_from_a_piece_to_what_it_could_be(demo, go):
    page = go(demo, "timber")
    piece = page.locator("#rack a").first
    named = piece.locator("> b").inner_text()
    piece.click()
    expect(page.locator("#content h2")).to_have_text(named)
    expect(page.locator("#uses-head")).to_have_text("Where it would fit")
