"""Freezing a brief, seeing what changed and taking it back; and a zip brought in on the shelf."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.conftest import settled
from tests.browser.reading import violations


def test_freeze_change_compare_and_take_back(filled, go):
    page = go(filled, "revisions")
    page.get_by_text("Freeze this version").click()
    page.get_by_label("Why").fill("as shown to the boatbuilder")
    page.get_by_role("button", name="Freeze", exact=True).click()
    expect(page.locator("#said")).to_contain_text("Frozen as Rev A")
    expect(page.get_by_text("No differences.")).to_be_visible()
    expect(page.get_by_text("Nothing has changed since Rev A")).to_be_visible()
    api = f"{filled.url}/api"
    parts = page.request.get(f"{api}/parts?brief_id={filled.brief_id}").json()["items"]
    pieces = {one["label"]: one for one in page.request.get(f"{api}/materials").json()["items"]}
    top, other = parts[0], next(one for name, one in pieces.items() if "Sapele" in name)
    page.request.patch(
        f"{api}/parts/{top['id']}", data={"material_id": other["id"]}, headers={"If-Match": "*"}
    )
    page.reload()
    row = page.locator(f"#change-{top['id']}")
    colours = [rect.get_attribute("fill") for rect in row.locator(".halves rect").all()]
    assert colours == [pieces[top["material"]["label"]]["colour"]["hex"], other["colour"]["hex"]]
    expect(page.locator(".two-fronts svg")).to_have_count(2)
    assert violations(page) == []
    row.get_by_role("button", name="Restore").click()
    expect(page.locator("#said")).to_contain_text("is as in Rev A again")
    expect(page.locator("#said")).to_contain_text("frozen as Rev B")
    part = page.request.get(f"{api}/parts/{top['id']}").json()
    assert part["material"]["id"] == top["material"]["id"]
    settled(page)  # or its pictures are asked for when nobody is there


def test_while_it_is_frozen_there_is_no_second_press(page, served):
    """Neither before the answer has come nor before the sheet shows it."""
    api = f"{served.url}/api"
    brief = page.request.post(f"{api}/briefs", data={"title": "Saltmarsh"}).json()
    sheet = f"{served.url}/briefs/{brief['id']}/revisions"
    page.goto(sheet)
    page.get_by_text("Freeze this version").click()
    button = page.get_by_role("button", name="Freeze", exact=True)
    waiting = []
    page.route("**/api/revisions", lambda route: waiting.append(route))
    button.click()
    expect(button).to_be_disabled()
    expect(page.locator("#freeze-form[aria-busy=true]")).to_have_count(1)
    page.route(sheet, lambda route: waiting.append(route))
    waiting.pop().continue_()
    expect(page.locator("#said")).to_contain_text("Frozen as Rev A")
    expect(button).to_be_hidden()
    page.unroute(sheet)
    for one in waiting:
        one.continue_()
    expect(page.get_by_text("Nothing has changed since Rev A")).to_be_visible()
    revisions = page.request.get(f"{api}/revisions?brief_id={brief['id']}").json()["items"]
    assert [one["letter"] for one in revisions] == ["A"]
    expect(page.locator(f"#revision-{revisions[0]['id']}")).to_be_focused()


def test_a_brief_is_taken_along_and_brought_in(page, served, tmp_path):
    api = f"{served.url}/api"
    brief = page.request.post(f"{api}/briefs", data={"title": "Saltmarsh"}).json()
    page.goto(served.url)
    with page.expect_download() as saving:
        page.get_by_role("link", name="Save a copy").click()
    taken = tmp_path / saving.value.suggested_filename
    saving.value.save_as(taken)
    page.set_input_files("#bring-in-file", [taken])
    expect(page.locator("#said")).to_contain_text("nothing in it differs; nothing was added")
    change = {"data": {"show": "the hall"}, "headers": {"If-Match": "*"}}
    page.request.patch(f"{api}/briefs/{brief['id']}", **change)
    page.set_input_files("#bring-in-file", [taken])
    expect(page.locator("#said")).to_contain_text("beside it as “Saltmarsh (brought in)”")
    expect(page.locator(".shelf > li")).to_have_count(2)
    copy = page.locator(".shelf > li", has_text="brought in")
    expect(copy.get_by_role("heading")).to_be_focused()
    page.expected_errors = ["422"]
    half = tmp_path / "half.zip"
    half.write_bytes(taken.read_bytes()[:-100])
    page.set_input_files("#bring-in-file", [half])
    expect(page.locator("#bring-in .fault")).to_contain_text("no whole zip file")
    expect(page.locator(".shelf > li")).to_have_count(2)
