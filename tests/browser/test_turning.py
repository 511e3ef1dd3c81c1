"""The instrument turned in the page: by finger, mouse and keys, and what is there without it.

Chromium draws WebGL in software here, so that pictures are compared with themselves alone.
"""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import DESKTOP, PHONE, settled
from tests.browser.reading import violations

TELL_APART = 1.0  # of 255, the mean over a picture: what is painted twice differs by far less


def canvas(page: Page) -> Locator:
    return page.get_by_role("application", name="The instrument, computed")


def turn(page: Page) -> Locator:
    """Press the button, and wait until it is painted."""
    page.locator("#turn-it").click()
    expect(canvas(page)).to_be_visible()
    return rested(page)


def rested(page: Page) -> Locator:
    """Once it is painted as finely as it is when nothing moves."""
    expect(page.locator("canvas.turned[data-rests]")).to_be_visible()
    return canvas(page)


def picture(page: Page) -> np.ndarray:
    shot = Image.open(io.BytesIO(canvas(page).screenshot()))
    # Without its edge, where the mark of the focus is.
    return np.asarray(shot.convert("RGB")).astype(float)[8:-8, 8:-8]


def differs(one: np.ndarray, other: np.ndarray) -> bool:
    return one.shape != other.shape or float(np.abs(one - other).mean()) > TELL_APART


def changed_by(page: Page, what: Callable[[], object]) -> bool:
    before = picture(page)
    what()
    rested(page)
    return differs(before, picture(page))


def drag(page: Page, across: float, down: float) -> None:
    box = canvas(page).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + across, y + down, steps=4)
    page.mouse.up()


def test_it_turns_by_drag_and_by_keys(page, demo, go) -> None:
    go(demo, "spec")
    turn(page)
    expect(canvas(page)).to_be_focused()
    first = picture(page)
    assert changed_by(page, lambda: drag(page, 60, 10))
    for key in ("ArrowLeft", "ArrowUp", "+", "Shift+ArrowDown", "-"):
        assert changed_by(page, lambda key=key: page.keyboard.press(key)), key
    page.keyboard.press("Home")
    rested(page)
    assert not differs(first, picture(page))
    wheel = lambda: page.mouse.wheel(0, -300)  # noqa: E731
    canvas(page).hover()
    assert changed_by(page, wheel)
    for name in ("smaller", "larger", "whole"):
        button = page.get_by_role("button", name=name, exact=True)
        assert changed_by(page, button.click), name
    assert violations(page) == []


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_two_fingers_make_it_larger(page, demo, go) -> None:
    go(demo, "spec")
    turn(page)
    box = canvas(page).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    sent = page.context.new_cdp_session(page)

    def fingers(kind: str, apart: float) -> None:
        points = [{"x": x, "y": y - apart, "id": 1}, {"x": x, "y": y + apart, "id": 2}]
        held = [] if kind == "touchEnd" else points
        sent.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": held})

    def pinch() -> None:
        fingers("touchStart", 20)
        for apart in (30, 45, 60):
            fingers("touchMove", apart)
        fingers("touchEnd", 60)

    before = int((np.abs(picture(page) - picture(page)[0, 0]) > 20).sum())
    assert changed_by(page, pinch)
    assert int((np.abs(picture(page) - picture(page)[0, 0]) > 20).sum()) > before


def test_the_flat_picture_comes_back(page, demo, go) -> None:
    go(demo, "spec")
    flat = page.locator("#panel .front svg").first
    turn(page)
    expect(flat).to_be_hidden()
    expect(page.locator(".turn-beside")).to_contain_text("Computed, not photo\u00adgraphed.")
    front = page.get_by_role("button", name="front", exact=True)
    expect(front).to_have_attribute("aria-pressed", "false")
    front.click()
    expect(flat).to_be_visible()
    expect(canvas(page)).to_have_count(0)
    expect(front).to_have_attribute("aria-pressed", "true")
    turn(page)
    page.get_by_role("button", name="back", exact=True).click()
    expect(page.locator("#panel .front svg").first).to_be_visible()
    expect(page.get_by_role("button", name="back", exact=True)).to_have_attribute(
        "aria-pressed", "true"
    )
    page.get_by_role("button", name="front", exact=True).click()
    settled(page)


def pressed(page: Page) -> None:
    expect(page.locator("#turn-it")).to_have_attribute("aria-pressed", "true")
    expect(canvas(page)).to_be_visible()


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_it_stays_turned(page, demo, go) -> None:
    """By its own button pressed again, and when a part is chosen that the front does not show."""
    go(demo, "spec")
    turn(page)
    page.locator("#turn-it").click()
    settled(page)
    pressed(page)
    with page.expect_response("**/instrument.glb*"):
        page.locator("li[data-shows-role=neck] [data-pick-part]").click()
    expect(page.locator("#tries .strip").first).to_be_visible()
    settled(page)
    pressed(page)
    expect(page.locator("#panel [name=view]")).to_have_value("back")
    page.get_by_role("button", name="front", exact=True).click()
    expect(canvas(page)).to_have_count(0)


