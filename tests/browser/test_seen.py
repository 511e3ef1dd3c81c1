"""What has been made or changed is seen, and nothing typed is lost on the way."""

from __future__ import annotations

import re

import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Locator, Page, expect

from brief.places import demo_folder
from tests.browser.conftest import PHONE, open_reference, settled

PICTURES = demo_folder() / "pictures"


@pytest.fixture
def sheet(filled, page):
    def opened(key: str) -> Page:
        page.goto(f"{filled.url}/briefs/{filled.brief_id}/{key}")
        settled(page)
        return page

    return opened


def fold(within: Page | Locator, label: str) -> None:
    within.locator("summary", has_text=re.compile(rf"^{label}$")).first.click()


def top_of(thing: Locator) -> float:
    box = thing.bounding_box()
    assert box is not None
    return box["y"]


def is_seen(page: Page, thing: Locator) -> None:
    """Its beginning is in the window, and not under the sentence that tells of it."""
    expect(thing).to_be_in_viewport()
    top = top_of(thing)
    said = page.locator("#said").bounding_box()
    assert top >= 0
    assert top < page.viewport_size["height"] * 0.6
    if said is not None and page.viewport_size == PHONE:
        assert top >= said["y"] + said["height"]


def test_the_answer_to_a_pairing_is_seen(sheet):
    page = sheet("pairings/new")
    form = page.locator("#pairing-form")
    form.get_by_label("Timber", exact=True).select_option(
        label="Bog oak, fretboard and bridge blanks"
    )
    form.get_by_label("Inlay", exact=True).select_option(label="Black hardwood, no label")
    form.get_by_role("button", name="Judge").click()
    heading = page.locator(".pair-words h2")
    expect(heading).to_have_text("Black hardwood, no label on Bog oak, fretboard and bridge blanks")
    is_seen(page, page.locator(".pair-seen"))
    for answer in (".pair-word", ".pair-words .sentence"):
        expect(page.locator(answer)).to_be_visible()
    page.goto(page.url.rpartition("/")[0])
    first = page.locator("article.pairing").first
    expect(first.locator("h3")).to_have_text(
        "Black hardwood, no label on Bog oak, fretboard and bridge blanks"
    )
    expect(page.locator("article.pairing")).to_have_count(8)


def test_a_motif_is_seen_and_the_next_can_be_added(sheet):
    page = sheet("theme")
    fold(page, "Add a motif")
    page.locator("#motif-form").get_by_label("Motif", exact=True).fill("salt")
    page.get_by_role("button", name="Add the motif").click()
    expect(page.locator("#motifs > li").last.locator("h3")).to_be_focused()
    expect(page.locator("#said")).to_have_text("Motif added: salt")
    is_seen(page, page.locator("#motifs > li").last)
    expect(page.locator("#motif-form").get_by_label("Motif", exact=True)).to_have_value("")


def test_references_swatches_and_palettes_are_seen(sheet):
    page = sheet("references")
    page.locator("#add-pictures-files").set_input_files([PICTURES / "cedar.jpg"])
    frame = page.locator("#references > .frame").last
    expect(frame.get_by_role("link", name="cedar")).to_be_focused()
    is_seen(page, frame)

    added = open_reference(page, "cedar")
    fold(added, "Pull a palette")
    added.get_by_role("button", name="Pull the palette").click()
    palette = added.locator(".palette")
    expect(palette).to_be_focused()
    expect(page.locator("#said")).to_contain_text("colours. Point at one")
    is_seen(page, palette)

    colour = palette.locator(".palette-list > li").first
    fold(colour, "Name it")
    colour.get_by_label("Name", exact=True).fill("cut end")
    colour.get_by_role("button", name="Name the swatch").click()
    expect(colour.locator(".pick-colour")).to_contain_text("cut end")
    expect(colour).to_be_focused()
    is_seen(page, colour)

    page.get_by_role("link", name="All references").click()
    expect(page.locator("#swatches")).to_contain_text("cut end")
    fold(page, "Type a colour")
    typed = page.locator("#typed-swatch")
    typed.get_by_label("Colour").fill("#6f7f76")
    typed.get_by_label("Name", exact=True).fill("verdigris")
    typed.get_by_role("button", name="Add the swatch").click()
    expect(page.locator("#swatches .swatches > li").last).to_be_focused()
    expect(page.locator("#said")).to_have_text("Swatch added: verdigris")


