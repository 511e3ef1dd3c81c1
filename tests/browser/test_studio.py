"""The Studio sheet: asked for, watched and cancelled, shown to others, with all folds open."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from playwright.sync_api import expect

from brief.errors import RenderFailed
from brief.services.studio.studio import Studio
from brief.studio.shot import Progress
from tests.browser.conftest import DESKTOP, PHONE
from tests.browser.test_every_page import must_hold
from tests.studio_at_once import GREY, AtOnce

BOTH = pytest.mark.parametrize("viewport", [PHONE, DESKTOP], ids=["phone", "desktop"])


class Held(AtOnce):
    """Work that shows a first look, and goes on when it is told to."""

    go_on, ended = threading.Event(), False

    def progress(self) -> Iterator[Progress]:
        yield Progress(0, 4, GREY)
        yield Progress(1, 4, GREY)
        assert self.go_on.wait(120)
        if self.ended:
            raise RenderFailed("It was ended.")
        yield Progress(4, 4, GREY)

    def end(self) -> None:
        self.ended = True
        self.go_on.set()


@pytest.fixture
def held(server) -> Iterator[Held]:
    own, at_work = server.app.state.studio, Held()
    at_work.go_on.clear()

    @contextmanager
    def sit(*_: Any) -> Iterator[Held]:
        yield at_work

    server.app.state.studio = Studio(lambda: server.app.state.store, sit, str)
    yield at_work
    at_work.go_on.set()
    server.app.state.studio.close()
    server.app.state.studio = own


@BOTH
def test_the_sheet_holds_with_all_folds_open(page, demo) -> None:
    must_hold(page, f"{demo.url}/briefs/{demo.brief_id}/studio")


@BOTH
def test_a_picture_is_asked_for_watched_and_shown_to_others(page, demo, go, held) -> None:
    go(demo, "studio")
    shown = page.locator("[id^=studio-picture-]")
    before = shown.count()
    page.locator("#studio-new > summary").click()
    # The house is one for both, and what is there already is not taken again.
    page.get_by_label("View").select_option("front" if page.viewport_size == PHONE else "hall")
    page.get_by_role("button", name="Compute the picture").click()
    under_way = page.locator("#under-way .studio-picture")
    expect(under_way.get_by_role("img")).to_be_visible()
    expect(under_way.get_by_role("progressbar")).to_have_attribute("value", "25")
    held.go_on.set()
    expect(under_way).to_have_count(0)
    expect(shown).to_have_count(before + 1)
    newest = shown.first
    expect(newest).to_contain_text("Computed, not photographed.")
    expect(newest).to_contain_text("Only you see it.")
    newest.get_by_role("button", name="Show to others").click()
    expect(newest).to_contain_text("Others see it.")


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_a_cancelled_picture_leaves_nothing(page, demo, go, held) -> None:
    go(demo, "studio")
    before = page.locator("[id^=studio-picture-]").count()
    page.locator("#studio-new > summary").click()
    page.get_by_label("Light").select_option("A")
    page.get_by_role("button", name="Compute the picture").click()
    page.get_by_role("button", name="Cancel").click()
    expect(page.locator("#under-way .studio-picture")).to_have_count(0)
    expect(page.locator("[id^=studio-picture-]")).to_have_count(before)


@BOTH
def test_one_that_failed_says_why_and_can_be_dismissed(page, demo, go, held) -> None:
    go(demo, "studio")
    before = page.locator("[id^=studio-picture-]").count()
    page.locator("#studio-new > summary").click()
    page.get_by_label("Light").select_option("A" if page.viewport_size == PHONE else "D65")
    page.get_by_label("View").select_option("inlay")
    page.get_by_role("button", name="Compute the picture").click()
    under_way = page.locator("#under-way .studio-picture")
    expect(under_way.get_by_role("progressbar")).to_have_attribute("value", "25")
    held.end()
    expect(under_way).to_contain_text("It was ended.")
    under_way.get_by_role("button", name="Dismiss").click()
    expect(under_way).to_have_count(0)
    page.reload()
    expect(page.locator("#under-way[data-open='0']")).to_be_attached()
    expect(under_way).to_have_count(0)
    expect(page.locator("[id^=studio-picture-]")).to_have_count(before)


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_a_picture_of_an_earlier_state_is_made_again(page, demo, go, held) -> None:
    held.go_on.set()
    there = f"{demo.url}/api/parts?brief_id={demo.brief_id}"
    top = next(one for one in page.request.get(there).json()["items"] if one["role"] == "top")
    address, any_version = f"{demo.url}/api/parts/{top['id']}", {"If-Match": "*"}

    def made_of(piece: str | None) -> None:
        wanted = {"material_id": piece}
        assert page.request.patch(address, data=wanted, headers=any_version).ok

    made_of(None)
    try:
        go(demo, "studio")
        old = page.locator("[id^=studio-picture-]", has_text="Of an earlier state").first
        again = page.locator(f"#{old.get_attribute('id')}").get_by_role("button", name="Make it")
        before = page.locator("[id^=studio-picture-]").count()
        again.click()
        expect(page.locator("[id^=studio-picture-]")).to_have_count(before + 1)
        expect(page.locator("[id^=studio-picture-]").first).not_to_contain_text("earlier state")
    finally:
        made_of(top["material"]["id"] if top["material"] else None)
