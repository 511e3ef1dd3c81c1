"""The sheets of movement and papers: what is seen at a glance, and a first climate typed in."""

from __future__ import annotations

import httpx2
import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP, PHONE, settled
from tests.browser.test_every_page import must_hold

BOTH = pytest.mark.parametrize("viewport", [PHONE, DESKTOP], ids=["phone", "desktop"])


@BOTH
@pytest.mark.parametrize("sheet", ["movement", "papers"])
def test_the_sheets_hold_with_all_folds_open(page, demo, sheet) -> None:
    must_hold(page, f"{demo.url}/briefs/{demo.brief_id}/{sheet}")


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_top_and_back_are_drawn_with_what_becomes_of_them(page, demo, go) -> None:
    go(demo, "movement")
    figures = page.locator("figure.moved")
    expect(figures).to_have_count(2)
    solid = page.locator(".moved-line.damp").first.bounding_box()
    dashed = page.locator(".moved-line.dry").first.bounding_box()
    assert solid["width"] > dashed["width"]
    assert solid["height"] == pytest.approx(dashed["height"], abs=2)  # along the grain nothing
    first = page.locator("#content svg.mat").first.bounding_box()
    assert first["y"] + first["height"] < page.viewport_size["height"]  # on the first screen


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_a_first_workshop_and_hall(page, served) -> None:
    made = httpx2.post(f"{served.url}/api/briefs", json={"title": "Saltmarsh"}).json()
    page.expected_errors.append("422")
    page.goto(f"{served.url}/briefs/{made['id']}/movement")
    settled(page)
    page.get_by_text("Add your workshop").click()
    form = page.locator("#climate-form")
    expect(form.get_by_label("Relative humidity (%)")).to_have_value("45")
    form.get_by_role("button", name="Add").click()
    expect(page.locator("#climates")).to_contain_text("the workshop")
    page.get_by_text("Add a climate").click()
    form = page.locator("#climate-form")
    form.get_by_label("Relative humidity (%)").fill("100")
    form.get_by_role("button", name="Add").click()
    expect(form).to_contain_text("5 to 95 %")
    expect(form.get_by_label("Name")).to_have_value("the hall")
    form.get_by_label("Relative humidity (%)").fill("30")
    form.get_by_role("button", name="Add").click()
    expect(page.locator("#climates")).to_contain_text("the hall")
    settled(page)
    expect(page.locator("#content .lead")).to_contain_text("choose pieces with a species")
