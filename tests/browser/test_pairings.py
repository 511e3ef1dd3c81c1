"""Pairings as pictures: the grid, one of them large, stepping back from it."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, PHONE, settled, unfold
from tests.browser.reading import violations

WORDS = {"Reads": "●", "Borderline": "◐", "Sinks": "○"}
MOST_WORDS = 14
# Its own address loaded again: one below the window would wait until it is scrolled to.
WIDTH = """async image => {
    const loaded = new Image();
    loaded.src = image.src;
    await loaded.decode();
    return loaded.naturalWidth;
}"""


@pytest.fixture
def opened(page, demo):
    """The page of the demo's pairing of brass on walnut, once all its pictures are here."""

    def at(query: str = "") -> Page:
        page.goto(f"{demo.url}/briefs/{demo.brief_id}/pairings")
        link = page.locator(".pairing h3 a", has_text="Brass sheet, brushed on Feathered")
        path = link.get_attribute("href").partition("?")[0]
        page.goto(f"{demo.url}{path}{query}")
        expect(page.locator("[data-step-ready]")).to_be_attached()
        return page

    return at


def columns(page: Page) -> int:
    lefts = page.locator(".pairs > .pairing").evaluate_all(
        "all => all.map(one => Math.round(one.getBoundingClientRect().left))"
    )
    return len(set(lefts))


def test_the_grid_fills_the_window_with_pictures(demo, go):
    page = go(demo, "pairings")
    pairings = page.locator("article.pairing")
    expect(pairings).to_have_count(7)
    for wide, most in ((1280, 4), (1600, 5), (1920, 6)) if page.viewport_size != PHONE else ():
        page.set_viewport_size({"width": wide, "height": 900})
        assert columns(page) == most
    if page.viewport_size == PHONE:
        assert columns(page) == 1
    for pairing in pairings.all():
        picture = pairing.locator("img")
        assert "distance_m=2" in picture.get_attribute("src")
        assert picture.evaluate(WIDTH) == 720
        word, sentence = pairing.locator(".sentence > span").all()
        sign = word.evaluate("e => getComputedStyle(e, '::before').content")
        assert WORDS[word.inner_text()] in sign
        said = sentence.inner_text()
        assert len(said.split()) <= MOST_WORDS
        assert said.startswith("Shows clearly") == (word.inner_text() == "Reads")
    assert violations(page) == []


def test_how_it_is_seen_is_chosen_by_links(demo, go):
    page = go(demo, "pairings")
    seen = page.locator("#seen-in")
    expect(seen.locator("summary")).to_have_text("Finished, in the net loft, from 2 m")
    seen.locator("summary").click()
    expect(seen.locator("[aria-current]")).to_have_text(
        ["the net loft", "finished", "normal vision"]
    )
    seen.get_by_role("link", name="the doorway").click()
    expect(seen.locator("summary")).to_have_text("Finished, in the doorway, from 1 m")
    for picture in page.locator(".pairing img").all():
        assert "distance_m=1" in picture.get_attribute("src")
    # An opened one is seen the same way, and leads back to it.
    page.locator(".pairing h3 a").first.click()
    expect(page.locator(".pair-words .seen-ways [aria-current]").first).to_have_text("the doorway")
    page.get_by_role("link", name="All pairings").click()
    expect(seen.locator("summary")).to_have_text("Finished, in the doorway, from 1 m")


def test_the_switches_of_the_instrument_count_as_well(demo, go):
    page = go(demo, "pairings")
    unfold(page)
    door = page.locator("#switch-light option", has_text="the doorway").get_attribute("value")
    page.locator("#switch-light").select_option(door)
    expect(page.locator("#seen-in > summary")).to_have_text("Finished, in the doorway, from 1 m")
    expect(page.locator(".pairing img").first).to_have_attribute("src", re.compile("distance_m=1$"))


def test_one_is_large_beside_its_word(opened):
    page = opened()
    sizes = ((1280, 900), (1920, 1080)) if page.viewport_size == DESKTOP else ((390, 844),)
    for wide, high in sizes:
        page.set_viewport_size({"width": wide, "height": high})
        picture = page.locator(".step-picture").bounding_box()
        assert picture["width"] >= 0.55 * wide
        assert picture["y"] + picture["height"] < high
        slider = page.locator("[data-step-back]").bounding_box()
        assert slider["y"] + slider["height"] < high  # both at once
    expect(page.locator(".pair-word .verdict")).to_have_text("Reads")
    expect(page.locator(".pair-words .sentence")).to_contain_text("Shows clearly from 2 m")
    assert violations(page) == []
    page.locator("summary", has_text="How sure is this?").click()
    made = page.locator(".made")
    signs = made.locator(".conditions > li > .verdict").all_inner_texts()
    words = made.locator(".conditions > li > span:nth-child(2)").all_inner_texts()
    assert words[0] == "at the bench"
    assert "in the net loft, from 2 m" in words
    assert set(signs) <= set(WORDS)
    expect(made.locator("h3").first).to_have_text("at the bench")
    expect(made).to_contain_text("CIEDE2000")
    assert violations(page) == []
    for fold in ("Change", "Note", "Remove"):
        page.locator(
            ".pair-words > .folds > .fold > summary", has_text=re.compile(f"^{fold}$")
        ).click()
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    made.get_by_role("link", name="how verdicts are made").click()
    expect(page.get_by_role("heading", level=2)).to_have_text("How verdicts are made")


