"""What to take care of is there before a piece is kept."""

from __future__ import annotations

import httpx2
import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP, PHONE


@pytest.fixture
def racked(served):
    """A brief, and two pieces for its parts."""
    with httpx2.Client(base_url=served.url) as client:
        served.brief_id = client.post("/api/briefs", json={"title": "Saltmarsh"}).json()["id"]
        for piece in (
            {"label": "cedar", "species": "Thuja plicata", "reading": "Lab 60 14 26"},
            {"label": "pin", "stuff": "celluloid", "reading": "Lab 88 0 3"},
        ):
            client.post("/api/materials", json=piece).raise_for_status()
    return served


@pytest.mark.parametrize("viewport", [DESKTOP, PHONE], ids=["desktop", "phone"])
def test_the_cautions_of_a_piece_are_there_as_soon_as_it_is_tried(page, racked, go):
    go(racked, "spec")
    page.get_by_role("listitem").get_by_role("button", name="Top").click()
    said = page.locator("[data-tries-said]")
    strips = page.locator(".strip")
    strips.filter(has_text="cedar").hover()
    expect(said).to_contain_text("Take care: asthma (western red cedar) · wood dust")
    expect(said).to_contain_text("Papers:")
    expect(said).to_contain_text("A reminder, not advice.")
    expect(said).to_be_in_viewport()
    page.keyboard.press("ArrowRight")
    expect(strips.filter(has_text="pin")).to_be_focused()
    expect(said).to_contain_text("celluloid")
    expect(said).not_to_contain_text("asthma")
    page.keyboard.press("Escape")
    expect(page.locator("#tries")).to_be_hidden()
