"""The way in from a phone: the code on the shelf, the passphrase, a photograph, the way out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import expect

from brief.services import nouns
from brief.services.sharing import owner
from brief.services.theme.briefs import BriefDraft

from .conftest import Served
from .reading import violations

PASSPHRASE = "heron tide lamp oar"
ADDRESS = "http://192.168.178.123:18765/"


@pytest.fixture
def locked(tmp_path: Path) -> Iterator[Served]:
    """A house that is open to others, with one brief."""
    with Served(tmp_path / "home", locked=True, addresses=(ADDRESS,)) as running:
        with running.app.state.store.desk(writing=True) as desk:
            owner.set_passphrase(desk, PASSPHRASE)
            running.brief_id = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh")).id
        yield running


def sign_in(page, passphrase=PASSPHRASE):
    page.get_by_label("Passphrase").fill(passphrase)
    page.get_by_role("button", name="Sign in", exact=True).click()


def test_in_with_the_passphrase_and_out_again(locked, page, picture):
    page.expected_errors.append("401")
    sheet = f"{locked.url}/briefs/{locked.brief_id}/references#add-passage"
    page.goto(sheet)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]

    field = page.get_by_label("Passphrase")
    expect(field).to_be_focused()
    page.get_by_label("Show what I type").check()
    expect(field).to_have_attribute("type", "text")
    sign_in(page, "heron tide lamp oak")
    expect(page.get_by_role("alert")).to_have_text("That is not the passphrase.")
    expect(field).to_have_value("heron tide lamp oak")
    page.reload()  # what was typed is kept nowhere
    expect(field).to_have_value("")
    assert page.evaluate("JSON.stringify(sessionStorage)") == "{}"
    sign_in(page)
    page.wait_for_url(sheet)

    shot = {"name": "reeds.png", "mimeType": "image/png", "buffer": picture()}
    page.get_by_label("Or take a photo now").set_input_files([shot])
    expect(page.get_by_role("link", name="reeds.png")).to_be_visible()
    expect(page.locator("#references").get_by_role("link", name="reeds")).to_be_visible()

    page.goto(locked.url)
    page.get_by_text("On the phone").click()
    code = page.get_by_role("img", name="Code for the phone")
    pixels = np.asarray(Image.open(BytesIO(code.screenshot())).convert("L"))
    assert [one.text for one in zxingcpp.read_barcodes(pixels)] == [ADDRESS]
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url(f"{locked.url}/sign-in")
    page.goto(sheet)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()


def test_a_picture_outlasts_a_session_that_ends(locked, page, picture):
    page.expected_errors.append("401")
    sheet = f"{locked.url}/briefs/{locked.brief_id}/references"
    page.goto(sheet)
    sign_in(page)
    page.wait_for_url(sheet)
    with locked.app.state.store.desk(writing=True) as desk:
        owner.set_passphrase(desk, PASSPHRASE)  # which ends it
    shot = {"name": "image.jpg", "mimeType": "image/png", "buffer": picture()}
    page.get_by_label("Or take a photo now").set_input_files([shot])
    with page.expect_popup() as opened:
        page.get_by_role("button", name="Sign in, in another tab: image.jpg").click()
    sign_in(opened.value)
    expect(opened.value.get_by_role("heading", name="The shelf")).to_be_visible()
    opened.value.close()
    page.get_by_role("button", name="Try again: image.jpg").click()
    expect(page.locator("#references").get_by_role("link", name="image")).to_be_visible()


def test_a_link_made_on_this_computer_is_told_with_its_address_on_the_network(locked, page):
    sheet = f"{locked.url}/briefs/{locked.brief_id}/sharing"
    page.goto(sheet)
    sign_in(page)
    page.wait_for_url(sheet)
    page.locator("#add-share > summary").click()
    page.locator("#share-form").get_by_label("For whom").fill("the bird counter")
    page.get_by_role("button", name="Make the link").click()
    told = page.get_by_label("Copy it now")
    expect(told).to_have_value(re.compile(re.escape(ADDRESS) + r"s/[\w-]{43}"))
    copies = page.get_by_role("button", name="Copy the link").get_attribute("data-copy")
    assert copies == told.input_value()


def test_what_was_typed_outlasts_a_session_that_ends(locked, page):
    page.expected_errors.append("401")
    sheet = f"{locked.url}/briefs/{locked.brief_id}/theme"
    page.goto(sheet)
    sign_in(page)
    page.wait_for_url(sheet)
    with locked.app.state.store.desk(writing=True) as desk:
        owner.set_passphrase(desk, PASSPHRASE)  # which ends it
    page.locator("#add-motif > summary").click()
    form = page.locator("#add-motif form")
    form.get_by_label("Motif").fill("slack water")
    form.get_by_role("button", name="Add").click()
    expect(form.get_by_role("alert")).to_contain_text("Sign in first")
    with page.expect_popup() as opened:
        form.get_by_role("button", name="Sign in, in another tab").click()
    sign_in(opened.value)
    expect(opened.value.get_by_role("heading", name="The shelf")).to_be_visible()
    opened.value.close()
    expect(form.get_by_label("Motif")).to_have_value("slack water")
    form.get_by_role("button", name="Add").click()
    expect(page.get_by_role("heading", name="slack water")).to_be_visible()