def shown(page: Page) -> list[float]:
    """How much each picture is seen, near to far."""
    return page.locator(".step-picture img").evaluate_all(
        "all => all.map(one => Number(getComputedStyle(one).opacity))"
    )


def test_one_steps_back_by_keys_and_the_picture_and_the_words_follow(opened):
    page = opened()
    slider = page.get_by_label("Step back")
    said = page.locator(".step-back output")
    stops = json.loads(slider.get_attribute("data-stops"))
    names = {"reads": "Reads", "doubtful": "Borderline", "sinks": "Sinks"}
    expect(said).to_have_text("2\u00a0m Reads")
    assert sum(one > 0 for one in shown(page)) == 1
    first = shown(page)
    slider.focus()
    page.keyboard.press("ArrowRight")
    expect(said).to_have_text("2.1\u00a0m Reads")
    assert slider.get_attribute("aria-valuetext") == "2.1\u00a0m: reads"
    seen = shown(page)
    assert seen != first
    assert sum(0 < one < 1 for one in seen) == 1
    page.keyboard.press("Home")
    expect(said).to_have_text("0.3\u00a0m Reads")
    assert shown(page)[0] == 1
    for value in (5, 20, 30, len(stops) - 1):
        slider.fill(str(value))
        distance, reading = stops[value]
        expect(said).to_have_text(f"{distance:g}\u00a0m {names[reading]}")
    assert shown(page)[-1] == 1
    # Where it stops reading is where the words change, and is said so.
    stop = next(i for i, (_, reading) in enumerate(stops) if reading != "reads")
    expect(page.locator(".step-marks")).to_contain_text(
        f"Stops reading at {stops[stop][0]:g}\u00a0m"
    )
    slider.fill(str(stop - 1))
    expect(said).to_contain_text("Reads")
    slider.fill(str(stop))
    expect(said).not_to_contain_text("Reads")
    page.get_by_role("button", name="the doorway, 1").click()
    expect(said).to_have_text("1\u00a0m Reads")


def test_the_zones_of_the_track_are_the_stops(opened):
    page = opened()
    stops = json.loads(page.get_by_label("Step back").get_attribute("data-stops"))
    zones = page.locator(".step-track svg rect:not(.zone-mark)").evaluate_all(
        """all => all.map(one => [
            one.className.baseVal, one.x.baseVal.value, one.width.baseVal.value])"""
    )
    for i, (_, reading) in enumerate(stops):
        at = 100 * i / (len(stops) - 1)
        named = [name for name, left, width in zones if left - 0.01 <= at <= left + width + 0.01]
        assert f"zone-{reading}" in named


def test_other_eyes_and_states_are_one_tap_away(opened):
    page = opened()
    before = page.locator(".step-picture img").first.get_attribute("src")
    page.get_by_role("link", name="aged").click()
    expect(page.locator(".pair-word .verdict")).to_have_text("Borderline")
    expect(page.locator(".step-picture img").first).not_to_have_attribute("src", before)
    page.get_by_role("link", name="green-blind").click()
    expect(page.locator(".pair-words [aria-current]")).to_have_text(
        ["the net loft", "aged", "green-blind"]
    )
    assert "state=aged" in page.url
    assert "eyes=deutan" in page.url


