"""References as a contact sheet: many pictures at once, one of them large, from one to the next."""

from __future__ import annotations

import re

import httpx2
import pytest
from playwright.sync_api import expect

from brief.store.desk import Store
from tests.browser.conftest import DESKTOP, PHONE, settled

MANY = 60
SHAPES = ((320, 213), (213, 320), (320, 240), (300, 300), (400, 225))  # of usual cameras and phones


@pytest.fixture(scope="module")
def sixty(server, tmp_path_factory, picture):
    """A store, and in it a brief with sixty pictures in four motifs."""
    store = Store(tmp_path_factory.mktemp("sixty"))
    with server.over(store), httpx2.Client(base_url=server.url, timeout=None) as client:
        brief = client.post("/api/briefs", json={"title": "Sixty"}).json()["id"]
        motifs = [
            client.post("/api/motifs", json={"brief_id": brief, "name": name}).json()["id"]
            for name in ("Reed", "Mud", "Sky", "Bird")
        ]
        for at in range(MANY):
            shot = picture((at * 4, 99, 150), size=SHAPES[at % len(SHAPES)])
            files = {"files": (f"shot {at}.png", shot, "image/png")}
            data = {"brief_id": brief, "motif_ids": motifs[at * len(motifs) // MANY]}
            client.post("/api/references/pictures", files=files, data=data).raise_for_status()
    yield store, brief
    store.close()


@pytest.fixture
def many(server, sixty):
    store, brief = sixty
    with server.over(store):
        yield f"{server.url}/briefs/{brief}/references"


@pytest.mark.parametrize("viewport", [DESKTOP], ids=["desktop"])
def test_sixty_pictures_are_seen_at_once(page, many):
    page.set_viewport_size({"width": 1280, "height": 900})
    page.goto(many)
    settled(page)
    boxes = page.locator("#references img").evaluate_all(
        "all => all.map(one => { const b = one.getBoundingClientRect();"
        " return [b.top, b.bottom, b.left, b.right]; })"
    )
    assert len(boxes) == MANY
    whole = [box for box in boxes if box[1] <= 900]
    assert len(whole) >= 24
    assert all(bottom - top >= 130 for top, bottom, *_ in boxes)
    assert page.evaluate("document.documentElement.scrollHeight") <= 3 * 900
    # Rows fill the width: the last of each row but the lowest ends where the others end.
    ends: dict[int, float] = {}
    for top, _, _, right in boxes:
        ends[round(top)] = max(right, ends.get(round(top), 0))
    *full, _ = [ends[top] for top in sorted(ends)]
    assert max(full) - min(full) < 2
    assert max(full) > 1280 - 50


def test_no_picture_of_the_sheet_is_cut_by_more_than_its_edge(page, many):
    """Shapes are kept in steps of 0.05: at most 1 in 25 of a picture is beyond its frame."""
    page.goto(many)
    settled(page)
    cut = page.locator("#references img").evaluate_all(
        "all => all.map(one => (one.clientWidth / one.clientHeight)"
        " / (one.getAttribute('width') / one.getAttribute('height')))"
    )
    assert all(1 / 1.04 < one < 1.04 for one in cut)


def test_the_sheet_is_ordered_by_an_address(page, many):
    page.goto(many)
    expect(page.locator("#references .of-motif h3")).to_have_text(["Reed", "Mud", "Sky", "Bird"])
    page.get_by_role("group", name="Order").get_by_role("link", name="My order").click()
    page.wait_for_url("**/references?order=own")
    expect(page.locator("#references .of-motif")).to_have_count(0)
    expect(page.locator("#references .frame")).to_have_count(MANY)
    current = page.get_by_role("group", name="Order").locator("[aria-current]")
    expect(current).to_have_text("My order")


def test_one_picture_is_large_and_the_arrows_lead_to_the_next(page, demo, go):
    go(demo, "references?order=own")
    first, second = page.locator("#references a").all()[:2]
    names = [one.locator("img").get_attribute("alt") for one in (first, second)]
    first.click()
    heading = page.locator("article h2")
    expect(heading).to_have_text(names[0])
    settled(page)
    shown = page.locator("article figure img").bounding_box()
    wide, high = page.viewport_size["width"], page.viewport_size["height"]
    assert (
        shown["width"] >= 0.9 * wide
        or shown["height"] >= 0.6 * high
        or (shown["width"] * shown["height"] >= 0.3 * wide * high)
    )
    page.keyboard.press("ArrowRight")
    expect(heading).to_have_text(names[1])
    assert page.url.endswith("?order=own")
    page.keyboard.press("ArrowLeft")
    expect(heading).to_have_text(names[0])
    page.keyboard.press("ArrowLeft")  # there is none before it
    expect(heading).to_have_text(names[0])
    # An arrow in a field stays in the field.
    page.locator("summary", has_text="Change").first.click()
    page.get_by_label("Title").press("ArrowRight")
    expect(heading).to_have_text(names[0])
    page.get_by_role("link", name="All references").click()
    page.wait_for_url(re.compile(r"/references\?order=own&at=\w+#reference-\w+$"))


def test_the_makers_own_order_is_made_by_typed_places(page, many):
    page.goto(f"{many}?order=own")
    pictures = page.locator("#references img")
    names = [one.get_attribute("alt") for one in pictures.all()]
    page.get_by_role("link", name=names[-1]).click()
    page.expected_errors = ["422"]
    place = page.get_by_label("Place in my order")
    place.fill("0")
    page.get_by_role("button", name="Move").click()
    expect(page.locator(".fault")).to_be_visible()
    expect(place).to_have_value("0")
    place.fill("2")
    page.get_by_role("button", name="Move").click()
    expect(page.locator("#said")).to_have_text("Moved to place 2")
    page.get_by_role("link", name="All references").click()
    expected = [names[0], names[-1], *names[1:-1]]
    expect(pictures.nth(1)).to_have_attribute("alt", expected[1])
    assert [one.get_attribute("alt") for one in pictures.all()] == expected


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_a_swipe_leads_to_the_next(page, demo, go):
    go(demo, "references")
    page.locator("#references a").first.click()
    heading = page.locator("article h2")
    before = heading.inner_text()
    swipe = """([from, to, down]) => {
      const on = document.querySelector('.large > figure img');
      const at = x => 200 + (x === to ? down : 0);
      const touch = x => new Touch({ identifier: 1, target: on, clientX: x, clientY: at(x) });
      const fire = (type, now, left) => on.dispatchEvent(new TouchEvent(type,
        { bubbles: true, touches: left, changedTouches: now }));
      fire('touchstart', [touch(from)], [touch(from)]);
      fire('touchend', [touch(to)], []);
    }"""
    page.evaluate(swipe, [300, 260, 0])  # too short
    page.evaluate(swipe, [300, 200, 90])  # that was scrolling
    expect(heading).to_have_text(before)
    page.evaluate(swipe, [300, 100, 10])
    expect(heading).not_to_have_text(before)


def test_the_ground_of_a_large_picture_is_dark_at_once(page, demo, go):
    go(demo, "references")
    page.locator("#references a").first.click()
    button = page.locator(".dark-ground")
    if page.viewport_size == PHONE:
        return expect(button).to_be_hidden()  # there it is a switch of the panel
    ground = "e => getComputedStyle(e).backgroundColor"
    mat = page.locator("article > figure")
    assert mat.evaluate(ground) == "rgb(231, 231, 231)"
    button.click()
    expect(button).to_have_attribute("aria-pressed", "true")
    assert mat.evaluate(ground) == "rgb(46, 46, 46)"
    page.reload()
    assert mat.evaluate(ground) == "rgb(46, 46, 46)"
    button.click()
    assert mat.evaluate(ground) == "rgb(231, 231, 231)"


def test_a_colour_is_picked_by_tapping_in_the_picture(page, filled, go):
    go(filled, "references")
    page.locator("#references a").first.click()
    settled(page)
    box = page.locator("article figure img").first.bounding_box()
    at = box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.25
    page.touchscreen.tap(*at) if page.viewport_size == PHONE else page.mouse.click(*at)
    said = page.locator("[data-picked]")
    expect(said).to_contain_text("±")
    ring = page.locator("article figure .spot-ring").bounding_box()
    assert ring["x"] + ring["width"] / 2 == pytest.approx(at[0], abs=3)
    assert ring["y"] + ring["height"] / 2 == pytest.approx(at[1], abs=3)
    seen = page.locator("[data-picked-chip]").get_attribute("fill")
    form = page.locator("form[id^=picked-]")
    form.get_by_label("Name", exact=True).fill("high cloud")
    form.get_by_role("button", name="Name the swatch").click()
    expect(page.locator("#said")).to_have_text("Named: high cloud. It is now a swatch")
    picked = page.get_by_role("region", name="Picked colour")
    expect(picked.locator(".pick-colour")).to_contain_text("high cloud")
    assert picked.locator(".pick-colour rect").get_attribute("fill") == seen
    expect(page.locator("article figure .spot-ring")).to_have_count(0)


def test_a_colour_is_picked_by_keys_alone(page, filled, go):
    go(filled, "references")
    page.locator("#references a").first.click()
    settled(page)
    page.locator("summary", has_text="Pick a colour").focus()
    page.keyboard.press("Enter")
    form = page.locator("form[id^=picked-]")
    form.locator("summary", has_text="Type it instead").press("Enter")
    form.get_by_label("Area").fill("40, 20, 3, 4")
    expect(page.locator("[data-picked]")).to_contain_text("±")
    form.get_by_label("Area").fill("40, 20")  # no place: nothing is shown of it
    expect(page.locator("[data-picked]")).to_be_hidden()
