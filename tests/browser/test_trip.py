"""The trip by hand: from nothing to a line of days, a leg that cannot be, ticks, documents."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.reading import violations


@pytest.fixture
def sheet(page, served):
    """The Trip sheet of a brief with nothing in it."""
    made = page.request.post(f"{served.url}/api/briefs", data={"title": "Saltmarsh"}).json()
    page.goto(f"{served.url}/briefs/{made['id']}/trip")
    return page


@pytest.fixture
def begun(sheet):
    """The same with a trip that has begun."""
    for label, value in (
        ("From", "Workshop"),
        ("Hall of the show", "Net loft"),
        ("Leaves", "2027-05-12"),
        ("Back", "2027-05-16"),
    ):
        sheet.get_by_label(label, exact=True).fill(value)
    for zone in sheet.get_by_label("Time zone").all():
        zone.fill("Berlin")
    sheet.get_by_role("button", name="Begin the trip").click()
    expect(sheet.locator(".trip-picture:visible")).to_have_count(1)
    return sheet


def test_from_nothing_to_a_line_of_days(begun):
    expect(begun.locator(".trip-warnings")).to_contain_text("Not booked")
    expect(begun.locator(".trip-days")).to_contain_text("Workshop to Net loft")
    assert violations(begun) == []


def test_an_unknown_zone_is_answered_beside_its_field_with_the_nearest(sheet):
    sheet.get_by_label("Hall of the show").fill("Net loft")
    first, second = sheet.get_by_label("Time zone").all()
    first.fill("Berlin")
    second.fill("Europe/Londn")
    sheet.get_by_role("button", name="Begin the trip").click()
    expect(sheet.locator("#trip-form .fault")).to_contain_text("Europe/London")
    expect(second).to_have_value("Europe/Londn")
    sheet.expected_errors.append("422")


def test_an_arrival_before_leaving_stays_typed_beside_its_field(begun):
    leg = begun.locator("#sheet .is-leg").first
    leg.get_by_text("Change", exact=True).click()
    leg.get_by_label("Leaves", exact=True).fill("2027-05-12")
    arrives_at = leg.get_by_label("Arrives at")
    leg.get_by_label("Leaves at").fill("18:00")
    arrives_at.fill("09:30")
    leg.get_by_role("button", name="Save").click()
    expect(leg.locator(".fault")).to_contain_text("not after it begins")
    expect(arrives_at).to_have_value("09:30")
    begun.expected_errors.append("422")
    arrives_at.fill("21:30")
    leg.get_by_label("Booked").check()
    leg.get_by_role("button", name="Save").click()
    expect(begun.locator("#sheet .is-leg").first).to_contain_text("18:00 to 21:30")
    expect(begun.locator("#sheet .is-leg").first).to_contain_text("booked")


def test_a_thing_is_ticked_with_one_tap_and_stays_so(begun, viewport):
    begun.get_by_role("button", name="Use the usual list").click()
    expect(begun.locator("#packing .lead")).to_have_text(re.compile("^0 of"))
    begun.locator("#heap-1 > summary").click()
    first = begun.locator("#heap-1 .tick").first
    if viewport is PHONE:
        assert first.bounding_box()["height"] >= 44  # WCAG 2.2, 2.5.5, beyond what AA asks
    first.click()
    expect(begun.locator("#packing .lead")).to_have_text(re.compile("^1 of"))
    expect(begun.locator("#heap-1 .tick").first).to_have_attribute("aria-pressed", "true")
    expect(begun.locator("#heap-1")).to_have_attribute("open", "")
    assert violations(begun) == []
    begun.reload()
    expect(begun.locator("#packing .lead")).to_have_text(re.compile("^1 of"))


def test_a_document_that_is_not_what_it_says_is_named_and_not_kept(begun):
    files = begun.locator("#add-attachments-files")
    files.set_input_files(
        {"name": "ticket.pdf", "mimeType": "application/pdf", "buffer": b"no ticket at all"}
    )
    expect(begun.locator("#add-attachments [data-progress]")).to_contain_text("none of the kinds")
    expect(begun.locator("#attachments li")).to_have_count(0)
    begun.expected_errors.append("422")


def test_the_stand_is_shown_as_it_will_be_printed(begun, served):
    begun.get_by_text("Words and prices").click()
    begun.get_by_label("Your words").fill("Straw and slate.")
    begun.get_by_label("Also on the price list").fill("Strap: 120 EUR")
    begun.locator("#stand-form").get_by_role("button", name="Save").click()
    expect(begun.locator("#sheet .caption-card")).to_contain_text("Straw and slate.")
    expect(begun.locator("#sheet .caption-price")).to_have_count(0)  # no price unless on purpose
    begun.get_by_role("link", name="A page to print").click()
    expect(begun.locator(".price-list")).to_contain_text("Strap")
    assert violations(begun) == []
