"""The run-up by hand: the usual stages, one done, a day away, a link for the calendar."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.reading import violations


@pytest.fixture
def sheet(page, served):
    """The Run-up sheet of a brief with nothing in it."""
    made = page.request.post(f"{served.url}/api/briefs", data={"title": "Saltmarsh"}).json()
    page.goto(f"{served.url}/briefs/{made['id']}/run-up")
    return page


def test_from_nothing_to_the_next_stage(sheet, served):
    page = sheet
    page.get_by_role("button", name="Use the usual stages").click()
    expect(page.locator(".run-up-picture:visible")).to_have_count(1)
    expect(page.locator(".stages .is-next h4")).to_have_text("Next: Rest the wood in the workshop")
    assert violations(page) == []
    page.locator(".is-next").get_by_text("Done", exact=True).click()
    page.get_by_label("Hours spent").fill("1,5")
    page.locator(".is-next").get_by_role("button", name="Save").click()
    expect(page.locator("#said")).to_contain_text("Rest the wood in the workshop: saved")
    expect(page.locator(".stages .is-next h4")).not_to_have_text(re.compile("Rest the wood"))
    expect(page.locator(".stages .is-done")).to_contain_text("1.5 h")


def test_what_cannot_be_stays_typed_beside_its_field(sheet):
    page = sheet
    page.get_by_text("Your week").click()
    page.get_by_label("Mon").fill("25")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#week .fault")).to_contain_text("Hours at the bench are 0 to 24")
    expect(page.get_by_label("Mon")).to_have_value("25")
    page.expected_errors.append("422")


def test_a_calendar_link_is_told_once(sheet, served):
    page = sheet
    page.get_by_role("button", name="Use the usual stages").click()
    page.get_by_text("Make a calendar link").click()
    page.get_by_label("For which calendar").fill("my phone")
    page.get_by_role("button", name="Make the link").click()
    told = page.get_by_label("Paste it where your calendar subscribes")
    expect(told).to_have_value(re.compile(r"/s/[\w-]{43}/run-up\.ics$"))
    expect(page.locator("#calendar-links")).to_contain_text("my phone")
    read = page.request.get(told.input_value())
    assert read.ok
    assert read.text().startswith("BEGIN:VCALENDAR")
