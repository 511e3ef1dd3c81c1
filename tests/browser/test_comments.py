"""Comments on the page: words taken from a passage, a file dropped, some of them found."""

from __future__ import annotations

import json

from playwright.sync_api import expect

from brief.services.feedback.annotations import iri_of
from tests.browser.conftest import open_reference


def test_marked_words_are_taken_and_stay_marked(filled, page):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/references")
    plate = open_reference(page, "Field note, the sea wall")
    plate.locator("summary", has_text="Comment").click()
    verse = plate.locator("blockquote")
    words = verse.evaluate(
        """(passage) => {
          const range = document.createRange();
          range.setStart(passage.firstChild, 18);
          range.setEnd(passage.firstChild, 25);
          getSelection().removeAllRanges();
          getSelection().addRange(range);
          return range.toString();
        }"""
    )
    plate.get_by_role("button", name="Quote selection").click()
    expect(plate.get_by_label("Quoted words")).to_have_value(words.strip())
    plate.get_by_label("Comment", exact=True).fill("Not at that hour.")
    plate.get_by_role("button", name="Add the comment").click()
    expect(plate.locator("mark a")).to_have_text(words)
    plate.locator("mark a").click()
    expect(page.locator("#comments > li").first.locator("q")).to_have_text(words)


def test_a_file_dropped_is_new_until_it_is_seen_and_found_by_keyboard(filled, page, tmp_path):
    sheet = f"{filled.url}/briefs/{filled.brief_id}/comments"
    mailed = page.request.get(f"{filled.url}/api/briefs/{filled.brief_id}/comment-file").json()
    mailed["items"] = [
        {
            "id": f"urn:x:{tmp_path.name}",
            "type": "Annotation",
            "motivation": "commenting",
            "creator": {"type": "Person", "name": "a postman"},
            "body": {"type": "TextualBody", "value": "Came by boat."},
            "target": iri_of(filled.brief_id),
        }
    ]
    file = tmp_path / "mailed.jsonld"
    file.write_text(json.dumps(mailed))
    page.goto(sheet)
    picker = page.locator("#add-comments-file")
    picker.set_input_files(file)
    expect(page.locator("#said")).to_contain_text("1 comment added.")
    expect(page.locator("#register .new")).to_have_text("1 new")
    at = page.viewport_size
    for wide in (320, 600, 768, 820):  # where the word is there for whoever hears the page alone
        page.set_viewport_size({"width": wide, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
    page.set_viewport_size(at)
    picker.set_input_files(file)
    expect(page.locator("#add-comments .outcome").last).to_have_text(
        "Nothing new; 1 was here already."
    )
    state = page.get_by_label("State")
    state.focus()
    state.select_option("new")
    expect(page.locator("#comments > li")).to_have_count(1)
    expect(state).to_be_focused()
    assert page.url.endswith("?state=new")
    page.get_by_role("button", name="Mark all as seen").click()
    expect(page.locator("#register .new")).to_have_count(0)
    expect(page.locator("#found")).to_contain_text("No match among")
