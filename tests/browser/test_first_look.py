"""The first verdict from an empty shelf: two files and one button."""

from __future__ import annotations

from playwright.sync_api import expect

from brief.places import demo_folder
from tests.browser.reading import violations

PICTURES = demo_folder() / "pictures"


def test_from_an_empty_shelf_to_the_first_verdict_in_three_taps(served, page):
    """Each file chosen is one tap here, and one in the system's own window: five in all."""
    page.goto(served.url)
    form = page.locator("#first-form")
    form.get_by_label("The timber").set_input_files(PICTURES / "walnut.jpg")
    form.get_by_label("The inlay: its").set_input_files(PICTURES / "sycamore.jpg")
    form.get_by_role("button", name="Judge").click()
    page.wait_for_url("**/pairings/*")
    expect(page.locator("#content .verdict").first).to_have_text("Reads")


def test_what_was_typed_stays_when_something_is_missing(served, page):
    page.expected_errors = ["422"]
    page.goto(served.url)
    form = page.locator("#first-form")
    form.get_by_role("button", name="Judge").click()
    for lacking in ("The timber", "The inlay: its"):
        expect(form.get_by_label(lacking)).to_have_attribute("aria-invalid", "true")
    form.get_by_label("Or the inlay’s colour").fill("reed")
    form.get_by_role("button", name="Judge").click()
    expect(form.locator(".fault").first).to_be_visible()
    form.get_by_label("The timber").set_input_files(PICTURES / "walnut.jpg")
    form.get_by_role("button", name="Judge").click()
    expect(form.locator(".fault").first).to_contain_text("“reed”")
    assert form.get_by_label("The timber").evaluate("one => one.files.length") == 1
    expect(form.get_by_label("Or the inlay’s colour")).to_have_value("reed")
    assert violations(page) == []
    form.get_by_label("Or the inlay’s colour").fill("#f0e6d0")
    form.get_by_label("Thinnest line").fill("1")
    form.get_by_role("button", name="Judge").click()
    page.wait_for_url("**/pairings/*")
    expect(page.locator("#content .verdict").first).to_have_text("Reads")
