"""The On paper sheet: a booklet and a card are saved, and what is not clear holds them up."""

from __future__ import annotations

import json
import urllib.request

import pypdfium2 as pdfium
import pytest
from playwright.sync_api import expect

from brief.services import booklets
from tests.browser.conftest import PHONE


@pytest.fixture(autouse=True)
def small_front(monkeypatch):
    """The instrument as a thumbnail: drawing it large takes most of the time."""
    monkeypatch.setattr(booklets, "FRONT_PX", 60)


def saved(page, button):
    with page.expect_download() as waiting:
        page.get_by_role("button", name=button).click()
    with pdfium.PdfDocument(waiting.value.path()) as document:
        return " ".join(one.get_textpage().get_text_bounded() for one in document)


@pytest.fixture
def house(served):
    """A brief with one passage whose rights nobody has said."""

    def made(noun, **fields):
        body = json.dumps(fields).encode()
        headers = {"Content-Type": "application/json"}
        request = urllib.request.Request(f"{served.url}/api/{noun}", body, headers)
        with urllib.request.urlopen(request) as answer:
            return json.load(answer)

    served.brief_id = made("briefs", title="Saltmarsh")["id"]
    made("references", brief_id=served.brief_id, title="Field note", passage="No wind.")
    return served


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_what_is_not_clear_is_led_to_and_left_out_with_one_tick(page, house, go):
    go(house, "paper")
    page.get_by_label("Your own line").fill("From a shed by the creek")
    assert "From a shed by the creek" in saved(page, "Save the card as PDF")
    tick = page.get_by_label("Leave out the 1 passage without clear rights")
    page.get_by_role("button", name="Save the booklet as PDF").click()
    assert tick.evaluate("field => field.validity.valueMissing")
    expect(tick).to_be_focused()
    tick.check()
    assert "No wind." not in saved(page, "Save the booklet as PDF")
    page.get_by_role("link", name="Field note").click()
    expect(page.get_by_role("heading", name="Field note")).to_be_in_viewport()