def test_a_comment_is_seen_where_it_was_made_and_first_on_its_sheet(sheet, filled):
    page = sheet("spec")
    part = page.locator("li[data-shows-role=nut]")
    fold(part, "More")
    fold(part, "Comment")
    part.get_by_label("Comment", exact=True).fill("Boil it first.")
    part.get_by_role("button", name="Add the comment").click()
    said = part.locator(".said", has_text="Boil it first.")
    expect(said).to_be_focused()
    is_seen(page, said)
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/comments")
    rows = page.locator("#comments > li")
    expect(rows.first).to_contain_text("Boil it first.")
    states = rows.locator("> p:first-child .state").all_inner_texts()
    assert states == sorted(states)  # open, then settled
    fold(rows.nth(1), "Reply")
    rows.nth(1).get_by_role("textbox", name="Reply").fill("Yes.")
    rows.nth(1).get_by_role("button", name="Reply").click()
    expect(rows.nth(1).locator(".replies > div").last).to_be_focused()


def test_a_part_shows_what_was_chosen_and_stays_where_it_is(sheet):
    page = sheet("spec")
    part = page.locator("li[data-shows-role=rosette]")
    drawn = page.locator("#panel [data-role=rosette]")
    expect(drawn).to_have_attribute("data-open", "true")
    part.locator("[data-pick-part]").click()
    page.locator(".strip", has_text="Brass sheet, brushed").click()
    expect(page.locator("#said")).to_have_text("Rosette: Brass sheet, brushed")
    expect(drawn).not_to_have_attribute("data-open", "true")
    expect(part).to_contain_text("Brass sheet, brushed")
    expect(page.locator(".strip:focus")).to_contain_text("Brass sheet, brushed")
    expect(drawn).to_be_in_viewport()
    expect(page.locator("#still-open")).to_have_text("")
    ids = page.evaluate("[...document.querySelectorAll('[id]')].map(e => e.id)")
    assert len(ids) == len(set(ids))
    fold(part, "More")
    fold(part, "Change")
    part.get_by_label("Finish").fill("lacquer")
    part.get_by_role("button", name="Save").click()
    expect(page.locator("#said")).to_have_text("Rosette saved")
    expect(part.locator("summary", has_text=re.compile("^Change$"))).to_be_focused()
    settled(page)
    is_seen(page, part)


def test_one_row_is_refreshed_and_the_others_are_left_alone(sheet, filled):
    page = sheet("theme")
    for name in ("second to last", "last"):  # nothing hangs on them that would go elsewhere
        own = {"brief_id": filled.brief_id, "name": name}
        assert page.request.post(f"{filled.url}/api/motifs", data=own).ok
    page = sheet("theme")
    second, third = (
        page.locator("#motifs > li", has=page.get_by_role("heading", name=name, exact=True))
        for name in ("second to last", "last")
    )
    third.evaluate("row => { row.untouched = true }")
    fold(third, "Note")
    third.get_by_role("textbox", name="Note").fill("half a thought")
    second.evaluate("row => { row.untouched = true }")
    fold(second, "Note")
    second.get_by_role("textbox", name="Note").fill("Under the lamp it is gone.")
    second.get_by_role("button", name="Add the note").click()
    expect(second.locator(".note-line")).to_be_focused()
    assert second.evaluate("row => row.untouched") is None
    assert third.evaluate("row => row.untouched") is True
    expect(third.get_by_role("textbox", name="Note")).to_have_value("half a thought")

    rows = page.locator("#motifs > li")
    before = rows.all_inner_texts()
    fold(second, "Remove")
    second.get_by_role("button", name="Move to offcuts bin").click()
    expect(rows).to_have_count(len(before) - 1)
    expect(third.locator("h3")).to_be_focused()  # the one that follows
    page.get_by_role("button", name="Restore").click()
    expect(rows).to_have_count(len(before))
    expect(second.locator("h3")).to_be_focused()
    assert third.evaluate("row => row.previousElementSibling.querySelector('h3').textContent") == (
        "second to last"
    )


def test_a_form_waits_until_its_fold_is_opened_and_outlives_a_refresh(sheet):
    page = sheet("theme")
    motif = page.locator("#motifs > li").first
    expect(motif.locator("form")).to_have_count(0)
    fold(motif, "Change")
    motif.get_by_label("Meaning").fill("Half written")
    fold(motif, "Note")
    motif.get_by_role("textbox", name="Note").fill("Noted meanwhile.")
    motif.get_by_role("button", name="Add the note").click()
    expect(motif.locator(".note")).to_have_text("Noted meanwhile.")
    expect(motif.get_by_label("Meaning")).to_have_value("Half written")
    motif.get_by_role("button", name="Save", exact=True).click()
    expect(motif.locator(".strand-name .prose")).to_have_text("Half written")


