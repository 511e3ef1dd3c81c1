"""No control lies under another, under the instrument, the register or what was said, or beyond the
window: every page with every fold open, on a phone, a tablet, a desk and a large screen."""

from __future__ import annotations

import pytest

from .test_every_page import OF_RECORDS, SHEETS, of_a_record

WIDTHS = {320: 700, 390: 844, 768: 1024, 1280: 900, 1920: 1080}
SAY = """async () => {
  const { src } = document.querySelector('script[type=module]');
  const { say } = (await import(src)).modules['page/said.js'];
  say('Something went wrong with two of the files; the list says why.', { stays: true });
}"""
OPEN_ALL = """async () => {
  const closed = () => [...document.querySelectorAll('details:not([open])')];
  const coming = () => document.querySelector('details[data-later]');
  for (let round = 0; round < 600 && (closed().length || coming()); round += 1) {
    for (const details of closed()) details.open = true;  // which may hold others
    await new Promise(done => setTimeout(done, 100));     // the toggle events fill or fetch them
  }
  return document.querySelectorAll('details').length;
}"""
# The page hears of another window with its next frame.
RESIZED = "() => new Promise(done => requestAnimationFrame(() => setTimeout(done)))"
# A point in the middle of a control belongs to it, or to its label.
COVERED = """() => {
  const named = one => one.id || one.className?.baseVal || one.className || one.tagName;
  const found = [];
  let seen = 0;
  const all = 'a[href], button, summary, input:not([type=hidden]), select, textarea';
  for (const control of document.querySelectorAll(all)) {
    if (!control.checkVisibility({ visibilityProperty: true })) continue;
    if (control.closest('.unseen, .skip')) continue;
    control.scrollIntoView({ block: 'nearest', behavior: 'instant' });
    const box = control.getClientRects()[0];
    if (!box?.width || !box.height) continue;
    seen += 1;
    const what = `${control.tagName} ${control.id || control.textContent.trim().slice(0, 30)}`;
    if (box.left < -1 || box.right > innerWidth + 1) {
      found.push(`${what} runs out of the window (${box.left} to ${box.right})`);
      continue;
    }
    const there = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    const own = there && (control.contains(there) || there.closest('label')?.control === control);
    if (!own) found.push(`${what} lies under ${there ? named(there) : 'nothing'}`);
  }
  return { seen, found };
}"""


@pytest.fixture
def viewport():
    return {"width": 390, "height": 844}


def must_be_free(page, url):
    """Open the page and its folds, have something said, and try every control at every width."""
    page.goto(url, wait_until="domcontentloaded")  # the scripts are there; pictures have their room
    folds = page.evaluate(OPEN_ALL)
    assert page.locator("details:not([open])").count() == 0
    page.evaluate(SAY)
    for width, height in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": height})
        page.evaluate(RESIZED)
        looked = page.evaluate(COVERED)
        assert looked["seen"] > folds
        assert looked["found"] == [], f"at {width} px"


@pytest.mark.parametrize("sheet", [*SHEETS, *OF_RECORDS, "credits", "beside", "bench"])
def test_every_control_of_a_sheet_can_be_hit(demo, page, sheet):
    sheet = of_a_record(page, demo, sheet)
    must_be_free(page, f"{demo.url}/briefs/{demo.brief_id}/{sheet}")


def test_every_control_of_the_other_pages_can_be_hit(filled, page):
    brief = {"brief_id": filled.brief_id}
    kept = page.request.post(f"{filled.url}/api/revisions", data=brief).json()
    salt = page.request.post(f"{filled.url}/api/motifs", data={**brief, "name": "salt"}).json()
    reed = page.request.post(f"{filled.url}/api/motifs", data={**brief, "name": "reeds"}).json()
    page.request.delete(f"{filled.url}/api/motifs/{reed['id']}", headers={"If-Match": "*"})
    changed = f"/briefs/{filled.brief_id}/revisions?since={kept['id']}"
    for address in ("/", "/offcuts", "/method", changed):
        must_be_free(page, filled.url + address)
    assert salt["id"] in page.content()
