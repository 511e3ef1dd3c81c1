"""What is done before the script is there, and what is left before it is sent, is not lost."""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PATIENCE_MS, PHONE, eventually
from tests.browser.test_every_page import SHEETS

# Nothing typed may count as unsaved where nothing was typed.
UNSAVED = """async () => {
  const { src } = document.querySelector('script[type=module]');
  const { isDirty, keyed } = (await import(src)).modules['form/carry.js'];
  return [...keyed(document.body)].filter(([, control]) => isDirty(control)).map(([key]) => key);
}"""
# Buttons of forms for the API that can be pressed; those in templates are not there yet.
PRESSABLE = """text => {
  const page = new DOMParser().parseFromString(text, 'text/html');
  const forms = [...page.querySelectorAll('form[data-send]')];
  const ready = forms.flatMap(form => [...form.elements])
    .filter(one => one.type === 'submit' && !one.disabled);
  return { forms: forms.length, ready: ready.map(one => one.form.id) };
}"""


@pytest.fixture(params=[PHONE], ids=["phone"])
def viewport(request):
    return request.param


class Held:
    """The script of the page on a slow line: it arrives when it is let through."""

    def __init__(self, page) -> None:
        self.waiting = []
        page.route("**/js/pages.js?*", lambda route: self.waiting.append(route))

    def arrives(self) -> None:
        for route in self.waiting:
            route.continue_()


@pytest.fixture
def held(page):
    return Held(page)


@pytest.mark.parametrize("label", ["Add pictures", "Or take a photo now"])
def test_a_picture_picked_before_the_script_is_there_is_sent_once_it_is(
    filled, page, held, picture, label
):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/references", wait_until="commit")
    shot = {"name": "reeds.png", "mimeType": "image/png", "buffer": picture()}
    page.get_by_label(label).set_input_files([shot])
    held.arrives()
    expect(
        page.locator("#references").get_by_role("link", name="reeds", exact=True)
    ).to_be_visible()
    expect(page.locator("[data-progress]").first).to_contain_text("added")


def test_a_number_typed_before_the_script_is_there_is_kept_by_its_button_afterwards(
    filled, page, held
):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/drawing", wait_until="commit")
    page.locator("#numbers-fretboard > summary").click()
    field = page.locator("[name=scale_mm]")
    field.fill("640")
    keep = page.get_by_role("button", name="Save the numbers")
    expect(keep).to_be_disabled()
    field.press("Enter")  # a form whose button waits is not sent by Enter, either
    held.arrives()
    expect(keep).to_be_enabled()
    expect(field).to_have_value("640")
    keep.click()
    expect(page.locator("#said")).to_contain_text("Numbers saved")
    expect(keep).to_be_enabled()  # a refresh brings a new one
    kept = page.request.get(f"{filled.url}/api/briefs/{filled.brief_id}/numbers").json()
    assert [one["value"] for one in kept["numbers"] if one["name"] == "scale_mm"] == [640]


def test_no_form_for_the_api_can_be_pressed_before_its_script(filled, page, picture):
    def make(noun, **fields):
        answer = page.request.post(f"{filled.url}/api/{noun}", data=fields)
        assert answer.ok, answer.text()
        return answer.json()

    brief = filled.brief_id
    since = make("revisions", brief_id=brief)["id"]
    gone = make("motifs", brief_id=brief, name="salt")["id"]
    make("motifs", brief_id=brief, name="reeds")  # which is to be taken back to that revision
    page.request.delete(f"{filled.url}/api/motifs/{gone}", headers={"If-Match": "*"})
    part, piece = (
        page.request.get(f"{filled.url}/api/{noun}").json()["items"][0]["id"]
        for noun in ("parts", "materials")
    )
    untold = page.request.post(  # what it shows is asked for by one tap
        f"{filled.url}/api/photographs/pictures",
        multipart={
            "material_id": piece,
            "state": "not said",
            "files": {"name": "piece.png", "mimeType": "image/png", "buffer": picture()},
        },
    )
    assert [one["state"] for one in untold.json()] == ["not said"]
    here = f"/briefs/{brief}"
    asked = [
        *[f"{here}/{sheet}" for sheet in SHEETS],
        f"{here}/timber/{piece}",
        f"{here}/beside?swap={part}:{piece}",
        f"{here}/spec?open={part}",
        f"{here}/revisions?since={since}",
        "/",
        "/offcuts",
    ]
    page.goto(f"{filled.url}/method")
    forms = 0
    for address in asked:
        found = page.evaluate(PRESSABLE, page.request.get(filled.url + address).text())
        assert found["ready"] == [], address
        forms += found["forms"]
    assert forms >= 8


