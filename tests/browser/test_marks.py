"""Marking points on a picture with mouse, finger and keys, on a page of its own."""

from __future__ import annotations

import functools
import http.server
import json
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Page, expect

from brief.api.guards import CONTENT_SECURITY_POLICY
from brief.errors import InputError
from brief.photo.outline.selection import Selection
from brief.places import web_folder
from tests.browser.conftest import PHONE, eventually

OPEN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
SQUARE = f'{OPEN}<polygon points="10,10 90,10 90,90 10,90"/></svg>'
SCRIPT = """
import { wireMarks } from './static/js/marking/marks.js';
import { wireTicks } from './static/js/marking/ticks.js';
wireMarks();
wireTicks();
window.refreshed = () => {
  const old = document.getElementById('region');
  const now = old.cloneNode(true);
  for (const made of now.querySelectorAll('.over-picture, .mark-words')) made.remove();
  now.querySelector('#field').value = old.querySelector('#field').value;
  old.replaceWith(now);
  document.dispatchEvent(new CustomEvent('brief:refreshed'));
};
"""
PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Marks</title>
<meta name="viewport" content="width=device-width"><link rel="icon" href="data:,">
<link rel="stylesheet" href="static/js/marking/overlays.css">
<link rel="stylesheet" href="static/css/paper.css">
<link rel="stylesheet" href="static/css/sheet.css">
<script type="module" src="page.js"></script>
<div id="region"><form>
<button type="button" data-mark-toggle="field">Mark</button>
<button type="button" data-mark-clear="field">Clear</button>
<div class="pick" data-mark="field" data-mark-as="{kind}"><img src="board.png" alt="A board"></div>
<label>Marked<input id="field" name="field" value='{value}'></label>
<button type="reset">Reset</button>
</form>
<div class="pick" data-marks-show='{shown}'><img src="board.png" alt="A board"></div></div>
<p class="mat">{filler}</p>
"""
GRAIN = {"lines": [[20, 50], [30, 50], [40, 50]], "along": [[10, 50], [90, 50]]}


class Handler(http.server.SimpleHTTPRequestHandler):
    def end_headers(self) -> None:
        self.send_header("Content-Security-Policy", CONTENT_SECURITY_POLICY)
        super().end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    folder = tmp_path_factory.mktemp("marks")
    shutil.copytree(web_folder() / "static", folder / "static")
    (folder / "page.js").write_text(SCRIPT, encoding="utf-8")
    board = Image.new("RGB", (800, 500), "#2b1d12")
    ImageDraw.Draw(board).rectangle((400, 0, 800, 500), fill="#e8d9b5")
    board.save(folder / "board.png")
    handler = functools.partial(Handler, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield folder, f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


class Board:
    """The picture, its field, and a hand: a finger on the phone, a mouse on the desktop."""

    def __init__(self, page: Page, touch: bool) -> None:
        self.page = page
        self.touch = touch
        self.field = page.locator("#field")
        self.toggle = page.get_by_role("button", name="Mark")
        self.layer = page.locator(".mark-layer")
        self.handles = page.locator(".mark-handle")
        self.words = page.locator(".mark-words")
        self.glass = page.locator(".mark-glass")
        self._cdp = page.context.new_cdp_session(page)

    def at(self, x: float, y: float) -> tuple[float, float]:
        box = self.page.locator("[data-mark] img").bounding_box()
        assert box is not None
        return box["x"] + box["width"] * x / 100, box["y"] + box["height"] * y / 100

    def tap(self, x: float, y: float) -> None:
        if self.touch:
            self.page.touchscreen.tap(*self.at(x, y))
        else:
            self.page.mouse.click(*self.at(x, y))

    def press(self, x: float, y: float) -> None:
        if self.touch:
            self._finger("touchStart", self.at(x, y))
        else:
            self.page.mouse.move(*self.at(x, y))
            self.page.mouse.down()

    def slide(self, x: float, y: float) -> None:
        if self.touch:
            self._finger("touchMove", self.at(x, y))
        else:
            self.page.mouse.move(*self.at(x, y), steps=3)

    def lift(self) -> None:
        if self.touch:
            self._finger("touchEnd")
        else:
            self.page.mouse.up()

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        self.press(*start)
        self.slide(*[(a + b) / 2 for a, b in zip(start, end, strict=True)])
        self.slide(*end)
        self.lift()

    def _finger(self, kind: str, *points: tuple[float, float]) -> None:
        touches = [{"x": x, "y": y} for x, y in points]
        self._cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    def arm(self) -> None:
        """By a click on a phone, too: a busy machine makes a tap a long press, which is none."""
        self.toggle.click()
        expect(self.toggle).to_have_attribute("aria-pressed", "true")

    def keys(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def points(self) -> list[tuple[float, float]]:
        """Those of a field of plain points; of an outline's first polygon otherwise."""
        text = self.field.input_value()
        if text.startswith("<"):
            text = text.split('points="')[1].split('"')[0]
        pairs = (pair.split(",") for pair in text.split())
        return [(float(x), float(y)) for x, y in pairs]