def test_without_scripts_it_is_seen_there_and_at_the_bench(demo, chromium, viewport):
    context = chromium.new_context(viewport=viewport, java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(120_000)
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/pairings")
    page.locator(".pairing h3 a").first.click()
    pictures = page.locator(".pair-seen img")
    expect(pictures).to_have_count(2)
    for picture, distance in zip(pictures.all(), ("distance_m=2", "distance_m=0.5"), strict=True):
        expect(picture).to_be_visible()
        assert distance in picture.get_attribute("src")
    expect(page.locator("[data-step-back]")).to_be_hidden()
    expect(page.locator(".pair-words .sentence")).to_be_visible()
    context.close()


def test_a_pairing_is_asked_about_changed_and_removed(filled, go):
    page = go(filled, "pairings")
    page.get_by_role("link", name="Ask about a pairing").click()
    form = page.locator("#pairing-form")
    form.get_by_label("Timber", exact=True).select_option(
        label="Bog oak, fretboard and bridge blanks"
    )
    form.get_by_label("Inlay", exact=True).select_option(label="Black hardwood, no label")
    form.get_by_label("Thinnest line").fill("wide")
    page.expected_errors.append("422")
    form.get_by_role("button", name="Judge").click()
    expect(form.get_by_label("Thinnest line")).to_have_attribute("aria-invalid", "true")
    assert violations(page) == []
    form.get_by_label("Thinnest line").fill("1/32 in")
    form.get_by_role("button", name="Judge").click()
    heading = page.locator(".pair-words h2")
    expect(heading).to_have_text("Black hardwood, no label on Bog oak, fretboard and bridge blanks")
    expect(page.locator("#said")).to_contain_text("Judged")
    word = page.locator(".pair-word .verdict").inner_text()
    fine = page.locator(".step-picture img").first.get_attribute("src")

    words = page.locator(".pair-words")
    words.locator("summary", has_text=re.compile("^Change$")).click()
    words.get_by_label("Where").fill("bridge <b>")
    words.get_by_label("Thinnest line").fill("0.1")
    words.get_by_role("button", name="Judge again").click()
    expect(words).to_contain_text("bridge <b> · line 0.1\u00a0mm")
    assert word in WORDS
    expect(page.locator("[data-step-ready]")).to_be_attached()
    assert fine is not None
    words.locator("summary", has_text=re.compile("^Note$")).click()
    words.get_by_role("textbox", name="Note").fill("Try shell.")
    words.get_by_role("button", name="Add the note").click()
    expect(words.locator(".note")).to_have_text("Try shell.")

    words.locator("summary", has_text=re.compile("^Change$")).click()
    words.get_by_role("link", name="Choose other pieces").click()
    form.get_by_label("Inlay", exact=True).select_option(label="Brass sheet, brushed")
    form.get_by_role("button", name="Judge again").click()
    expect(heading).to_have_text("Brass sheet, brushed on Bog oak, fretboard and bridge blanks")
    # A picture that is still fetched would be refused once its pairing is removed.
    expect(page.locator("[data-step-ready]")).to_be_attached()
    settled(page)
    words.locator("summary", has_text=re.compile("^Remove$")).click()
    words.get_by_role("button", name="Move to offcuts bin").click()
    page.wait_for_url(re.compile("/pairings$"))
    expect(page.locator("article.pairing")).to_have_count(7)
    page.get_by_role("button", name="Restore").click()
    expect(page.locator("article.pairing")).to_have_count(8)


def test_timber_without_a_scale_is_drawn_and_says_how_to_give_it_one(served, page):
    def make(noun, **fields):
        answer = page.request.post(f"{served.url}/api/{noun}", data=fields)
        assert answer.ok, answer.text()
        return answer.json()["id"]

    brief = make("briefs", title="Two of them")
    page.goto(f"{served.url}/briefs/{brief}/pairings")
    expect(page.locator("#sheet > .empty")).to_contain_text("needs two measured pieces")
    for lightness in (30, 80):
        make("materials", label=f"Lab {lightness}", reading=f"Lab {lightness} 5 9")
    page.goto(f"{served.url}/briefs/{brief}/pairings")
    expect(page.locator("#viewings .empty")).to_contain_text("No place yet")
    expect(page.locator("#no-pairings")).to_contain_text("No pairing yet")
    page.get_by_role("link", name="Ask about a pairing").click()
    page.get_by_role("button", name="Judge").click()
    expect(page.locator(".pair-drawn svg")).to_have_count(1)
    expect(page.locator(".pair-seen")).to_contain_text("photograph Lab 30 bare")
    expect(page.locator("[data-step-back]")).to_have_count(0)
    expect(page.locator(".pair-words .sentence")).to_contain_text("at the bench")
    page.get_by_role("link", name="All pairings").click()
    settled(page)
    expect(page.locator("article.pairing .pair-drawn svg")).to_have_count(1)
    page.set_viewport_size({"width": 320, "height": 700})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert violations(page) == []


def test_what_a_form_was_refused_for_stays_when_its_part_of_the_page_comes_anew(filled, go):
    """As it does when what was saved just before is brought up to date a moment late."""
    page = go(filled, "pairings/new")
    page.expected_errors = ["422"]
    form = page.locator("#pairing-form")
    form.get_by_label("Thinnest line (mm)").fill("thick")
    form.get_by_role("button", name="Judge").click()
    expect(form.locator(".fault")).to_have_count(1)
    words = form.locator(".fault").inner_text()
    form.evaluate("form => { form.dataset.old = '' }")
    page.evaluate(
        "async () => (await import(document.querySelector('script[type=module]').src))"
        ".modules['page/refresh.js'].refresh('#pairing-form')"
    )
    expect(page.locator("#pairing-form[data-old]")).to_have_count(0)
    expect(form.locator(".fault")).to_have_text(words)
    field = form.get_by_label("Thinnest line (mm)")
    expect(field).to_have_value("thick")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_accessible_description(re.compile(re.escape(words[:20])))
    field.fill("0.8")
    form.get_by_role("button", name="Judge").click()
    expect(page.locator(".pair-words h2")).to_be_visible()