def test_nothing_counts_as_typed_where_folds_were_only_opened(demo, page):
    for sheet in (
        "spec",
        "references",
        "timber",
        "drawing",
        "inlay",
        "pairings",
        "theme",
        "comments",
    ):
        page.goto(f"{demo.url}/briefs/{demo.brief_id}/{sheet}", wait_until="domcontentloaded")
        opened = """() => {  // a fold may hold others, which come by themselves
            const closed = [...document.querySelectorAll('details:not([open])')];
            for (const one of closed) one.open = true;
            return !closed.length && !document.querySelector('details[data-later]');
        }"""
        late = time.monotonic() + PATIENCE_MS / 1000
        while not page.evaluate(opened):
            assert time.monotonic() < late, sheet
            page.wait_for_timeout(100)
        assert page.evaluate(UNSAVED) == [], sheet


@pytest.mark.parametrize("kept", ["while it is typed", "when the page goes out of sight"])
def test_typed_text_outlasts_a_tab_that_the_phone_ends(filled, page, kept):
    """The camera opens, the tab is discarded: no pagehide comes, only visibilitychange (Page
    Visibility; Page Lifecycle calls it the last event one can count on)."""
    page.add_init_script("addEventListener('pagehide', event => event.stopImmediatePropagation())")
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/theme", wait_until="domcontentloaded")
    page.locator("#add-motif > summary").click()
    text = page.locator("#motif-form").get_by_label("Motif", exact=True)
    expect(text).to_be_visible()  # the form comes when its fold is opened
    if kept == "while it is typed":
        text.fill("slack water")
        eventually(page, "Object.keys(sessionStorage).some(key => key.includes('unsaved'))")
    else:
        page.evaluate(
            """() => {
              const field = document.querySelector('#motif-form [name=name]');
              field.value = 'slack water';
              field.dispatchEvent(new Event('input', { bubbles: true }));
              Object.defineProperty(document, 'hidden', { get: () => true });
              document.dispatchEvent(new Event('visibilitychange'));
            }"""
        )
    page.reload(wait_until="domcontentloaded")
    expect(text).to_have_value("slack water")
    page.locator("#motif-form").get_by_role("button").last.click()
    expect(page.locator("#motifs h3", has_text="slack water")).to_be_visible()
    eventually(page, "!Object.keys(sessionStorage).some(key => key.includes('unsaved'))")


def test_leaving_with_a_picture_that_was_not_sent_is_asked_about(filled, page, picture):
    page.expected_errors.append("ERR_FAILED")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/references", wait_until="domcontentloaded")
    page.route("**/api/references/pictures", lambda route: route.abort())
    shot = {"name": "image.jpg", "mimeType": "image/png", "buffer": picture()}
    page.get_by_label("Add pictures").set_input_files([shot])
    again = page.get_by_role("button", name="Try again: image.jpg")
    expect(again).to_be_visible()
    page.get_by_role("link", name="Theme").click()
    expect(again).to_be_visible()
    assert asked == ["beforeunload"]
    page.unroute("**/api/references/pictures")
    again.click()
    expect(
        page.locator("#references").get_by_role("link", name="image", exact=True)
    ).to_be_visible()
    page.get_by_role("link", name="Theme").click()
    page.wait_for_url("**/theme")
    assert asked == ["beforeunload"]


def test_leaving_with_a_picture_that_was_refused_is_asked_about_until_it_is_dismissed(filled, page):
    page.expected_errors.append("422")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/references", wait_until="domcontentloaded")
    torn = {"name": "torn.jpg", "mimeType": "image/png", "buffer": b"no picture"}
    empty = {"name": "empty.jpg", "mimeType": "image/png", "buffer": b""}  # not even sent
    page.get_by_label("Add pictures").set_input_files([torn, empty])
    for left, name in enumerate((torn["name"], empty["name"]), 1):
        dismiss = page.get_by_role("button", name=f"Dismiss: {name}")
        expect(dismiss).to_be_visible()
        page.get_by_role("link", name="Theme").click()
        expect(dismiss).to_be_visible()
        assert asked == ["beforeunload"] * left
        dismiss.click()
        expect(dismiss).to_have_count(0)
    page.get_by_role("link", name="Theme").click()
    page.wait_for_url("**/theme")
    assert len(asked) == 2