def test_leaving_with_something_unsaved_is_asked_about(sheet, filled):
    page = sheet("theme")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    motif = page.locator("#motifs > li").first
    fold(motif, "Change")
    motif.get_by_label("Meaning").fill("Half written")
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/spec")
    assert asked == ["beforeunload"]

    # On the way back it is there, in its opened fold; once it is saved, nobody asks.
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/theme")
    text = motif.get_by_label("Meaning")
    expect(text).to_be_visible()
    expect(text).to_have_value("Half written")
    expect(page.locator("#said")).to_contain_text("not saved yet")
    motif.get_by_role("button", name="Save", exact=True).click()
    expect(motif.locator(".strand-name .prose")).to_have_text("Half written")
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/spec")
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/theme")
    expect(page.locator("#motifs > li").first.locator("form")).to_have_count(0)
    assert asked == ["beforeunload"]


def test_nothing_jumps_while_a_sheet_loads(sheet, filled):
    """Layout Instability API: at most 0.1 is called good, 0.02 is what we ask."""
    for key in ("theme", "references", "pairings", "spec", "comments"):
        page = sheet(key)
        total, moved = page.evaluate(
            """new Promise(done => { let sum = 0;
                const moved = [];
                const add = list => { for (const one of list.getEntries()) {
                    sum += one.value;
                    for (const { node } of one.sources) moved.push(node?.id || node?.className);
                } };
                new PerformanceObserver(add)
                    .observe({ type: 'layout-shift', buffered: true });
                setTimeout(() => done([sum, moved]), 300); })"""
        )
        assert total < 0.02, (key, moved)


def test_the_panel_is_folded_on_a_phone_and_open_on_a_desk(sheet):
    page = sheet("drawing")
    panel = page.get_by_role("complementary", name="The instrument")
    drawing = panel.locator(".front svg")
    button = panel.get_by_role("button", name="The instrument")
    if page.viewport_size != PHONE:
        expect(drawing).to_be_visible()
        return expect(button).to_be_hidden()
    expect(drawing).to_be_hidden()
    expect(button).to_have_attribute("aria-expanded", "false")
    button.focus()
    page.keyboard.press("Enter")
    expect(button).to_have_attribute("aria-expanded", "true")
    expect(drawing).to_be_visible()
    # It stays so when it is brought up to date.
    page.get_by_role("button", name="Save the numbers").click()
    expect(page.locator("#said")).to_contain_text("Numbers saved")
    expect(drawing).to_be_visible()
    expect(button).to_have_attribute("aria-expanded", "true")


def test_a_spot_is_a_tap_and_drawing_ends_with_the_form(sheet):
    page = sheet("references")
    plate = open_reference(page, "Inside the reed bed")
    fold(plate, "Comment")
    toggle = plate.get_by_role("button", name="Point at a spot")
    toggle.click()
    expect(toggle).to_have_attribute("aria-pressed", "true")
    picture = plate.locator(".spot-note img")
    picture.scroll_into_view_if_needed()
    box = picture.bounding_box()
    at = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 4)
    if page.viewport_size == PHONE:
        page.touchscreen.tap(*at)
    else:
        page.mouse.click(*at)
    drawn = plate.locator(".spot-note .pick-box").bounding_box()
    assert drawn["width"] == pytest.approx(box["width"] * 0.06, abs=2)
    assert drawn["height"] == pytest.approx(drawn["width"], abs=2)
    assert drawn["x"] + drawn["width"] / 2 == pytest.approx(at[0], abs=2)
    typed = plate.get_by_label("The spot")
    expect(typed).to_be_hidden()
    assert re.fullmatch(r"47, [\d.]+, 6, [\d.]+", typed.input_value())
    plate.get_by_label("Comment", exact=True).fill("Here.")
    plate.get_by_role("button", name="Add the comment").click()
    expect(plate.locator(".said", has_text="Here.")).to_be_focused()
    expect(toggle).to_have_attribute("aria-pressed", "false")
    expect(plate.locator(".is-armed")).to_have_count(0)

    # And with its fold.
    fold(plate, "Pull another palette")
    plate.get_by_role("button", name="Draw on the picture").click()
    expect(plate.locator("figure .is-armed")).to_have_count(1)
    fold(plate, "Pull another palette")
    expect(plate.locator("figure .is-armed")).to_have_count(0)


def test_a_part_of_a_picture_is_typed_in_plain_numbers_and_told_in_words(sheet):
    page = sheet("references")
    page.locator("#references a").first.click()
    plate = page.locator("article.plate")
    fold(plate, "Pull another palette")
    fold(plate.locator("[id^=pull-]"), "Type it instead")
    plate.get_by_label("Area", exact=True).fill("18, 21, 36, 54")
    expect(plate.locator("figure .pick-box")).to_be_visible()
    plate.get_by_role("button", name="Pull the palette").click()
    palette = plate.locator(".palette").last
    expect(palette).to_be_focused()
    fold(palette, "How it was pulled")
    expect(palette).to_contain_text(
        "from a part of the picture (left 18 %, top 21 %, 36 % wide, 54 % high)"
    )
    assert "xywh" not in page.locator("#content").inner_text()


