"""The switches beside the instrument: in which state, in which light, to which eyes it is shown."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PHONE, settled, unfold
from tests.browser.reading import violations
from tests.browser.test_every_page import SHEETS, piece_of


@pytest.fixture
def go(page, demo):
    def to(sheet: str) -> Page:
        page.goto(f"{demo.url}/briefs/{demo.brief_id}/{sheet}")
        settled(page)
        return page

    return to


@contextmanager
def refreshing(page: Page) -> Iterator[None]:
    """What is done within brings the page up to date; go on once it is."""
    page.evaluate(
        """() => { window.refreshed = new Promise(done =>
            document.addEventListener('brief:refreshed', () => done(true), { once: true })) }"""
    )
    yield
    assert page.evaluate("() => window.refreshed")


def switch(page: Page, label: str, choice: str) -> None:
    """Choose, and wait until the page has come as it now is."""
    unfold(page)
    select = page.locator(".switches").get_by_label(label, exact=True)
    value = select.locator("option", has_text=choice).first.get_attribute("value")
    with refreshing(page):
        select.select_option(value)


def matrix(page: Page) -> str:
    return page.locator("#seen-as feColorMatrix").get_attribute("values")


def filtered(page: Page, what: str) -> str:
    return page.locator(what).first.evaluate("e => getComputedStyle(e).filter")


def test_they_stand_as_nothing_is_changed(go, page):
    go("theme")
    unfold(page)
    for label, choice in (
        ("Wood", "bare"),
        ("Light", "daylight"),
        ("Eyes", "normal vision"),
        ("Ground", "light grey"),
        ("Shadows", "off"),
    ):
        chosen = page.locator(".switches").get_by_label(label, exact=True).locator("option:checked")
        expect(chosen).to_contain_text(choice)
    expect(page.locator("[data-switches-back]")).to_have_count(0)
    assert filtered(page, "#panel .front") == "none"


@pytest.mark.parametrize("sheet", SHEETS)
def test_on_every_sheet_the_instrument_follows(go, page, sheet):
    go(sheet)
    unfold(page)
    # Which photograph is drawn first does not matter; some of them have no test of a finish.
    bare = page.locator("#panel .front image").evaluate_all(
        "those => those.map(one => one.getAttribute('href'))"
    )
    switch(page, "Wood", "finished")
    finished = page.locator(
        "#panel .front image" + "".join(f':not([href="{href}"])' for href in bare)
    )
    expect(finished.first).to_be_attached()
    switch(page, "Light", "filament lamp")
    assert "seen-as" in filtered(page, "#panel .front")
    lamp = matrix(page)
    switch(page, "Eyes", "green-blind")
    assert matrix(page) != lamp


def test_light_and_shadow_is_there_to_look_at_and_goes_into_the_saved_picture(go, page):
    go("spec")
    unfold(page)
    flat = page.locator("#panel .front path").count()
    switch(page, "Shadows", "on")
    assert page.locator("#panel .front path").count() > flat + 20
    saved = page.locator(".take a").first.get_attribute("href")
    assert "relief=on" in saved
    answer = page.request.get(page.url.split("/briefs/")[0] + saved)
    assert answer.ok
    switch(page, "Shadows", "off")
    expect(page.locator("#panel .front path")).to_have_count(flat)


def test_they_stay_on_another_sheet_and_after_a_reload(go, page):
    go("theme")
    switch(page, "Light", "the net loft")
    switch(page, "Eyes", "red-blind")
    for again in (lambda: page.reload(), lambda: go("spec"), lambda: go("timber")):
        again()
        unfold(page)
        chosen = page.locator(".switches option:checked")
        expect(chosen.nth(1)).to_contain_text("the net loft: a lamp of 2900 K")
        expect(chosen.nth(2)).to_have_text("red-blind")
        assert "seen-as" in filtered(page, "#panel .front")


@pytest.mark.parametrize(
    ("sheet", "shown"),
    [
        ("timber", "img.board"),
        ("spec", ".part-wood img"),
    ],
)
def test_whatever_shows_timber_follows_the_wood(go, page, sheet, shown):
    """Of the demo's rack the cedar and the walnut have a finish test."""
    go(sheet)
    colours = """of => [...document.querySelectorAll(of)].map(e => e.getAttribute('src')
        ?? e.getAttribute('href') ?? e.firstElementChild.getAttribute('fill'))"""
    bare = page.evaluate(colours, shown)
    switch(page, "Wood", "finished")
    finished = page.evaluate(colours, shown)
    assert len(finished) == len(bare)
    assert finished != bare
    switch(page, "Wood", "bare")
    assert page.evaluate(colours, shown) == bare