def near(points: list[tuple[float, float]]):
    """A hand is placed to the pixel: within 0.4 percent."""
    return [pytest.approx(point, abs=0.4) for point in points]


@pytest.fixture
def board(site, page, viewport):
    folder, url = site

    def opened(kind: str, value: str = "") -> Board:
        text = PAGE.format(kind=kind, value=value, shown=json.dumps(GRAIN), filler="Below. " * 2000)
        (folder / "index.html").write_text(text, encoding="utf-8")
        page.goto(url)
        made = Board(page, touch=viewport is PHONE)
        expect(made.layer).to_be_attached()
        return made

    return opened


def test_a_spot_is_tapped_and_tapped_again(board):
    spot = board("spot")
    spot.tap(30, 40)
    expect(spot.field).to_have_value("")  # not armed
    spot.arm()
    expect(spot.words).to_have_text("Tap the spot.")
    spot.tap(30, 40)
    assert spot.points() == near([(30, 40)])
    spot.tap(70, 60)
    assert spot.points() == near([(70, 60)])
    expect(spot.handles).to_have_count(1)
    spot.page.get_by_role("button", name="Clear").click()
    expect(spot.field).to_have_value("")
    expect(spot.handles).to_have_count(0)


def test_a_line_is_two_taps_and_its_ends_are_dragged(board):
    line = board("line")
    line.arm()
    line.tap(20, 50)
    expect(line.words).to_have_text("Tap the other end.")
    line.tap(80, 52)
    assert line.points() == near([(20, 50), (80, 52)])
    line.drag((80, 52), (70, 30))
    assert line.points() == near([(20, 50), (70, 30)])
    line.drag((21, 51), (31, 61))  # grasped beside its middle, it does not jump
    assert line.points() == near([(30, 60), (70, 30)])
    expect(line.page.locator(".mark-layer polyline")).to_have_count(2)  # two tones


def test_four_corners_are_shown_from_the_field_and_put_right(board):
    corners = board("corners", "10,10 90,12 88,90 12,88")
    expect(corners.handles).to_have_count(4)
    corners.drag((10, 10), (20, 20))
    expect(corners.field).to_have_value("10,10 90,12 88,90 12,88")  # not armed
    corners.page.evaluate("scrollTo(0, 0)")
    corners.arm()
    corners.drag((10, 10), (20, 20))
    assert corners.points() == near([(20, 20), (90, 12), (88, 90), (12, 88)])
    expect(corners.handles.nth(1)).to_have_attribute(
        "aria-label", "Point 2 of 4, 90 across, 12 down"
    )


def test_four_corners_are_tapped_in_order(board):
    corners = board("corners")
    corners.arm()
    taps = [(15, 15), (85, 15), (85, 85), (15, 85)]
    for number, tap in enumerate(taps, start=1):
        expect(corners.words).to_have_text(f"Tap corner {number} of 4.")
        corners.tap(*tap)
    assert corners.points() == near(taps)


@pytest.mark.parametrize("how", ["first point", "Enter", "toggle", "let go on the first"])
def test_a_polygon_is_closed(board, how):
    polygon = board("polygon")
    polygon.arm()
    for tap in [(10, 10), (60, 12), (55, 70)]:
        polygon.tap(*tap)
    expect(polygon.page.locator(".mark-layer polygon")).to_have_count(0)
    if how == "first point":
        polygon.tap(10.5, 10.5)
    elif how == "Enter":
        polygon.keys("Enter")
    elif how == "toggle":
        polygon.toggle.click()
        expect(polygon.toggle).to_have_attribute("aria-pressed", "false")
    else:
        polygon.drag((30, 40), (10, 10))
    expect(polygon.page.locator(".mark-layer polygon")).to_have_count(2)
    expect(polygon.page.locator(".mark-veil")).to_have_attribute("fill-rule", "evenodd")
    assert polygon.points() == near([(10, 10), (60, 12), (55, 70)])
    assert str(Selection.parse(polygon.field.input_value())) == polygon.field.input_value()


def test_a_polygon_gets_a_hole_and_a_further_point(board):
    polygon = board("polygon", SQUARE)
    polygon.arm()
    for tap in [(35, 35), (65, 35), (50, 65), (35.5, 35.5)]:
        polygon.tap(*tap)
    holed = Selection.parse(polygon.field.input_value())
    assert list(holed.holes[0]) == near([(35, 35), (65, 35), (50, 65)])
    polygon.tap(50, 50)
    expect(polygon.words).to_have_text("The outline is closed. Tap inside it, or on its line.")
    polygon.tap(50, 10)
    assert polygon.points() == near([(10, 10), (50, 10), (90, 10), (90, 90), (10, 90)])