def test_a_colour_of_the_bar_is_marked_in_the_list(sheet):
    page = sheet("references")
    page.locator("#references a").first.click()
    palette = page.locator(".palette").first
    bar = palette.locator(".palette-bar rect").nth(2)
    if page.viewport_size == PHONE:
        bar.tap()
    else:
        bar.hover()
    expect(palette.locator(".pick-colour").nth(2)).to_have_class(re.compile("is-shown"))
    expect(palette.locator(".pick-colour.is-shown")).to_have_count(1)
    page.keyboard.press("Escape")
    expect(palette.locator(".pick-colour.is-shown")).to_have_count(0)


def test_an_accent_is_marked_in_the_picture_by_key_and_named(sheet, tmp_path):
    """A kingfisher of 0.8 % on sand and water: its ring, its disc behind the bar, its name."""
    page = sheet("references")
    shore = Image.new("RGB", (400, 300), (200, 180, 140))
    ImageDraw.Draw(shore).rectangle((200, 0, 400, 300), fill=(120, 140, 150))
    ImageDraw.Draw(shore).circle((120, 120), 17, fill=(40, 90, 200))
    shore.save(tmp_path / "shore.png")
    page.locator("#add-pictures-files").set_input_files([tmp_path / "shore.png"])
    added = open_reference(page, "shore")
    fold(added, "Pull a palette")
    added.get_by_label("Number of colours").select_option("2")
    added.get_by_role("button", name="Pull the palette").click()
    palette = added.locator(".palette")
    expect(palette).to_be_focused()
    accents = palette.get_by_role("list", name="Accents of palette 1 of shore")
    expect(accents.get_by_role("listitem")).to_have_count(1)
    assert palette.evaluate("one => one.scrollWidth <= one.clientWidth")

    pick = accents.locator(".pick-colour")
    palette.locator(".pick-colour").first.focus()
    while not pick.evaluate("one => one === document.activeElement"):
        page.keyboard.press("Tab")
    ring = added.locator(".spot-ring")
    box, at = added.locator("img").first.bounding_box(), ring.bounding_box()
    middle = at["x"] + at["width"] / 2 - box["x"], at["y"] + at["height"] / 2 - box["y"]
    assert middle == pytest.approx((0.3 * box["width"], 0.4 * box["height"]), abs=8)
    page.keyboard.press("Escape")
    expect(ring).to_have_count(0)
    disc = palette.locator(".accent circle")
    disc.tap() if page.viewport_size == PHONE else disc.hover()
    expect(pick).to_have_class(re.compile("is-shown"))

    fold(accents, "Name it")
    accents.get_by_label("Name", exact=True).fill("kingfisher")
    accents.get_by_role("button", name="Name the swatch").click()
    expect(pick).to_contain_text("kingfisher")
    expect(page.locator("#said")).to_contain_text("Named: kingfisher")


def test_trying_again_is_offered_where_it_can_help(sheet):
    page = sheet("references")
    page.expected_errors = ["422", "500"]
    page.locator("#add-pictures-files").set_input_files(
        {"name": "list.jpg", "mimeType": "image/jpeg", "buffer": b"glue, fret wire"}
    )
    line = page.locator("#add-pictures [data-state=failed]")
    expect(line).to_contain_text("not a picture")
    expect(line.get_by_role("button", name="Try again")).to_have_count(0)
    page.route("**/api/references/pictures", lambda route: route.fulfill(status=500, body="no"))
    page.locator("#add-pictures-files").set_input_files([PICTURES / "cedar.jpg"])
    again = page.get_by_role("button", name="Try again: cedar.jpg")
    expect(again).to_be_visible()
    page.unroute("**/api/references/pictures")
    again.click()
    expect(page.locator("#add-pictures [data-state=added]")).to_have_count(1)


def test_the_sheets_lead_on_to_each_other(sheet):
    page = sheet("theme")
    for following in (
        "Today", "References", "Timber and inlay", "Pairings", "Lay a colour", "Spec", "Drawing",
        "Inlay", "Studio", "Run-up", "Movement", "Papers", "Trip", "Cost", "Comments", "Sharing",
        "On paper",
    ):  # fmt: skip
        page.get_by_role("link", name=f"Next: {following}").click()
        current = page.locator("nav [aria-current=page]")
        expect(current).to_contain_text(following)
    expect(page.get_by_role("link", name="Next:")).to_have_count(0)