def test_what_is_shown_otherwise_says_so(go, page):
    go("timber")
    switch(page, "Light", "filament lamp")
    said = "Shown bare, lit by a filament lamp (CIE A). Numbers still describe the bare piece"
    expect(page.locator("#sheet .changed").first).to_contain_text(said)
    if page.viewport_size == PHONE:  # when it is folded away, too
        page.locator("[data-panel-fold]").tap()
        expect(page.locator("[data-panel-fold]")).to_contain_text("shown bare, lit by a filament")
    assert "seen-as" in filtered(page, "img.board")
    # A colour of the theme is no timber.
    go("references")
    assert filtered(page, "#references svg.strip") == "none"


def test_the_ground_of_what_is_judged_by_colour_may_be_dark(go, page):
    go("timber")
    unfold(page)
    ground = "e => getComputedStyle(e).backgroundColor"
    mat = page.locator("#rack")
    assert mat.evaluate(ground) == "rgb(231, 231, 231)"
    switch(page, "Ground", "dark grey")
    assert mat.evaluate(ground) == "rgb(46, 46, 46)"
    assert violations(page) == []
    go("spec")
    assert page.locator("main .wanted").first.evaluate(ground) == "rgb(46, 46, 46)"
    switch(page, "Ground", "light grey")
    assert page.locator("main .wanted").first.evaluate(ground) == "rgb(231, 231, 231)"


def test_by_keys_alone_and_back(go, page):
    go("spec")
    if page.viewport_size == PHONE:
        page.locator("[data-panel-fold]").focus()
        page.keyboard.press("Enter")
    wood = page.locator(".switches").get_by_label("Wood", exact=True)
    wood.focus()
    with refreshing(page):
        page.keyboard.press("f")  # "finished"
    expect(wood.locator("option[selected]")).to_have_text("finished")
    expect(wood).to_be_focused()
    expect(wood).to_be_visible()  # the panel has stayed open
    assert wood.evaluate("e => getComputedStyle(e).outlineStyle") != "none"
    for _ in range(5):
        page.keyboard.press("Tab")
    back = page.locator("[data-switches-back]")
    expect(back).to_be_focused()
    with refreshing(page):
        page.keyboard.press("Enter")
    expect(back).to_have_count(0)
    expect(wood.locator("option:checked")).to_have_text("bare")
    expect(wood).to_be_focused()


def test_what_was_being_done_stays(go, page):
    """A view that was brought close, words not sent, folds that are open."""
    go("spec")
    unfold(page)
    page.get_by_role("button", name="rosette", exact=True).click()
    close = page.locator("[data-loupe][aria-pressed=true]").get_attribute("data-loupe")
    page.locator("#add-part > summary").click()
    page.locator("#part-form-role").fill("bill")
    page.locator("#ask-limits > summary").click()
    page.locator("#ask-papers").check()
    switch(page, "Eyes", "blue-blind")
    expect(page.locator("#panel .front svg")).to_have_attribute("viewBox", close)
    expect(page.locator("[data-loupe][aria-pressed=true]")).to_have_text("rosette")
    expect(page.locator("#part-form-role")).to_have_value("bill")
    expect(page.locator("#ask-papers")).to_be_checked()


def test_all_switched_it_can_still_be_read(go, page, demo):
    go("theme")
    for label, choice in (("Wood", "aged"), ("Light", "white LED"), ("Eyes", "green-blind")):
        switch(page, label, choice)
    for sheet in (*SHEETS, f"timber/{piece_of(page, demo)}"):
        go(sheet)
        unfold(page)
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= page.viewport_size["width"]
        assert violations(page) == []


def test_a_choice_of_another_brief_counts_as_daylight(page, filled):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/theme")
    switch(page, "Light", "the net loft")
    other = page.request.post(f"{filled.url}/api/briefs", data={"title": "Another"}).json()
    page.goto(f"{filled.url}/briefs/{other['id']}/theme")
    unfold(page)
    expect(page.locator("#switch-light option:checked")).to_have_text("daylight")
    assert filtered(page, "#panel .front") == "none"
