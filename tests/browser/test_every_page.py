"""Every page, on a desk and on a phone: it fits, it can be used by keyboard, it can be read.

Contrast, names and roles: axe-core, by the rules of WCAG 2.0 to 2.2, A and AA.
"""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, settled
from tests.browser.reading import violations

SHEETS = (
    "theme", "today", "references", "timber", "pairings", "pairings/new", "lay", "spec", "drawing",
    "inlay", "run-up", "movement", "papers", "trip", "cost", "comments", "comments/ask",
    "sharing", "paper",
)  # fmt: skip
ANYWHERE = ("/method", "/api/docs")  # the same whatever is kept
LONG = "Bogoakmotherofpearl" * 10
MARKUP = "<script>document.title='broken'</script><img src=x onerror=alert(1)>&amp;\"'"


def addresses(brief_id, piece_id):
    sheets = [
        f"/briefs/{brief_id}/{sheet}"
        for sheet in (*SHEETS, f"timber/{piece_id}", "revisions", "beside", "trip/stand")
    ]
    return ["/", "/offcuts", *sheets]


def must_hold(page, url):
    answer = page.goto(url)
    assert answer.status == 200, url
    settled(page)
    for fold in page.locator("details.fold > summary").all()[:12]:
        fold.evaluate("summary => { summary.parentElement.open = true }")
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= page.viewport_size["width"], f"{url} is {wide} px wide"
    assert violations(page) == [], url


# Pages of one record, by the noun that the first of is shown.
OF_RECORDS = {
    "timber/{}": "materials",
    "references/{}": "references",
    "pairings/{}": "pairings",
}


def of_a_record(page, served, sheet: str) -> str:
    """The address of a sheet, or of the page of the first record where it is one of those."""
    if sheet not in OF_RECORDS:
        return sheet
    found = page.request.get(f"{served.url}/api/{OF_RECORDS[sheet]}").json()
    return sheet.format(found["items"][0]["id"])


def piece_of(page, served):
    """The first piece on the rack."""
    return page.request.get(f"{served.url}/api/materials").json()["items"][0]["id"]


def link_to(page, served, brief_id):
    """What a guest gets, with all that can be shown."""
    shown = ["theme", "references", "pairings", "spec", "questions", "drawing", "comments"]
    asked = {"brief_id": brief_id, "name": "a guest", "sheets": shown}
    return page.request.post(f"{served.url}/api/shares", data=asked).json()["address"]


def test_the_demo(demo, page):
    link = link_to(page, demo, demo.brief_id)
    for address in (*addresses(demo.brief_id, piece_of(page, demo)), link):
        must_hold(page, demo.url + address)


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"], indirect=True)
def test_a_phone_scrolls_each_sheet_of_the_demo_in_five_screens(demo, page):
    long = {}
    for sheet in SHEETS:
        page.goto(f"{demo.url}/briefs/{demo.brief_id}/{sheet}")
        settled(page)
        tall = page.evaluate("document.documentElement.scrollHeight") / PHONE["height"]
        if tall > 5:
            long[sheet] = round(tall, 2)
    assert long == {}


@pytest.mark.parametrize("address", ANYWHERE)
def test_what_is_the_same_whatever_is_kept(served, page, demo_store, address):
    url = served.url + address
    must_hold(page, url)
    empty = page.request.get(url).text()
    with served.over(demo_store):
        assert page.request.get(url).text() == empty


def test_nothing_yet(served, page):
    brief = page.request.post(f"{served.url}/api/briefs", data={"title": "Bare"}).json()
    piece = page.request.post(f"{served.url}/api/materials", data={"label": "cedar"}).json()
    for address in (*addresses(brief["id"], piece["id"]), link_to(page, served, brief["id"])):
        must_hold(page, served.url + address)


def test_very_long_words_and_markup_in_every_field(served, page):
    def make(noun, **fields):
        answer = page.request.post(f"{served.url}/api/{noun}", data=fields)
        assert answer.ok, answer.text()
        return answer.json()

    for text in (LONG, MARKUP):
        line = text[:200]
        brief = make("briefs", title=line, theme=text, instrument=line, show=line)
        own = {"brief_id": brief["id"]}
        motif = make("motifs", **own, name=line, says=text)
        make(
            "references",
            **own,
            title=line,
            passage=text,
            credit=line,
            source=text,
            motif_ids=[motif["id"]],
        )
        swatch = make("swatches", **own, name=line, colour="#8a7a5a", motif_id=motif["id"])
        ground, inlay = (
            make("materials", label=line, species=line, provenance=text, reading=reading)
            for reading in ("Lab 30 5 10", "Lab 80 2 8")
        )
        make("pairings", **own, ground_id=ground["id"], inlay_id=inlay["id"], place=line)
        part = make(
            "parts",
            **own,
            role=line[:100],
            name=line,
            material_id=ground["id"],
            swatch_id=swatch["id"],
            finish=line,
            sizes=text,
        )
        make("notes", about_kind="part", about_id=part["id"], text=text)
        about = {"about_kind": "part", "about_id": part["id"]}
        hours = {"quick_h": 2, "likely_h": 3, "slow_h": 5}
        make("stages", **own, name=line, **hours, wait_days=20, wait_for=line)
        make("absences", **own, name=line, last_on="2040-01-01")
        make("calendar-links", **own, name=line)
        stops = [make("stops", **own, name=line, zone="UTC", address=text[:500]) for _ in range(2)]
        ends = dict(zip(("from_id", "to_id"), (one["id"] for one in stops), strict=True))
        make("legs", **own, **ends, by=line, leaves_on="2030-01-01", booking=line)
        make("stays", **own, stop_id=stops[0]["id"], from_on="2030-01-02", booking=line)
        make("contacts", **own, name=line, concern=line, reach=text[:500])
        make("things-to-pack", **own, name=line, why=text[:500])
        comment = make("comments", **own, **about, author=line[:100], text=text, outcome=text)
        make("comments", **own, **about, author=line[:100], text=text, reply_to=comment["id"])
        found = list(addresses(brief["id"], ground["id"]))
        assert found
        for address in found:
            must_hold(page, served.url + address)
            assert page.title() != "broken"
            assert page.locator("#content img[src=x]").count() == 0


@pytest.mark.parametrize("sheet", [*SHEETS, "credits", *OF_RECORDS])
def test_the_whole_sheet_by_keyboard(demo, page, sheet):
    """Tab comes past every control that is shown, and shows where it is at each stop; the window
    itself, which is one of the stops on the way round, has nothing to show."""
    sheet = of_a_record(page, demo, sheet)
    page.goto(f"{demo.url}/briefs/{demo.brief_id}/{sheet}")
    settled(page)
    shown = page.evaluate(
        """() => {
            const all = 'a[href], button, summary, input, select, textarea';
            window.missed = new Set([...document.querySelectorAll(all)]
                .filter(e => e.tabIndex >= 0 && !e.disabled && e.checkVisibility()));
            window.unmarked = [];
            return missed.size;
        }"""
    )
    assert shown > 20
    for _ in range(2 * shown):  # what scrolls is a stop, too, and is not counted
        page.keyboard.press("Tab")
        round_the_page = page.evaluate(
            """() => {
                const at = document.activeElement;
                if (at === document.body) return true;
                missed.delete(at);
                if (getComputedStyle(at).outlineStyle === 'none') unmarked.push(at.outerHTML);
                return false;
            }"""
        )
        if round_the_page:
            break
    assert page.evaluate("[...missed].map(one => one.outerHTML)") == []
    assert page.evaluate("unmarked") == []
