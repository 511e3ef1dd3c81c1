"""An inlay laid in from a file, on a desk and on a phone."""

from __future__ import annotations

from playwright.sync_api import expect

REED = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="12mm" height="30mm" viewBox="0 0 12 30">'
    '<path fill="none" stroke="#000" stroke-width="1.2" d="M6 30C6 20 5 12 9 2"/></svg>'
)


def test_a_file_is_refused_beside_its_field_and_a_good_one_is_laid_in(page, filled, tmp_path):
    page.expected_errors = ["422"]
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/inlay")
    bad, good = tmp_path / "bad.svg", tmp_path / "reed.svg"
    bad.write_text(REED.replace("<path", "<script/><path"), encoding="utf-8")
    good.write_text(REED, encoding="utf-8")
    page.locator("#add-inlay > summary").click()
    form = page.locator("#inlay-form")
    form.get_by_label("Name", exact=True).fill("Reed")
    form.get_by_label("Set into").select_option("headplate")
    form.get_by_label("Along (mm)").fill("60")
    form.get_by_label("SVG file").set_input_files(bad)
    field = form.get_by_label("SVG code, or path data in mm")
    expect(field).to_have_value(bad.read_text(encoding="utf-8"))
    expect(field).to_be_hidden()  # nobody has to look at a file's text who did not ask for it
    form.get_by_role("button", name="Add inlay").click()
    expect(form.locator(".fault")).to_contain_text("script")
    expect(field).to_be_focused()
    expect(form.get_by_label("Name", exact=True)).to_have_value("Reed")
    form.get_by_label("SVG file").set_input_files(good)
    expect(field).to_have_value(REED)
    form.get_by_role("button", name="Add inlay").click()
    expect(page.locator("#said")).to_contain_text("Reed: Thinnest place 1.2 mm")
    row = page.locator(".inlay-row", has_text="Reed")
    expect(row).to_contain_text("headplate, 60 mm above the nut")
    expect(row.locator("svg[role=img]").first).to_be_visible()
    page.get_by_role("link", name="Drawing", exact=True).click()
    expect(page.locator("#plans h4", has_text="Inlay")).to_be_visible()
