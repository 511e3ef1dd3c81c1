"""Pictures that were just shot or dropped are shown, told apart, and given a name."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE


@pytest.fixture(params=[PHONE], ids=["phone"])
def viewport(request):
    return request.param


@pytest.fixture
def shot(picture):
    """A picture as some phones call every one they take."""
    return {"name": "image.jpg", "mimeType": "image/png", "buffer": picture()}


def test_a_piece_just_shot_opens_large_and_asks_for_its_name(filled, page, shot):
    rack = f"{filled.url}/briefs/{filled.brief_id}/timber"
    for label in ("image", "image 2"):
        page.goto(rack)
        page.get_by_label("Or take a photo now").set_input_files([shot])
        expect(page.locator("#content h2")).to_have_text(label)
        expect(page.locator("#said")).to_have_text(f"{label.capitalize()} is on the rack")
        expect(page.get_by_label("Label", exact=True)).to_be_focused()
        expect(page.locator("[id^=photograph-] img").first).to_be_visible()
    page.keyboard.type("Feathered walnut")  # over the name it came with
    page.keyboard.press("Enter")
    expect(page.locator("#content h2")).to_have_text("Feathered walnut")
    page.get_by_role("link", name="All pieces").click()
    for name in ("Feathered walnut", "image"):
        expect(page.locator("#rack").get_by_role("link", name=name).last).to_be_visible()


def test_several_pieces_stay_on_the_rack(filled, page, shot):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/timber")
    before = page.locator("#rack > .frame").count()
    page.get_by_label("Add pieces").set_input_files([shot, {**shot, "name": "plank.jpg"}])
    expect(page.locator("#said")).to_have_text("2 files added.")
    expect(page.locator("#rack > .frame")).to_have_count(before + 2)


def test_the_rack_is_narrowed_and_ordered(filled, page):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/timber")
    everything = page.locator("#rack > .frame").count()
    page.get_by_label("Label or species").fill("OAK")
    page.keyboard.press("Enter")
    expect(page.locator("#found")).to_have_text(f"1 of {everything} pieces")
    expect(page.locator("#rack a > b")).to_have_text(["Bog oak, fretboard and bridge blanks"])
    page.get_by_label("Label or species").fill("")
    page.get_by_label("Order").select_option("light")
    expect(page.locator("#found")).to_have_text(f"{everything} of {everything} pieces")
    lightest = page.request.get(f"{filled.url}/api/materials").json()["items"]
    known = sorted(
        (one for one in lightest if one["colour"]), key=lambda one: -one["colour"]["lab"][0]
    )
    expect(page.locator("#rack a > b").first).to_have_text(known[0]["label"])
    assert page.url.endswith("?order=light")


def test_nobody_is_interrupted_by_a_picture_that_comes(filled, page, shot):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/timber")
    page.route(
        "**/api/materials/pictures", lambda route: (page.wait_for_timeout(300), route.continue_())
    )
    page.get_by_label("Or take a photo now").set_input_files([shot])
    page.locator("#add-material > summary").click()
    label = page.locator("#material-form").get_by_label("Label")
    label.fill("Cedar, unph")
    expect(page.locator("#said")).to_have_text("Image is on the rack")
    page.keyboard.type("otographed")
    expect(label).to_have_value("Cedar, unphotographed")


def test_a_photograph_of_a_piece_is_in_view(filled, page, shot):
    piece = page.request.get(f"{filled.url}/api/materials").json()["items"][0]["id"]
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/timber/{piece}")
    page.locator("#add-photographs").get_by_label("Or take a photo now").set_input_files([shot])
    expect(page.locator("#said")).to_have_text("1 file added.")
    added = page.locator("[id^=photograph-]").last
    expect(added).to_be_in_viewport()
    expect(added.locator("h3")).to_be_focused()


def test_the_lines_of_many_files_fold_into_one(served, page, picture):
    brief = page.request.post(f"{served.url}/api/briefs", data={"title": "Saltmarsh"}).json()["id"]
    page.goto(f"{served.url}/briefs/{brief}/references")
    many = [
        {"name": f"reed {at}.png", "mimeType": "image/png", "buffer": picture((at, 99, 50))}
        for at in range(9)
    ]
    broken = {"name": "torn.png", "mimeType": "image/png", "buffer": b"no picture"}
    page.expected_errors.append("422")
    page.get_by_label("Add pictures").set_input_files([*many, broken])
    expect(page.locator("#references > .frame")).to_have_count(9)
    lines = page.locator("[data-progress] > li")
    expect(lines).to_have_count(2)
    expect(lines.locator("summary")).to_have_text("9 files added")
    expect(lines.last).to_contain_text("torn.png")
    lines.locator("summary").click()
    expect(lines.get_by_role("link", name="reed 8.png")).to_be_visible()
    page.get_by_label("Add pictures").set_input_files(many[:1])  # those have been read by now
    expect(page.locator("#references > .frame")).to_have_count(10)
    expect(lines.locator("summary")).to_have_count(0)


def test_what_was_left_out_of_readings_is_said_until_it_is_closed(filled, page):
    text = (
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        "BEGIN_DATA\nreed 61 - 24\nmud 31 3 9\nEND_DATA\n"
    )
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/timber")
    page.locator("#exchange > summary").click()
    readings = {"name": "rack.txt", "mimeType": "text/plain", "buffer": text.encode()}
    page.locator("#read-file").set_input_files([readings])
    expect(page.locator("#said")).to_contain_text("1 file added. Left out: line 6 (LAB_A has no")
    expect(page.locator("#said").get_by_role("button", name="Close")).to_be_visible()
    expect(page.locator("#rack").get_by_role("link", name="mud")).to_be_visible()
