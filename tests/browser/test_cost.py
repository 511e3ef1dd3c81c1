"""The Cost sheet: what is left at a glance, and a first price typed in."""

from __future__ import annotations

import httpx2
import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP, PHONE, settled
from tests.browser.test_every_page import must_hold

BOTH = pytest.mark.parametrize("viewport", [PHONE, DESKTOP], ids=["phone", "desktop"])


@BOTH
def test_the_sheet_holds_with_all_folds_open(page, demo) -> None:
    must_hold(page, f"{demo.url}/briefs/{demo.brief_id}/cost")


@BOTH
def test_the_bar_is_on_the_first_screen_and_each_part_is_named_below_it(page, demo, go) -> None:
    go(demo, "cost")
    bar = page.locator(".cost-picture").locator("visible=true")
    expect(bar).to_have_count(1)
    box = bar.bounding_box()
    assert box["y"] + box["height"] < page.viewport_size["height"]
    # Drawn text is no wider than the room that was reckoned for it.
    texts = [one.bounding_box() for one in bar.locator("text").all()]
    for one in texts:
        assert one["x"] >= box["x"]
        assert one["x"] + one["width"] <= box["x"] + box["width"]
    names = [one.bounding_box() for one in bar.locator(".co-name").all()]
    assert len(names) == 6
    for at, one in enumerate(names):
        for other in names[at + 1 :]:
            apart = one["x"] + one["width"] <= other["x"] or other["x"] + other["width"] <= one["x"]
            assert apart or abs(one["y"] - other["y"]) > 8


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_a_first_rate_and_a_first_bought_part(page, served) -> None:
    made = httpx2.post(f"{served.url}/api/briefs", json={"title": "Saltmarsh"}).json()
    page.expected_errors.append("422")
    page.goto(f"{served.url}/briefs/{made['id']}/cost")
    settled(page)
    page.locator("#terms-fold > summary").click()
    form = page.locator("#terms-form")
    form.get_by_label("An hour at the bench").fill("30 GBP")
    form.get_by_label("Margin").fill("20 %")
    form.get_by_role("button", name="Save").click()
    expect(form.locator(".fault")).to_contain_text("another currency than EUR")
    expect(form.get_by_label("Margin")).to_have_value("20 %")
    form.get_by_label("Currency").fill("gbp")
    form.get_by_role("button", name="Save").click()
    expect(page.locator("#missing")).to_contain_text("There is a rate, but no hours yet")
    settled(page)
    page.locator("#add-bought > summary").click()
    form = page.locator("#bought-form")
    form.get_by_label("Name").fill("Tuners")
    form.get_by_label("Price of each (GBP)").fill("1.234,50")
    form.get_by_role("button", name="Add").click()
    expect(page.locator("#bought")).to_contain_text("1,234.50\u00a0GBP")
    expect(page.locator("#sheet .figure").first).to_have_text("308.63\u00a0GBP left")
    expect(page.locator("#sheet")).to_contain_text("before your hours")


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_a_share_is_said_and_worked_out_again(page, filled, go) -> None:
    go(filled, "cost")
    row = page.locator("#wood > ul > li").first
    before = row.locator(".amount").inner_text()
    row.get_by_text("Set the share").click()
    row.get_by_label("Share used (%)").fill("140 %")
    page.expected_errors.append("422")
    row.get_by_role("button", name="Save").click()
    expect(row.locator(".fault")).to_contain_text("must be 0 to 100; got “140 %”")
    row.get_by_label("Share used (%)").fill("10 %")
    row.get_by_role("button", name="Save").click()
    expect(row).to_contain_text("10 %, as you said")
    expect(row.locator(".amount")).not_to_have_text(before)
    row.get_by_text("Work it out again").click()
    row.get_by_role("button", name="Move to offcuts bin").click()
    expect(page.locator("#wood > ul > li").first.locator(".amount")).to_have_text(before)
