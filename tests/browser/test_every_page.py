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
LONG = "BOGOAKMOTHEROFPEARL" * 10  # in capitals a line of it is wider than a desk’s window
MARKUP = "<script>document.title='broken'</script><img src=x onerror=alert(1)>&amp;\"'"
BOTH = MARKUP + LONG[: 200 - len(MARKUP)]  # as long as a line may be
UNFOLDED = "[...document.querySelectorAll('details.fold')].slice(0, 12).map(one => one.open = true)"
# Of the hundreds of operations and schemas, which come from one template, every tenth is read.
THINNED = """[...document.querySelectorAll('.docs-operation, #schemas > article')].map(
    (one, at) => at % 10 && one.remove())"""


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
    page.evaluate(UNFOLDED)
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= page.viewport_size["width"], f"{url} is {wide} px wide"
    page.evaluate(THINNED)
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

    brief = make("briefs", title=BOTH, theme=BOTH, instrument=BOTH, show=BOTH)
    own = {"brief_id": brief["id"]}
    motif = make("motifs", **own, name=BOTH, says=BOTH)
    about_motif = {"motif_ids": [motif["id"]]}
    make("references", **own, **about_motif, title=BOTH, passage=BOTH, credit=BOTH, source=BOTH)
    swatch = make("swatches", **own, name=BOTH, colour="#8a7a5a", motif_id=motif["id"])
    ground, inlay = (
        make("materials", label=BOTH, species=BOTH, provenance=BOTH, reading=reading)
        for reading in ("Lab 30 5 10", "Lab 80 2 8")
    )
    make("pairings", **own, ground_id=ground["id"], inlay_id=inlay["id"], place=BOTH)
    wood = {"material_id": ground["id"], "swatch_id": swatch["id"]}
    part, _ = (
        make("parts", **own, **wood, role=role, name=BOTH, finish=BOTH, sizes=BOTH)
        for role in (LONG[:100], MARKUP)
    )
    make("notes", about_kind="part", about_id=part["id"], text=BOTH)
    about = {"about_kind": "part", "about_id": part["id"]}
    hours = {"quick_h": 2, "likely_h": 3, "slow_h": 5}
    make("stages", **own, name=BOTH, **hours, wait_days=20, wait_for=BOTH)
    make("absences", **own, name=BOTH, last_on="2040-01-01")
    make("calendar-links", **own, name=BOTH)
    stops = [make("stops", **own, name=BOTH, zone="UTC", address=BOTH) for _ in range(2)]
    ends = dict(zip(("from_id", "to_id"), (one["id"] for one in stops), strict=True))
    make("legs", **own, **ends, by=BOTH, leaves_on="2030-01-01", booking=BOTH)
    make("stays", **own, stop_id=stops[0]["id"], from_on="2030-01-02", booking=BOTH)
    make("contacts", **own, name=BOTH, concern=BOTH, reach=BOTH)
    make("things-to-pack", **own, name=BOTH, why=BOTH)
    comment = make("comments", **own, **about, author=LONG[:100], text=BOTH, outcome=BOTH)
    make("comments", **own, **about, author=MARKUP, text=BOTH, reply_to=comment["id"])
    for address in addresses(brief["id"], ground["id"]):
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
            addEventListener('focusin', ({target: at}) => {
                missed.delete(at);
                if (getComputedStyle(at).outlineStyle === 'none') unmarked.push(at.outerHTML);
            });
            addEventListener('focusout', ({relatedTarget}) => { window.round ||= !relatedTarget; });
            return missed.size;
        }"""
    )
    assert shown > 20
    for _ in range(0, 2 * shown, 10):  # what scrolls is a stop, too, and is not counted
        for _ in range(10):
            page.keyboard.press("Tab")
        if page.evaluate("window.round"):
            break
    assert page.evaluate("[...missed].map(one => one.outerHTML)") == []
    assert page.evaluate("unmarked") == []