def test_a_point_is_taken_away_by_letting_it_go_on_its_neighbour(board):
    polygon = board("polygon", SQUARE)
    polygon.arm()
    polygon.drag((90, 10), (90, 89.5))
    assert polygon.points() == near([(10, 10), (90, 90), (10, 90)])
    expect(polygon.words).to_have_text("Point removed.")


def test_a_rectangle_becomes_a_polygon_once_it_is_moved(board):
    polygon = board("polygon", "xywh=percent:10,20,60,50")
    expect(polygon.handles).to_have_count(4)
    polygon.arm()
    expect(polygon.field).to_have_value("xywh=percent:10,20,60,50")
    polygon.drag((10, 20), (20, 30))
    assert polygon.points() == near([(20, 30), (70, 20), (70, 70), (10, 70)])


def test_a_crossing_is_dashed_and_said(board):
    polygon = board("polygon", SQUARE)
    crossed = polygon.page.locator(".mark-over.is-crossed")
    expect(crossed).to_have_count(0)
    polygon.arm()
    polygon.drag((90, 10), (5, 50))
    expect(crossed).to_have_count(1)
    assert crossed.evaluate("line => getComputedStyle(line).strokeDasharray") != "none"
    expect(polygon.words).to_contain_text("The outline crosses itself")
    expect(polygon.words).to_have_attribute("role", "status")
    with pytest.raises(InputError, match="may not cross or touch itself"):
        Selection.parse(polygon.field.input_value())
    polygon.drag((5, 50), (80, 20))
    expect(crossed).to_have_count(0)
    expect(polygon.words).not_to_contain_text("crosses")


def test_a_finger_scrolls_past_unless_it_is_to_mark(board, viewport):
    spot = board("spot")
    if viewport is not PHONE:
        pytest.skip("a mouse does not scroll by dragging")
    spot.arm()
    spot.drag((50, 90), (50, 30))
    assert spot.page.evaluate("scrollY") == 0
    assert spot.points() == near([(50, 30)])
    spot.toggle.click()
    expect(spot.toggle).to_have_attribute("aria-pressed", "false")
    spot.drag((50, 90), (50, -20))
    eventually(spot.page, "scrollY > 20")
    assert spot.points() == near([(50, 30)])


def test_two_fingers_leave_nothing_behind(board, viewport):
    line = board("line", "20,50 80,50")
    if viewport is not PHONE:
        pytest.skip("a mouse has one pointer")
    line.arm()
    line._finger("touchStart", line.at(40, 50))
    line._finger("touchStart", line.at(40, 50), line.at(60, 50))
    for spread in (5, 10, 20):
        line._finger("touchMove", line.at(40 - spread, 50), line.at(60 + spread, 50))
    line._finger("touchEnd")
    expect(line.field).to_have_value("20,50 80,50")


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        ("spot", "55,50.5"),
        ("line", "55,50.5 60,50.5"),
        ("corners", "55,50.5 60,50.5 65,50.5 65,55.5"),
        ("polygon", f'{OPEN}<polygon points="55,50.5 60,50.5 65,50.5 65,55.5"/></svg>'),
    ],
)
def test_the_keyboard_alone_is_enough(board, kind, value):
    marks = board(kind)
    marks.toggle.focus()
    marks.keys("Enter")
    expect(marks.layer).to_be_focused()
    expect(marks.page.locator(".mark-cross")).to_be_visible()
    marks.keys("Shift+ArrowRight", "ArrowDown")
    expect(marks.words).to_have_text("Cross at 55 across, 50.5 down")
    marks.keys("Enter")
    count = {"spot": 1, "line": 2}.get(kind, 4)
    if count > 1:
        marks.keys("Shift+ArrowRight", "Enter")
    if count > 2:
        marks.keys("Shift+ArrowRight", "Enter", "Shift+ArrowDown", "Enter")
    if kind == "polygon":
        expect(marks.page.locator(".mark-layer polygon")).to_have_count(0)
        marks.keys("Enter")
        expect(marks.page.locator(".mark-layer polygon")).to_have_count(2)
    expect(marks.field).to_have_value(value)
    marks.keys("Escape")
    expect(marks.toggle).to_be_focused()
    expect(marks.toggle).to_have_attribute("aria-pressed", "false")
    expect(marks.field).to_have_value(value)


def test_a_point_is_moved_by_keys(board):
    line = board("line", "20,50 99.7,50")
    line.arm()
    line.handles.nth(1).focus()
    line.keys("ArrowUp", "ArrowRight", "Shift+ArrowDown")
    expect(line.field).to_have_value("20,50 100,54.5")
    expect(line.words).to_have_text("Point 2 of 2, 100 across, 54.5 down")
    expect(line.handles.nth(1)).to_be_focused()
    expect(line.glass).to_be_visible()
    line.keys("Delete")
    expect(line.field).to_have_value("20,50 100,54.5")
    line.keys("Tab")
    expect(line.glass).to_be_hidden()


