"""A guest reads and speaks: by a link, and from the file by mail, on a desk and on a phone."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import eventually


def speak(page, thing, text, *, press="Send comment"):
    """Open the form of a thing, write and send."""
    thing.locator("[data-speak]").click()
    page.get_by_label("Comment", exact=True).fill(text)
    page.locator(".speak").get_by_label("Your first name").fill("Ines")
    page.get_by_role("button", name=press, exact=True).click()


def mark_words(page, words):
    """Mark some words of the theme, as a finger or a mouse would."""
    page.evaluate(
        """words => {
          const text = document.querySelector('[data-quotable]').firstChild;
          const start = text.data.indexOf(words);
          getSelection().setBaseAndExtent(text, start, text, start + words.length);
        }""",
        words,
    )


@pytest.fixture
def link(page, filled):
    """The demo as the bird counter gets it by a link, made on the Sharing sheet."""
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/sharing")
    page.get_by_text("Make a link", exact=True).click()
    page.locator("#share-form").get_by_label("For whom").fill("the bird counter")
    page.get_by_role("button", name="Make the link").click()
    told = page.get_by_label("Copy it now")
    expect(told).to_have_value(re.compile(re.escape(filled.url) + r"/s/[\w-]{43}"))
    return told.input_value()


def test_by_a_link(page, filled, link):
    page.goto(link)
    reference = page.locator("[data-thing=reference]").first
    speak(page, reference, "They call from the bank, not the reeds.")
    expect(page.locator("#told")).to_contain_text("The maker has it now")
    expect(reference).to_contain_text("They call from the bank")

    # A part, tapped on the instrument; what is missing is said, and nothing typed is lost.
    page.locator("[data-front] [data-role=top] path").first.click(position={"x": 30, "y": 200})
    page.get_by_label("Comment", exact=True).fill("Too dark for the mud.")
    page.locator(".speak").get_by_label("Your first name").fill("")
    page.get_by_role("button", name="Send comment").click()
    expect(page.locator(".speak .problem")).to_contain_text("Add your first name")
    expect(page.get_by_label("Comment", exact=True)).to_have_value("Too dark for the mud.")
    page.locator(".speak").get_by_label("Your first name").fill("Ines")
    page.get_by_role("button", name="Send comment").click()
    expect(page.locator("[data-part-role=top]")).to_contain_text("Too dark for the mud.")

    kept = page.request.get(f"{filled.url}/api/comments?limit=200").json()["items"][-2:]
    assert [one["about_kind"] for one in kept] == ["reference", "part"]
    assert {one["author"] for one in kept} == {"Ines"}


def test_the_file_open_twice_keeps_what_is_said_in_either(page, filled, tmp_path):
    mailed = tmp_path / "saltmarsh.html"
    at = f"{filled.url}/api/briefs/{filled.brief_id}/for-comment.html?sheets=theme&sheets=questions"
    mailed.write_bytes(page.request.get(at).body())
    page.goto(mailed.as_uri())
    expect(page.locator("#to-save")).to_be_hidden()  # nothing is said yet
    other = page.context.new_page()
    other.goto(mailed.as_uri())
    for tab, words in ((other, "From the second."), (page, "From the first.")):
        tab.locator("[data-thing=motif] [data-speak]").first.click()
        tab.get_by_label("Comment", exact=True).fill(words)
        tab.locator(".speak [name=author]").fill("אבי")
        tab.get_by_role("button", name="Save comment").click()
        # What one tab keeps reaches the other a moment later (WHATWG HTML, storage).
        eventually(
            page, "said => Object.values(localStorage).some(kept => kept.includes(said))", words
        )

    # The name is asked for once; the choice stands where it was made, and can be taken out again.
    asked = page.locator("[data-question]").first
    expect(asked.get_by_label("Your first name")).to_have_value("אבי")
    for choice in (0, 1):
        asked.locator("[name=choice]").nth(choice).check()
        asked.get_by_role("button", name="Save my choice").click()
    expect(asked.locator(".own")).to_have_count(1)
    expect(page.locator("#to-save [data-count]")).to_have_text("3 comments")
    with page.expect_download() as saving:
        page.get_by_role("button", name="Save my comments as a file").click()
    expect(page.locator("#to-save")).to_contain_text("Now send that file back")
    said = json.loads(saving.value.path().read_text(encoding="utf-8"))["items"]
    assert [one["motivation"] for one in said] == ["commenting", "commenting", "assessing"]
    assert [one["body"]["value"] for one in said[:2]] == ["From the second.", "From the first."]
    asked.get_by_role("button", name="Remove").click()
    expect(page.locator("#to-save [data-count]")).to_have_text("2 comments")


def test_from_the_file_by_mail(page, filled, tmp_path):
    """Read from the disk, with the server gone out of reach; W3C Web Annotation comes back."""
    mailed = tmp_path / "saltmarsh.html"
    at = f"{filled.url}/api/briefs/{filled.brief_id}/for-comment.html"
    mailed.write_bytes(page.request.get(at).body())
    page.context.set_offline(True)
    page.goto(mailed.as_uri())
    assert page.locator("img").evaluate_all("all => all.every(one => one.naturalWidth > 0)")
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= page.viewport_size["width"]

    # A spot on a picture, pointed at.
    reference = page.locator("[data-thing=reference]:has(img)").first
    reference.locator("[data-speak]").click()
    page.get_by_role("button", name="Point at a spot on the picture").click()
    layer = reference.locator(".spot-layer")
    layer.scroll_into_view_if_needed()
    box = layer.bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 4)
    page.get_by_label("Comment", exact=True).fill("Two of them, here.")
    page.locator(".speak").get_by_label("Your first name").fill("Ines")
    page.get_by_role("button", name="Save comment").click()
    expect(reference).to_contain_text("on a spot")
    mark = reference.locator(".spot-mark").bounding_box()  # stays, where it was pointed at
    box = reference.locator("[data-spot]").bounding_box()
    assert abs(mark["x"] + mark["width"] / 2 - box["x"] - box["width"] / 2) < 3
    assert abs(mark["y"] + mark["height"] / 2 - box["y"] - box["height"] / 4) < 3

    # Some words of the theme, by keyboard once they are marked.
    mark_words(page, "wet brown")
    page.get_by_role("button", name="Comment on selection").first.press("Enter")
    page.get_by_label("Comment", exact=True).fill("More grey than brown.")
    page.keyboard.press("Tab")
    expect(page.locator(".speak").get_by_label("Your first name")).to_have_value("Ines")
    page.get_by_role("button", name="Save comment").press("Enter")

    # This or that.
    question = page.locator("[data-question]").first
    question.get_by_role("radio").nth(1).check()
    question.get_by_label("Why (optional)").fill("Brass, as in the light.")
    question.get_by_role("button", name="Save my choice").click()

    # Closed and opened again, nothing is lost.
    page.goto("about:blank")
    page.goto(mailed.as_uri())
    expect(page.locator("#to-save [data-count]")).to_have_text("3 comments")
    with page.expect_download() as saving:
        page.get_by_role("button", name="Save my comments as a file").click()
    assert saving.value.suggested_filename.endswith(".jsonld")
    saved = saving.value.path().read_text(encoding="utf-8")
    said = json.loads(saved)
    assert said["@context"] == "http://www.w3.org/ns/anno.jsonld"
    assert [one["motivation"] for one in said["items"]][2] == "assessing"
    spot, words = (one["target"]["selector"] for one in said["items"][:2])
    assert spot["value"] == "xywh=percent:46,21,8,8"
    assert words["exact"] == "wet brown"
    assert words["prefix"].endswith("warm straw and ")
    assert words["suffix"].startswith(", a long pale line")

    # Back at the maker's, dropped twice: there once.
    page.context.set_offline(False)
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/comments")
    for known in (False, True):
        page.locator("input[type=file]").first.set_input_files(
            {"name": "back.jsonld", "mimeType": "application/ld+json", "buffer": saved.encode()}
        )
        came = "were here already" if known else "2 comments and 1 answer added"
        expect(page.locator("[data-progress] li").last).to_contain_text(came)
    kept = page.request.get(f"{filled.url}/api/comments?limit=200").json()["items"]
    mine = [one for one in kept if one["author"] == "Ines" and one["came_by"] == "file"]
    assert [one["text"] for one in mine] == ["Two of them, here.", "More grey than brown."]
    answers = page.request.get(f"{filled.url}/api/answers?limit=200").json()["items"]
    assert [one["choice"] for one in answers if one["author"] == "Ines"] == [1]


def test_a_finger_is_asked_which_of_the_small_parts_it_means(page, filled, link):
    """WCAG 2.2, 2.5.8 asks for 24 px; a nut on a phone has a tenth of that."""
    page.goto(link)
    nut = page.locator("[data-front] [data-role=nut] path")
    nut.scroll_into_view_if_needed()
    box = nut.bounding_box()
    assert box["height"] < 24
    page.evaluate(
        """([x, y]) => document.elementFromPoint(x, y).dispatchEvent(new PointerEvent('click', {
          bubbles: true, clientX: x, clientY: y, detail: 1, pointerType: 'touch',
        }))""",
        [box["x"] + box["width"] / 2, box["y"] + box["height"] / 2 + 6],
    )
    near = page.get_by_role("group", name="Which part?")
    expect(near.get_by_role("button", name="Nut")).to_be_visible()
    assert near.get_by_role("button").count() > 1
    expect(near.get_by_role("button").first).to_be_focused()
    near.get_by_role("button", name="Nut").press("Enter")
    expect(near).to_be_hidden()
    expect(page.locator("[data-part-role=nut] .speak")).to_be_visible()
    expect(page.get_by_label("Comment", exact=True)).to_be_focused()


def test_strands_come_first_and_their_parts_are_large_enough_to_tap(page, filled, link):
    page.goto(link)
    contents = page.get_by_role("navigation", name="Contents")
    contents.get_by_role("link", name="Strands of the theme").click()
    expect(page.locator("#strands-head")).to_be_in_viewport()
    tiles = page.locator(".strand-parts .strand-tile a")
    for tile in tiles.all():
        box = tile.bounding_box()
        assert min(box["width"], box["height"]) >= 24
    tiles.filter(has_text="Saddle").click()
    expect(page.locator("[data-part-role=saddle]")).to_be_in_viewport()
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
