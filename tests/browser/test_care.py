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
def test_the_cautions_of_a_piece_are_there_as_soon_as_it_is_chosen(page, racked, go):
    go(racked, "spec")
    top = page.get_by_role("listitem").filter(
        has=page.get_by_role("heading", name="Top", exact=True)
    )
    top.get_by_text("Choose", exact=True).click()
    material = top.get_by_label("Material")
    said = top.locator("[aria-live]")
    expect(said).to_be_empty()
    material.select_option(label="cedar")
    expect(said).to_contain_text("Take care: asthma (western red cedar) · wood dust")
    expect(said).to_contain_text("Papers:")
    under = (
        said.bounding_box()["y"] - material.bounding_box()["y"] - material.bounding_box()["height"]
    )
    assert 0 <= under < 30
    material.select_option(label="pin")
    expect(said).to_contain_text("celluloid")
    expect(said).not_to_contain_text("asthma")
    material.select_option(label="still open")
    expect(said).to_be_empty()


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_by_eye_they_are_there_too(page, racked, go):
    go(racked, "spec")
    page.get_by_text("Add a part", exact=True).click()
    page.get_by_role("button", name="Choose by eye: a further part").click()
    page.get_by_role("dialog").get_by_role("button", name="pin").click()
    expect(page.locator("#part-form [aria-live]")).to_contain_text("Take care:")
