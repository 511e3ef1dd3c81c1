"""An inlay laid in from a file, on a desk and on a phone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE

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


def middle_of(row, kind):
    """The box of what is held there, and its middle, in the middle of the window."""
    spot = row.locator(f'[data-hold="{kind}"] .inlay-touch')
    expect(spot).to_have_attribute("r", re.compile(r"\d"))  # the scripts have drawn it
    spot.evaluate("spot => spot.scrollIntoView({block: 'center', behavior: 'instant'})")
    box = spot.bounding_box()
    return box, box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def saved(field, value):
    """Once the page has it from the API."""
    expect(field).to_have_js_property("defaultValue", value)


def test_an_inlay_is_dragged_turned_and_sized_on_the_picture_and_a_bad_place_is_put_back(
    page, filled
):
    page.expected_errors = ["422"]
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/inlay")
    row = page.locator(".inlay-row").first
    along, across, turn, width = (
        row.locator(f".inlay-placing input[name={name}]")
        for name in ("along_mm", "across_mm", "turn_deg", "width_mm")
    )
    grip, said = row.locator('[data-hold="move"]'), row.locator(".inlay-said")

    for kind in ("turn", "size"):
        box, *_ = middle_of(row, kind)
        assert min(box["width"], box["height"]) >= 43.9  # WCAG 2.2, 2.5.5: 44 px
    was = across.input_value()
    _, x, y = middle_of(row, "move")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 6, steps=3)
    expect(said).to_have_text("On the fretboard.")
    page.mouse.move(x + 150, y + 6, steps=3)
    expect(said).to_have_text("Not wholly on the fretboard.")
    page.mouse.up()
    expect(said).to_contain_text("Put back. The design does not lie wholly on the fretboard")
    expect(across).to_have_value(was)
    # Escape puts it back before it is sent.
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 4, steps=3)
    expect(along).not_to_have_value("")
    page.keyboard.press("Escape")
    page.mouse.up()
    expect(along).to_have_value("")
    # By keys: half a millimetre, a degree, half a millimetre of width; Enter sends all in one.
    wide = float(width.input_value())
    asked = []
    page.on("request", lambda one: asked.append(one) if one.method == "PATCH" else None)
    grip.focus()
    for key in ("ArrowDown", "]", "]", "-", "Enter"):
        page.keyboard.press(key)
    expect(page.locator("#said")).to_contain_text("0.5 mm nearer to the bridge")
    saved(along, "0.5")
    saved(turn, "2")
    saved(width, f"{wide - 0.5:g}")
    assert len(asked) == 1
    expect(grip).to_be_focused()
    _, x, y = middle_of(row, "move")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 5, steps=3)
    page.mouse.up()
    expect(along).not_to_have_js_property("defaultValue", "0.5")
    assert len(asked) == 2


@pytest.mark.parametrize("viewport", [PHONE], ids=["phone"])
def test_a_finger_drags_the_inlay_and_scrolls_the_page_beside_it(page, filled):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/inlay")
    row = page.locator(".inlay-row").first
    along = row.locator(".inlay-placing input[name=along_mm]")
    was = along.input_value()
    finger = page.context.new_cdp_session(page)

    def touch(kind, *points):
        asked = [{"x": x, "y": y} for x, y in points]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": asked})

    def drag(x, y, by):
        touch("touchStart", (x, y))
        for step in range(1, 9):
            touch("touchMove", (x, y + by * step / 8))
        touch("touchEnd")

    _, x, y = middle_of(row, "move")
    before = page.evaluate("scrollY")
    drag(x, y, 24)
    expect(along).not_to_have_js_property("defaultValue", was)
    expect(page.locator("#said")).to_contain_text("nearer to the bridge")
    assert (
        page.evaluate("scrollY") >= before
    )  # the words above it may have moved it, not the finger
    expect(row.locator('[data-hold="move"]')).to_be_in_viewport()  # not its numbers alone
    middle = row.locator("h3").bounding_box()
    before = page.evaluate("scrollY")
    drag(middle["x"] + 40, middle["y"] + 5, -120)
    expect(page.locator("html")).not_to_have_js_property("scrollTop", before)


@pytest.mark.parametrize("by", ["button", "Escape at once", "Escape"])
def test_what_was_saved_from_the_picture_is_put_back_in_one_sending(page, filled, by):
    page.goto(f"{filled.url}/briefs/{filled.brief_id}/inlay")
    row = page.locator(".inlay-row").first
    along, across = (
        row.locator(f".inlay-placing input[name={name}]") for name in ("along_mm", "across_mm")
    )
    was = along.input_value(), across.input_value()
    asked = []
    page.on("request", lambda one: asked.append(one) if one.method == "PATCH" else None)
    grip, said = row.locator('[data-hold="move"]'), page.locator("#said")
    _, x, y = middle_of(row, "move")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 6, steps=3)
    page.mouse.up()
    if by == "Escape at once":
        page.keyboard.press("Escape")
    else:
        expect(said).to_contain_text("nearer to the bridge")
        expect(along).not_to_have_js_property("defaultValue", was[0])
        back = said.get_by_role("button", name="Put it back")
        back.click() if by == "button" else page.keyboard.press("Escape")
    expect(said).not_to_contain_text("nearer")
    expect(said).to_contain_text(":")
    saved(along, was[0])
    saved(across, was[1])
    expect(along).to_have_value(was[0])
    expect(grip).to_be_focused()
    expect(said.get_by_role("button", name="Put it back")).to_have_count(0)
    assert len(asked) == 2
