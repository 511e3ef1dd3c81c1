"""The On paper sheet: a booklet and a card are saved, and what is not clear holds them up."""

from __future__ import annotations

import json
import urllib.request

import httpx2
import pypdfium2 as pdfium
import pytest
from playwright.sync_api import expect

from brief.services.sharing import printed_pictures
from tests.browser.conftest import DESKTOP, PHONE, open_reference


@pytest.fixture(autouse=True)
def small_front(monkeypatch):
    """The instrument as a thumbnail: drawing it large takes most of the time."""
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)


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
    tick = page.locator("#booklet-form-leave_out")
    page.get_by_role("button", name="Save the booklet as PDF").click()
    assert tick.evaluate("field => field.validity.valueMissing")
    expect(tick).to_be_focused()
    expect(page.locator("#booklet-form .fault")).to_contain_text("say above what their rights are")
    tick.check()
    assert "No wind." not in saved(page, "Save the booklet as PDF")
    page.get_by_role("link", name="Field note").click()
    expect(page.get_by_role("heading", name="Field note")).to_be_visible()
    expect(page.get_by_label("Rights", exact=True)).to_be_in_viewport()


@pytest.fixture
def found(served, picture):
    """A brief with three pictures of which nothing was said."""
    with httpx2.Client(base_url=served.url) as client:
        served.brief_id = client.post("/api/briefs", json={"title": "Saltmarsh"}).json()["id"]
        files = [("files", (f"{name}.png", picture())) for name in ("reed", "mud", "sky")]
        sent = client.post(
            "/api/references/pictures", files=files, data={"brief_id": served.brief_id}
        )
    assert sent.status_code == 201, sent.text
    return served


def test_a_picture_that_is_not_clear_is_one_tap_from_being_said_to_be_mine(page, found, go):
    go(found, "paper")
    assert page.locator("section img.thumb").count() == 3
    page.get_by_role("link", name="reed").click()
    rights = page.get_by_label("Rights").locator("visible=true")
    expect(rights).to_be_in_viewport()
    rights.select_option(label="my own photograph")
    page.get_by_role("button", name="Save").locator("visible=true").click()
    expect(page.locator("#said")).to_have_text("Saved: reed")
    expect(page.get_by_role("article", name="reed")).to_contain_text("my own photograph")
    go(found, "paper")
    expect(page.get_by_role("link", name="reed")).to_have_count(1)  # among what is credited


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_what_was_typed_for_the_card_is_there_again_after_a_problem(page, found, go):
    page.expected_errors.append("422")
    with httpx2.Client(base_url=found.url, headers={"If-Match": "*"}) as client:
        reed = client.get("/api/references").json()["items"][0]
        at = f"/api/references/{reed['id']}"
        assert client.patch(at, json={"rights": "mine"}).is_success
        go(found, "paper")
        assert client.patch(at, json={"private": True}).is_success
    form = page.locator("#card-form")
    form.get_by_label("Your own line").fill("From a shed by the creek")
    form.get_by_label("Theme text").fill("Low water.")
    form.get_by_label("Picture").select_option(reed["id"])
    form.get_by_role("button", name="Save the card as PDF").click()
    page.get_by_role("link", name="Back to the page before").click()
    expect(form.get_by_label("Your own line")).to_have_value("From a shed by the creek")
    expect(form.get_by_label("Theme text")).to_have_value("Low water.")
    expect(page.locator("#said")).to_have_text("What you typed here is back in its form.")
    form.get_by_label("Picture").select_option(label="none")
    assert "From a shed by the creek" in saved(page, "Save the card as PDF")
    page.goto(found.url)  # asks nothing: there is nothing to be saved
    expect(page).to_have_url(f"{found.url}/")


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_several_pictures_are_credited_by_one_form(page, found, go):
    page.expected_errors.append("422")
    go(found, "paper")
    page.get_by_role("link", name="Credit several at once").click()
    keep = page.locator("#credit-form").get_by_role("button", name="Save")
    page.locator("#credit-form").get_by_role("textbox", name="Credit").fill("A. Walker")
    keep.click()
    expect(page.locator("#credit-form")).to_contain_text("Tick at least one picture or passage.")
    for name in ("reed", "sky"):
        page.locator("#credit-form").get_by_label(name).check()
    rights = page.locator("#credit-form").get_by_label("Rights", exact=True)
    rights.select_option(label="my own photograph")
    keep.click()
    expect(page.locator("#said")).to_have_text("2 credited")
    for name, said in (("reed", True), ("mud", False), ("sky", True)):
        line = page.locator("#credit-form li", has_text=name)
        expect(line.get_by_text("A. Walker · my own photograph")).to_have_count(int(said))


def test_pictures_are_said_to_be_mine_as_they_are_added(page, found, go, picture):
    go(found, "references")
    page.get_by_label("My own photographs").check()
    page.locator("#add-pictures-files").set_input_files(
        {"name": "wall.png", "mimeType": "image/png", "buffer": picture()}
    )
    expect(open_reference(page, "wall")).to_contain_text("my own photograph")


def test_several_pictures_take_one_credit_as_they_are_added(page, found, go, picture):
    go(found, "references")
    page.get_by_text("Credit and motif for all of them").click()
    page.get_by_label("Credit", exact=True).fill("A. Walker")
    page.get_by_label("Source", exact=True).fill("Marsh survey, plate 4")
    rights = page.locator("#add-pictures").get_by_label("Rights", exact=True)
    rights.select_option(label="public domain")
    page.locator("#add-pictures-files").set_input_files(
        [
            {"name": name, "mimeType": "image/png", "buffer": picture()}
            for name in ("a.png", "b.png")
        ]
    )
    expect(page.locator("#said")).to_have_text("2 files added.")
    for name in ("a", "b"):
        one = open_reference(page, name)
        expect(one).to_contain_text("A. Walker")
        expect(one).to_contain_text("Marsh survey, plate 4")
        expect(one).to_contain_text("public domain")
        page.go_back()


# A drag from another window, as the page has it: a file, and where the browser found it.
DRAGGED = """async (bytes) => {
  const transfer = new DataTransfer();
  transfer.items.add(new File([new Uint8Array(bytes)], 'heron.png', {type: 'image/png'}));
  transfer.setData('text/uri-list', 'https://example.org/heron');
  const target = document.getElementById('add-pictures');
  target.dispatchEvent(new DragEvent('drop', {dataTransfer: transfer, bubbles: true}));
}"""


def test_a_picture_dragged_from_a_web_page_keeps_its_address(page, found, go, picture):
    go(found, "references")
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate(DRAGGED, list(picture()))
    expect(open_reference(page, "heron")).to_contain_text("https://example.org/heron")
    assert not [url for url in asked if "example.org" in url]
