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


def test_a_piece_just_shot_is_in_view_and_asks_for_its_name(filled, page, shot):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/timber")
    for label in ("image", "image 2"):
        page.get_by_label("Or take a photo now").set_input_files([shot])
        piece = page.locator("article", has=page.get_by_role("heading", name=label, exact=True))
        expect(piece).to_be_in_viewport()
        expect(page.locator("#said")).to_have_text(f"{label.capitalize()} is on the rack")
        expect(piece.get_by_label("Label")).to_be_focused()
        there = page.locator("[data-progress] a").last
        assert there.get_attribute("href") == f"#{piece.get_attribute('id')}"
    page.keyboard.type("Feathered walnut")  # over the name it came with
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Feathered walnut", exact=True)).to_be_visible()
    expect(page.get_by_role("heading", name="image", exact=True)).to_be_visible()


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
    expect(page.get_by_role("heading", name="mud", exact=True)).to_be_visible()
