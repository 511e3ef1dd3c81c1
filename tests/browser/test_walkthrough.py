"""One brief, from an empty shelf to the build spec, as a maker does it in the browser."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from brief.places import demo_folder
from tests.browser.conftest import PHONE, open_reference, settled

PICTURES = demo_folder() / "pictures"


def open_fold(page: Page, label: str, within: str = "#content", nth: int = 0) -> None:
    page.locator(f"{within} summary", has_text=label).nth(nth).click()


GROUPS = {
    "Timber and inlay": "Wood",
    "Pairings": "Wood",
    "Spec": "Instrument",
    "Comments": "People",
}


def go_to(page: Page, sheet: str) -> None:
    """By the register, and where a concern has several sheets, by the row below it."""
    sheets = page.get_by_role("navigation", name="Sheets")
    group = GROUPS.get(sheet)
    sheets.get_by_role("link", name=group or sheet).click()
    if group:
        page.get_by_role("navigation", name=group).get_by_role("link", name=sheet).click()


def article(page: Page, title: str):
    return page.locator("article", has=page.locator("h3", has_text=title))


def test_a_brief_from_theme_to_spec(served, page):
    page.goto(served.url)
    expect(page.get_by_text("Nothing on the shelf yet")).to_be_visible()
    page.get_by_label("Title").fill("Reed and slack water")
    page.get_by_label("What is it about?").fill("The quarter of an hour when nothing moves.")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/theme")
    expect(page.locator("#content h2")).to_have_text("Reed and slack water")

    open_fold(page, "Add a motif")
    page.get_by_label("Motif", exact=True).fill("slack water")
    page.get_by_label("Meaning").fill("Grey, and waiting.")
    page.get_by_role("button", name="Add the motif").click()
    expect(page.locator("#sheet h3", has_text="slack water")).to_be_visible()

    # Two pictures at once, each with a line of its own; a passage.
    go_to(page, "References")
    page.locator("#add-pictures-files").set_input_files(
        [PICTURES / "slack-water.jpg", PICTURES / "reed-bed.jpg"]
    )
    expect(page.locator("#add-pictures [data-state=added]")).to_have_count(2)
    expect(page.locator("#references > .frame")).to_have_count(2)
    open_fold(page, "Add a passage")
    page.get_by_label("Words").fill("The tide has stopped.")
    page.locator("#passage-form").get_by_label("Title").fill("A line")
    page.get_by_role("button", name="Add the passage").click()
    expect(page.locator("#references .words")).to_contain_text("The tide has stopped.")

    # Pull a palette, see where a colour sits, name it.
    water = open_reference(page, "slack water")
    water.locator("summary", has_text="Pull a palette").click()
    water.get_by_role("button", name="Pull the palette").click()
    expect(water.locator(".palette-list > li")).not_to_have_count(0)
    colour = water.locator(".pick-colour").first
    if page.viewport_size == PHONE:
        colour.tap()
    else:
        colour.hover()
    expect(page.locator(".spot-ring")).to_be_visible()
    page.keyboard.press("Escape")
    water.locator("summary", has_text="Name it").first.click()
    water.get_by_label("Name", exact=True).first.fill("pale water")
    water.get_by_label("Motif").first.select_option(label="slack water")
    water.get_by_role("button", name="Name the swatch").first.click()
    expect(colour).to_contain_text("pale water")

    # Timber and inlay on the rack.
    go_to(page, "Timber and inlay")
    page.locator("#add-pieces-files").set_input_files(
        [PICTURES / name for name in ("bog-oak.jpg", "mother-of-pearl.jpg", "cedar.jpg")]
    )
    expect(page.locator("#rack > .frame")).to_have_count(3)
    expect(page.locator("#rack").get_by_role("link", name="bog oak").locator("img")).to_be_visible()

    # Does the shell work in the bog oak?
    go_to(page, "Pairings")
    page.get_by_role("link", name="Ask about a pairing").click()
    page.get_by_label("Timber", exact=True).select_option(label="bog oak")
    page.get_by_label("Inlay", exact=True).select_option(label="mother of pearl")
    page.get_by_label("Where", exact=True).fill("fretboard, 12th fret")
    page.get_by_label("Thinnest line").fill("0,8")
    page.get_by_role("button", name="Judge").click()
    expect(page.locator(".pair-word .verdict")).to_have_text("Reads")
    expect(page.locator(".pair-words .sentence")).to_have_text("Shows clearly at the bench.")
    expect(page.locator(".pair-drawn svg path").first).to_be_visible()
    expect(page.locator(".pair-words")).to_contain_text("line 0.8 mm")

    # The top in cedar, carrying the colour of the water: the instrument changes.
    go_to(page, "Spec")
    top = page.locator("li[data-shows-role=top]")
    expect(page.locator("#panel [data-role=top][data-open]")).to_have_count(1)
    top.get_by_role("button", name="Top").click()
    page.locator(".strip", has_text="cedar").click()
    expect(top).to_contain_text("cedar")
    expect(page.locator("#panel [data-role=top][data-open]")).to_have_count(0)
    page.get_by_role("button", name="Close: wood for Top").click()
    top.locator("summary", has_text="More").click()
    top.locator("summary", has_text="Change").click()
    top.get_by_label("Target colour").select_option(label="pale water")
    top.get_by_role("button", name="Save").click()
    expect(top.locator(".wanted")).to_have_attribute("aria-label", re.compile("^Target pale water"))
    top.locator("summary", has_text="Trace to the theme").click()
    expect(top.locator(".thread")).to_contain_text("slack water")

    # A comment, answered and settled.
    go_to(page, "Comments")
    open_fold(page, "Add a comment")
    page.locator("#comment-form").get_by_label("Name", exact=True).fill("a boatbuilder")
    page.get_by_label("Comment on the whole brief").fill("Which way does the grain run?")
    page.get_by_role("button", name="Add the comment").click()
    said = page.locator("li.said", has_text="Which way")
    expect(said).to_contain_text("a boatbuilder")
    said.locator("summary", has_text="Reply").click()
    said.get_by_role("textbox", name="Reply").fill("Along the strings.")
    said.get_by_role("button", name="Reply").click()
    expect(said.locator(".replies")).to_contain_text("Along the strings.")
    said.locator("summary", has_text="Settle it").click()
    said.get_by_label("What was done about it").fill("Drawn on the spec.")
    said.get_by_role("button", name="Settle it").click()
    expect(page.locator("li.said .state.settled")).to_be_visible()


def test_removing_says_what_goes_along_and_takes_it_back(filled, page):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/references")
    frames = page.locator("#references > .frame")
    before = frames.count()
    frames.first.get_by_role("link").click()
    first = page.locator("article")
    title = first.locator("h2").inner_text()
    first.locator("> div > .folds > details > summary", has_text="Remove").click()
    expect(first.locator("form[data-send=delete]").first).to_contain_text("1 palette")
    first.get_by_role("button", name="Move to offcuts bin").click()
    expect(frames).to_have_count(before - 1)
    expect(page.locator("#said")).to_contain_text(f"{title}” with")
    page.get_by_role("button", name="Restore").click()
    expect(frames).to_have_count(before)


def test_what_is_wrong_stands_beside_the_field_and_nothing_typed_is_lost(served, page):
    page.expected_errors = ["422"]
    page.goto(served.url)
    page.get_by_label("Title").fill("x" * 10_000)
    page.get_by_label("What is it about?").fill("Long nights.")
    page.get_by_role("button", name="Begin").click()
    expect(page.locator(".fault")).to_have_text("At most 200 characters; this has 10,000.")
    expect(page.get_by_label("Title")).to_be_focused()
    expect(page.get_by_label("What is it about?")).to_have_value("Long nights.")
    assert len(page.get_by_label("Title").input_value()) == 10_000


def test_a_bad_file_is_said_of_that_file_and_the_good_one_goes_in(served, page, tmp_path):
    page.expected_errors = ["422"]
    brief = page.request.post(f"{served.url}/api/briefs", data={"title": "Reed"}).json()
    page.goto(f"{served.url}/briefs/{brief['id']}/references")
    text = tmp_path / "shopping.jpg"
    text.write_text("glue, fret wire")
    cut_short = tmp_path / "cut.jpg"
    cut_short.write_bytes((PICTURES / "cedar.jpg").read_bytes()[:20_000])
    page.locator("#add-pictures-files").set_input_files(
        [text, cut_short, PICTURES / "slack-water.jpg"]
    )
    expect(page.locator("#add-pictures [data-state=added]")).to_have_count(1)
    failed = page.locator("#add-pictures [data-state=failed]")
    expect(failed).to_have_count(2)
    expect(failed.first).to_contain_text("not a picture")
    expect(failed.last).to_contain_text("cut short")
    expect(page.locator("#references > .frame")).to_have_count(1)


def test_two_tabs_never_overwrite_each_other_silently(served, page):
    page.expected_errors = ["412"]
    brief = page.request.post(f"{served.url}/api/briefs", data={"title": "Reed"}).json()
    page.goto(f"{served.url}/briefs/{brief['id']}/theme")
    open_fold(page, "Change the brief")
    page.locator("#brief-form-title").fill("Reed, mine")
    page.request.patch(
        f"{served.url}/api/briefs/{brief['id']}",
        data={"title": "Reed, theirs"},
        headers={"If-Match": brief["etag"]},
    )
    page.locator("#brief-form").get_by_role("button", name="Save").click()
    expect(page.locator("#brief-form .problem")).to_contain_text("Nothing was saved")
    expect(page.locator("#brief-form-title")).to_have_value("Reed, mine")
    page.get_by_role("button", name="Show the saved version").click()
    expect(page.locator("#brief-form")).to_contain_text("Reed, theirs")
    expect(page.locator("#brief-form-title")).to_have_value("Reed, mine")
    expect(page.locator("#brief-form")).to_have_attribute("data-etag", '"2"')
    settled(page)
    page.locator("#brief-form").get_by_role("button", name="Save").click()
    expect(page.locator("#content h2")).to_have_text("Reed, mine")


def test_a_region_is_drawn_by_pointer_and_by_keys(demo, page):
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/references")
    page.locator("#references a").first.click()
    plate = page.locator("article.plate")
    plate.locator("summary", has_text="Pull another palette").click()
    plate.get_by_role("button", name="Draw on the picture").click()
    picture = plate.locator("figure img")
    picture.scroll_into_view_if_needed()
    box = picture.bounding_box()
    page.mouse.move(box["x"] + box["width"] * 0.2, box["y"] + box["height"] * 0.2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.6, box["y"] + box["height"] * 0.5, steps=4)
    page.mouse.up()
    field = plate.get_by_label("Area", exact=True)
    left = float(field.input_value().split(",")[0])
    assert 18 < left < 22
    plate.locator(".pick-box").first.focus()
    page.keyboard.press("ArrowRight")
    assert float(field.input_value().split(",")[0]) == left + 1
