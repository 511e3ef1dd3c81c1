"""The theme as strands, looked at in a browser: how much of a window they take, that their rows are
full, that no name lies on a picture, and that all of it holds whatever is in it."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP, settled
from tests.browser.reading import violations

WIDTHS = (320, 390, 768, 1280, 1600, 1920)
LONG = "Saltmarshandreed" * 12
# Each cut-out and photograph of a strand, with its caption: px from the top of the window.
TILES = """() => [...document.querySelectorAll('.strand-tile')].map(tile => {
  const box = one => { const b = one.getBoundingClientRect(); return [b.top, b.bottom, b.width, b.height]; };
  return { picture: box(tile.querySelector('img, svg, .strand-open')), name: box(tile.querySelector('figcaption')) };
})"""  # noqa: E501


@pytest.fixture(params=[DESKTOP], ids=["desktop"])
def viewport(request):
    return request.param


def strands(page):
    return page.locator("#motifs > .strand")


def test_the_strands_of_the_demo_take_one_screen_and_a_fifth(demo, go):
    page = go(demo, "theme")
    assert strands(page).count() == 4
    end = strands(page).last.evaluate("one => one.getBoundingClientRect().bottom + scrollY")
    assert end <= 1.2 * DESKTOP["height"]


@pytest.mark.parametrize("width", WIDTHS)
def test_pictures_have_room_and_no_name_is_on_one(demo, page, width):
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/theme")
    settled(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    tiles = page.evaluate(TILES)
    assert len(tiles) > 20
    for tile in tiles:
        assert tile["picture"][1] <= tile["name"][0] + 0.5
        assert min(tile["picture"][2:]) >= 36, tile
    pictures = page.locator(".strand-pictures img").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().height)"
    )
    assert min(pictures) >= 60


@pytest.mark.parametrize("width", [1280, 1920])
def test_a_row_is_full_and_its_pictures_are_of_one_height(demo, page, width):
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/theme")
    settled(page)
    for stage in page.locator("#motifs .strand-stage").all():
        lines = stage.evaluate(
            """stage => [...stage.querySelectorAll('.strand-line')].map(line => {
              const all = [...line.children].map(one => one.getBoundingClientRect());
              const right = stage.getBoundingClientRect().right;
              return [right - Math.max(...all.map(b => b.right)), ...all.map(b => b.height)];
            })"""
        )
        for free, *heights in lines:
            assert abs(free) <= 1
            assert max(heights) - min(heights) <= 1


def test_a_part_is_cut_out_of_one_drawing(demo, go):
    """Each face is on the page once, however many parts are cut out of it."""
    page = go(demo, "theme")
    cut = page.locator(".strand-parts use")
    assert (
        cut.count()
        == page.request.get(f"{demo.url}/api/parts?brief_id={demo.brief_id}")
        .json()["items"]
        .__len__()
    )
    for face in ("front", "back", "side"):
        assert page.locator(f"#whole-{face}").count() == 1
    assert {one.get_attribute("href") for one in cut.all()} == {
        "#whole-front", "#whole-back", "#whole-side"
    }  # fmt: skip


def test_an_end_leads_to_what_is_to_be_done(demo, go):
    page = go(demo, "theme")
    end = page.locator(".strand-end", has_text="Rosette has no piece yet")
    end.get_by_role("link", name="Choose: Reed").click()
    page.wait_for_url("**/spec#part-*")
    part = page.url.rpartition("#")[2]
    expect(page.locator(f"#{part}")).to_contain_text("Rosette")


def test_a_long_theme_shows_its_first_lines_and_all_of_it_when_asked(demo, go):
    page = go(demo, "theme")
    words = page.locator(".theme-words .prose")
    high = "one => one.getBoundingClientRect().height"
    line = float(words.evaluate("one => parseFloat(getComputedStyle(one).lineHeight)"))
    assert words.evaluate(high) <= 3 * line + 1
    fold = page.get_by_text("Whole theme")
    fold.focus()
    page.keyboard.press("Enter")
    assert words.evaluate("one => one.scrollHeight - one.clientHeight") <= 1
    assert words.evaluate(high) > 6 * line


def test_a_phones_row_of_pictures_scrolls_by_itself_and_by_keyboard(demo, page):
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/theme")
    settled(page)
    row = strands(page).last.locator(".strand-pictures")
    assert row.evaluate("one => one.scrollWidth > one.clientWidth")
    last = row.locator("a").last
    last.focus()
    assert last.evaluate(
        "one => { const b = one.getBoundingClientRect(); return b.right <= innerWidth + 1; }"
    )


def test_whatever_is_in_it_holds(filled, page):
    """A motif without anything, one picture, a name of 200 letters without a space, a part that
    no face shows and that has no photograph, a colour of a long name."""
    send = page.request.post

    def made(noun, **fields):
        answer = send(f"{filled.url}/api/{noun}", data=fields)
        assert answer.status == 201, answer.text()
        return answer.json()["id"]

    brief_id = made("briefs", title=LONG, theme=LONG * 3, show=LONG)
    made("motifs", brief_id=brief_id, name="Empty")
    motif_id = made("motifs", brief_id=brief_id, name=LONG[:200], says=LONG * 2)
    swatch_id = made(
        "swatches", brief_id=brief_id, name=LONG[:200], colour="#8a7a5a", motif_id=motif_id
    )
    made("references", brief_id=brief_id, title=LONG, passage=LONG * 9, motif_ids=[motif_id])
    piece_id = made("materials", label=LONG[:200], reading="Lab 40 9 20")
    part = {"brief_id": brief_id, "material_id": piece_id, "swatch_id": swatch_id}
    made("parts", role="heel cap", name=LONG[:200], **part)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        page.goto(f"{filled.url}/briefs/{brief_id}/theme")
        settled(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert violations(page) == []
    expect(strands(page).first).to_contain_text("No picture or passage yet")
    expect(strands(page).nth(1).locator(".strand-parts svg")).to_be_visible()


def test_a_removed_motif_leaves_its_pictures_to_be_seen(filled, page):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/theme")
    settled(page)
    before = page.locator("#loose .strand-pictures a").count()
    motif = strands(page).filter(has=page.get_by_role("heading", name="Reed", exact=True))
    motif.locator("summary", has_text="Remove").last.click()
    motif.get_by_role("button", name="Move to offcuts bin").click()
    expect(strands(page)).to_have_count(3)
    expect(page.locator("#loose .strand-pictures a")).to_have_count(before + 1)