def test_a_point_of_a_polygon_is_deleted_by_key(board):
    polygon = board("polygon", SQUARE)
    polygon.arm()
    polygon.handles.nth(1).focus()
    polygon.keys("Delete")
    assert polygon.points() == [(10, 10), (90, 90), (10, 90)]
    expect(polygon.handles.nth(1)).to_be_focused()
    polygon.keys("Delete", "Delete", "Delete")
    expect(polygon.field).to_have_value("")
    expect(polygon.layer).to_be_focused()


def test_the_glass_shows_what_is_beneath_and_stays_clear(board):
    spot = board("spot")
    spot.arm()
    for x, y, wood in [(20, 8, (43, 29, 18)), (80, 90, (232, 217, 181))]:
        spot.press(x, y)
        spot.slide(x + 3, y)
        expect(spot.glass).to_be_visible()
        box = spot.glass.bounding_box()
        px, py = spot.at(x + 3, y)
        assert box is not None
        dx = max(box["x"] - px, 0, px - box["x"] - box["width"])
        dy = max(box["y"] - py, 0, py - box["y"] - box["height"])
        assert max(dx, dy) > 30
        assert box["x"] >= 0
        assert box["y"] >= 0
        middle = spot.glass.evaluate(
            "c => [...c.getContext('2d').getImageData(c.width * 0.6, c.height * 0.4, 1, 1).data]"
        )
        assert tuple(middle[:3]) == wood
        spot.lift()
        expect(spot.glass).to_be_hidden()


def test_no_glass_where_data_is_to_be_saved(board):
    spot = board("spot")
    spot.page.evaluate(
        "Object.defineProperty(navigator, 'connection', { value: { saveData: true } })"
    )
    spot.arm()
    spot.press(20, 20)
    spot.slide(40, 40)
    expect(spot.glass).to_have_count(0)
    spot.lift()
    assert spot.points() == near([(40, 40)])


def test_escape_puts_a_dragged_point_back(board):
    line = board("line", "20,50 80,50")
    line.arm()
    line.press(20, 50)
    line.slide(40, 20)
    assert line.points() == near([(40, 20), (80, 50)])
    line.keys("Escape")
    expect(line.field).to_have_value("20,50 80,50")
    expect(line.toggle).to_have_attribute("aria-pressed", "true")
    line.lift()


def test_what_is_typed_is_shown_and_reset_takes_it_back(board):
    line = board("line", "20,50 80,50")
    line.field.fill("10,10 30,30")
    expect(line.handles.first).to_have_attribute("aria-label", "Point 1 of 2, 10 across, 10 down")
    line.page.get_by_role("button", name="Reset").click()
    expect(line.handles.first).to_have_attribute("aria-label", "Point 1 of 2, 20 across, 50 down")
    line.field.fill("somewhere")
    expect(line.handles).to_have_count(0)


def test_a_refresh_leaves_an_unfinished_outline_unfinished(board):
    polygon = board("polygon")
    polygon.arm()
    for tap in [(10, 10), (60, 12), (55, 70)]:
        polygon.tap(*tap)
    polygon.page.evaluate("refreshed()")
    expect(polygon.toggle).to_have_attribute("aria-pressed", "true")
    polygon.tap(15, 70)
    assert polygon.points() == near([(10, 10), (60, 12), (55, 70), (15, 70)])


def test_handles_are_large_enough_for_a_finger(board):
    line = board("line", "20,50 80,50")
    line.arm()
    box = line.handles.first.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 28
    assert line.page.evaluate(
        "([x, y]) => document.elementFromPoint(x, y).className", line.at(80, 50)
    ).startswith("mark-handle")


def test_what_was_counted_is_drawn_across_the_line(board):
    line = board("line")
    shown = line.page.get_by_role("img", name="3 counted lines, marked on the picture")
    expect(shown.locator("line.mark-over.tick")).to_have_count(3)
    boxes = [tick.bounding_box() for tick in shown.locator("line.mark-over.tick").all()]
    picture = line.page.locator("[data-marks-show] img").bounding_box()
    assert picture is not None
    for box, (x, y) in zip(boxes, GRAIN["lines"], strict=True):
        assert box is not None
        assert box["x"] + box["width"] / 2 == pytest.approx(
            picture["x"] + picture["width"] * x / 100, abs=1.5
        )
        assert box["y"] + box["height"] / 2 == pytest.approx(
            picture["y"] + picture["height"] * y / 100, abs=1.5
        )
        assert box["height"] > 2 * box["width"]
