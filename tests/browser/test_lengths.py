"""Whoever thinks in inches types them into any field, and gets them back."""

from __future__ import annotations

from playwright.sync_api import expect


def test_the_rack_keeps_inches_and_its_form_keeps_within_its_column(go, filled):
    page = go(filled, "timber")
    page.expected_errors = ["422"]
    page.locator("#rack a").first.click()
    piece = page.locator("div[id^=material-]")
    piece.locator("summary", has_text="Change").last.click()
    form = piece.locator("form[data-send=patch]").last
    row = piece.bounding_box()
    for field in form.locator("input, select").all():
        box = field.bounding_box()
        assert box["x"] + box["width"] <= row["x"] + row["width"] + 1
    form.get_by_label("Length (mm)").fill("21 1/2 in")
    form.get_by_label("Width (mm)").fill("1,250")
    form.get_by_label("Price").fill("€68,50")
    form.get_by_role("button", name="Save").click()
    expect(form.locator(".fault")).to_contain_text("part thousands or decimals")
    expect(form.get_by_label("Length (mm)")).to_have_value("21 1/2 in")
    form.get_by_label("Width (mm)").fill("8½″")
    form.get_by_role("button", name="Save").click()
    expect(piece).to_contain_text("21 1/2 in × 8½″ × 4.2 mm (546.1 × 215.9 × 4.2 mm)")
    expect(piece).to_contain_text("68.50 EUR")


def test_a_place_in_feet_and_a_line_in_inches_are_said_so(go, filled):
    page = go(filled, "pairings")
    page.locator("#add-viewing > summary").click()
    form = page.locator("#viewing-form")
    form.get_by_label("Name", exact=True).fill("the fair")
    form.get_by_label("Viewing distance (m)").fill("10 ft")
    form.get_by_role("button", name="Add the place").click()
    expect(page.locator("#viewings")).to_contain_text("the fair from 10 ft (3.05\u00a0m)")
    page.get_by_role("link", name="Ask about a pairing").click()
    form = page.locator("#pairing-form")
    form.get_by_label("Thinnest line (mm)").fill("1/32 in")
    form.get_by_role("button", name="Judge").click()
    expect(page.locator(".pair-words")).to_contain_text("line 1/32 in (0.79\u00a0mm)")
    expect(page.locator(".made")).to_contain_text("in the fair, from 10 ft")
