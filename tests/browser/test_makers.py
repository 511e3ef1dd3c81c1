"""Several makers on one server: invited, joined, lent to, working together; all by hand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from brief.services import nouns
from brief.services.makers import register
from brief.services.rack.piece_views import MaterialDraft
from brief.services.sharing import owner
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store

from .conftest import PATIENCE_MS, PHONE, Served, settled
from .reading import violations

PASSPHRASE = {name: f"unrelated words of {name} alone" for name in ("Ana", "Bea")}


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[Served]:
    """A server that Ana opened to others, with a brief and a board of hers."""
    home = tmp_path / "home"
    store = Store(home)
    with store.desk(writing=True) as desk:
        owner.set_passphrase(desk, PASSPHRASE["Ana"])
        register.open_to_others(desk, "Ana")
        nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        nouns.materials.add(
            desk,
            MaterialDraft(label="Reed walnut", stuff="timber", reading="Lab 42 9 18", price="120"),
        )
    store.close()
    with Served(home) as running:
        yield running


@pytest.fixture
def bea(chromium: Browser, viewport: dict[str, int]) -> Iterator[Page]:
    """A second browser."""
    context = chromium.new_context(viewport=viewport, has_touch=viewport is PHONE)
    shown = context.new_page()
    shown.set_default_timeout(PATIENCE_MS)
    shown.under_way = set()  # type: ignore[attr-defined]
    yield shown
    context.close()


def sign_in(page: Page, name: str) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_label("Passphrase").fill(PASSPHRASE[name])
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url(re.compile(r"/(makers)?$"))


def readable(page: Page) -> None:
    """Nothing is wider than the window, and no rule of WCAG is broken, with every fold open."""
    settled(page)
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    settled(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    assert violations(page) == []


def fold(page: Page, words: str) -> None:
    page.locator("summary", has_text=words).first.click()


def test_from_an_invitation_to_working_together(shared: Served, page: Page, bea: Page) -> None:
    page.expected_errors.append("422")
    page.goto(f"{shared.url}/makers")
    readable(page)
    sign_in(page, "Ana")
    fold(page, "Invite a maker")
    page.get_by_label("What they are called here").fill("Bea")
    page.get_by_role("button", name="Make the link").click()
    told = page.get_by_label("Copy it now")
    expect(told).to_have_value(re.compile(r"/join\?name=Bea#[\w-]{43}$"))
    link = told.input_value()
    readable(page)

    bea.goto(link)
    readable(bea)
    bea.get_by_label("Passphrase").fill(PASSPHRASE["Bea"])
    bea.get_by_role("button", name="Join").click()
    bea.wait_for_url("**/sign-in")
    sign_in(bea, "Bea")
    expect(bea.get_by_text("Nothing on the shelf yet")).to_be_visible()

    page.reload()
    fold(page, "Lend a piece, or the rack")
    page.get_by_label("To which maker").fill("Nobody")
    page.get_by_role("button", name="Lend", exact=True).click()
    expect(page.get_by_text("Nobody here is called “Nobody”.").first).to_be_visible()
    page.get_by_label("To which maker").fill("Bea")
    page.get_by_role("button", name="Lend", exact=True).click()
    expect(page.get_by_role("heading", name="Your rack, to Bea")).to_be_visible()

    bea.goto(f"{shared.url}/makers")
    bea.get_by_role("link", name="The rack, from Ana").click()
    readable(bea)
    expect(bea.get_by_text("120")).to_have_count(0)
    bea.get_by_role("button", name="Take a copy to my rack: Reed walnut").click()
    expect(bea.get_by_text("A copy is on your rack.")).to_be_visible()

    fold(page, "Work on a brief with another maker")
    page.get_by_label("Name of the maker").fill("Bea")
    page.get_by_role("button", name="Share the work").click()
    expect(page.get_by_role("heading", name="Saltmarsh")).to_be_visible()
    page.get_by_role("button", name="Go there: Saltmarsh").click()
    page.wait_for_url(f"{shared.url}/")
    expect(page.get_by_text("in the joint workshop Saltmarsh")).to_be_visible()
    page.get_by_role("link", name="Saltmarsh", exact=True).first.click()
    settled(page)
    readable(page)

    bea.goto(f"{shared.url}/makers")
    elsewhere = bea.context.new_page()  # another window of hers stays at her own workshop
    elsewhere.set_default_timeout(PATIENCE_MS)
    elsewhere.goto(shared.url)
    bea.get_by_role("button", name="Go there: Saltmarsh").click()
    bea.wait_for_url(f"{shared.url}/")
    begin = elsewhere.locator("#begin-form")
    begin.get_by_label("Title").fill("Meant for my own shelf")
    begin.get_by_role("button", name="Begin").click()
    expect(elsewhere.get_by_role("alert").first).to_contain_text("nothing was saved")
    expect(begin.get_by_label("Title")).to_have_value("Meant for my own shelf")
    bea.get_by_role("link", name="Saltmarsh", exact=True).first.click()
    settled(bea)
    bea.goto(f"{shared.url}/makers")
    readable(bea)