def test_a_tap_chooses_the_part_that_is_there(page, demo, go) -> None:
    go(demo, "spec")
    turn(page)
    box = canvas(page).bounding_box()
    # A little below the middle of what is seen is the lower bout of every model.
    drag(page, 40, 0)
    rested(page)
    expect(page.locator("#tries")).to_be_hidden()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.88)
    chosen = page.locator("li.is-chosen")
    expect(chosen).to_have_attribute("data-shows-role", "top")
    expect(page.locator("#tries .strip").first).to_be_visible()
    pressed(page)


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_what_is_of_the_flat_picture_alone_says_so(page, demo, go) -> None:
    go(demo, "spec")
    shadows = page.get_by_label("Shadows")
    take = page.locator(".take")
    shadows.select_option(index=1)
    settled(page)
    kept = shadows.input_value()
    expect(take).to_contain_text("Save picture:", use_inner_text=True)
    turn(page)
    expect(shadows).to_be_disabled()
    expect(shadows).to_have_accessible_description(
        "In the flat views only: the turned picture has light of its own."
    )
    expect(take).to_contain_text("Save flat picture:", use_inner_text=True)
    page.locator("#switch-light").select_option(index=1)  # keeps all switches, Shadows with them
    settled(page)
    expect(page.locator("#switch-relief")).to_have_value(kept)
    page.get_by_role("button", name="front", exact=True).click()
    expect(shadows).to_be_enabled()
    page.get_by_role("button", name="Reset view").click()
    settled(page)


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_in_the_whole_window_of_a_phone_it_has_all_its_width(page, demo, go) -> None:
    go(demo, "spec")
    turn(page)
    page.locator("[data-full-window]").click()
    wide = page.viewport_size["width"]
    expect(canvas(page)).to_have_js_property("clientWidth", wide, timeout=15_000)
    for name in ("larger", "whole", "Full window"):
        page.get_by_role("button", name=name, exact=True).click(trial=True)  # nothing lies over it
    page.keyboard.press("Escape")


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_it_is_asked_for_when_it_is_wanted_and_nothing_of_others(page, demo, go) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    go(demo, "spec")
    assert not [one for one in asked if "turning" in one or one.endswith(".glb")]
    turn(page)
    assert all(one.startswith((demo.url, "data:", "blob:")) for one in asked)
    assert sum("instrument.glb" in one for one in asked) == 1


WITHOUT = """HTMLCanvasElement.prototype.getContext = (get => function (kind, ...more) {
    return kind === 'webgl2' ? null : get.call(this, kind, ...more); })(
    HTMLCanvasElement.prototype.getContext)"""


def test_without_webgl_words_say_so(page, demo, go) -> None:
    page.add_init_script(WITHOUT)
    go(demo, "spec")
    button = page.get_by_role("button", name="turn", exact=True)
    button.click()
    expect(page.get_by_text("it has no WebGL 2. The flat views show all of it.")).to_be_visible()
    expect(page.locator("#panel .front svg").first).to_be_visible()
    expect(button).to_have_attribute("aria-pressed", "false")


def test_where_it_cannot_be_fetched_words_say_so(page, demo, go) -> None:
    page.expected_errors.append("Failed to load resource")
    go(demo, "spec")
    page.route("**/instrument.glb*", lambda route: route.abort())
    page.get_by_role("button", name="turn", exact=True).click()
    expect(page.get_by_text("The turned picture could not be fetched.")).to_be_visible()
    expect(page.locator("#panel .front svg").first).to_be_visible()
    page.unroute("**/instrument.glb*")
    turn(page)


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_a_picture_that_is_lost_comes_back(page, demo, go) -> None:
    go(demo, "spec")
    before = [turn(page), picture(page)][1]
    page.evaluate(
        """async () => {
            const gl = document.querySelector('canvas.turned').getContext('webgl2');
            const lose = gl.getExtension('WEBGL_lose_context');
            lose.loseContext();
            await new Promise(done => setTimeout(done, 100));
            lose.restoreContext();
        }"""
    )
    expect(page.get_by_text("The turned picture is back.")).to_be_visible()
    canvas(page).scroll_into_view_if_needed()
    rested(page)
    assert picture(page).std() == pytest.approx(before.std(), rel=0.2)


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_other_wood_is_on_the_turned_instrument_too(page, filled, go) -> None:
    go(filled, "spec")
    turn(page)
    top = page.locator("[data-part]").filter(has_text="Top").first

    def choose() -> None:
        top.locator("button").first.click()
        strip = page.locator("#tries .strip:not([aria-current])").last
        expect(strip).to_be_visible()
        with page.expect_response("**/instrument.glb*"):
            strip.click()
        settled(page)

    assert changed_by(page, choose)
    expect(canvas(page)).to_be_visible()


def test_a_guest_turns_it_too(page, filled) -> None:
    asked = {"brief_id": filled.brief_id, "name": "Ines", "sheets": ["spec"]}
    made = page.request.post(f"{filled.url}/api/shares", data=asked)
    page.goto(filled.url + made.json()["address"])
    settled(page)
    turn(page)
    assert changed_by(page, lambda: page.keyboard.press("ArrowLeft"))
    assert violations(page) == []


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_in_a_file_by_mail_it_turns_without_asking_for_anything(page, filled, tmp_path) -> None:
    at = f"{filled.url}/api/briefs/{filled.brief_id}/for-comment.html?sheets=spec"
    kept = tmp_path / "to-comment.html"
    kept.write_bytes(page.request.get(at).body())
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(kept.as_uri())
    turn(page)
    assert changed_by(page, lambda: page.keyboard.press("ArrowLeft"))
    assert [one for one in asked if not one.startswith(("file:", "data:", "blob:"))] == []
