"""A piece is measured on its page: by white paper, outlined, counted, compared, and read.

The board is drawn from known ring widths and lies on white paper under a warm lamp.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from brief.colour import delta_e_2000, linear_to_srgb, srgb_to_lab, srgb_to_linear
from brief.photo import Selection
from tests.browser.conftest import PHONE
from tests.browser.test_every_page import must_hold
from tests.photo.rendered_wood import Board

BOARD = Board(ring_mm=2.0, px_per_mm=8.0, size=(900, 500), seed=4)
PICTURE = (1200, 500)  # the board and, to its right, the paper
PAPER = 0.85  # of the light
LAMP = np.array([1.0, 0.78, 0.52]) * 0.8  # warm, and a little dark
LINE = ((5, 50), (70, 50))  # percent of the picture, across the rings
LENGTH = ((5, 20), (65, 20))  # 90 mm on the wood


def shot(path: Path, oiled: float = 1.0, *, grey: bool = False) -> Path:
    """The photograph; `oiled` is how much of its light the wood still gives back. grey : the lower
    half of the paper is a grey card.
    """
    linear = np.full((PICTURE[1], PICTURE[0], 3), PAPER)
    if grey:
        linear[PICTURE[1] // 2 :] = 0.18
    linear[:, : BOARD.size[0]] = srgb_to_linear(BOARD.photograph() / 255) * oiled
    levels = linear_to_srgb(linear * LAMP) * 255
    levels += np.random.default_rng(0).normal(0, 1.5, levels.shape)
    Image.fromarray(np.clip(np.rint(levels), 0, 255).astype(np.uint8)).save(path)
    return path


class Hand:
    """A finger on the phone, a mouse on the desktop; places are percent of a picture."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.touch = page.viewport_size == PHONE
        self._cdp = page.context.new_cdp_session(page)

    def press(self, button: Locator) -> None:
        """By a click on a phone, too: a busy machine makes a tap a long press, which is none."""
        button.click()

    def tap(self, picture: Locator, *places: tuple[float, float]) -> None:
        for place in places:
            at = self._at(picture, place)
            self.page.touchscreen.tap(*at) if self.touch else self.page.mouse.click(*at)

    def drag(self, picture: Locator, start: tuple[float, float], end: tuple[float, float]) -> None:
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        first, *rest = (self._at(picture, place) for place in (start, middle, end))
        if not self.touch:
            self.page.mouse.move(*first)
            self.page.mouse.down()
            for at in rest:
                self.page.mouse.move(*at)
            self.page.mouse.up()
            return
        for kind, at in zip(("touchStart", "touchMove", "touchMove"), (first, *rest), strict=True):
            self._finger(kind, at)
        self._finger("touchEnd")
        # Chromium takes a tap within 300 ms for part of the same gesture; no finger is so quick.
        # They count from when the page has had the finger's end, which a busy machine delays.
        self.page.evaluate("new Promise(done => requestAnimationFrame(() => setTimeout(done)))")
        self.page.wait_for_timeout(400)

    def _at(self, picture: Locator, place: tuple[float, float]) -> tuple[float, float]:
        box = picture.bounding_box()
        assert box is not None
        return box["x"] + box["width"] * place[0] / 100, box["y"] + box["height"] * place[1] / 100

    def _finger(self, kind: str, *points: tuple[float, float]) -> None:
        touches = [{"x": x, "y": y} for x, y in points]
        self._cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})


class PiecePage:
    """The page of one piece, and what is asked of the API beside it."""

    def __init__(self, page: Page, url: str) -> None:
        self.page, self.hand, self.api = page, Hand(page), f"{url}/api"
        brief = page.request.post(f"{self.api}/briefs", data={"title": "Marsh"}).json()
        piece = page.request.post(f"{self.api}/materials", data={"label": "cedar"}).json()
        self.piece_id = piece["id"]
        self.address = f"{url}/briefs/{brief['id']}/timber/{piece['id']}"
        page.goto(self.address)

    def add(self, *files: Path) -> None:
        before = self.page.locator("article.plate").count()
        self.page.locator("#add-photographs-files").set_input_files(list(files))
        expect(self.page.locator("article.plate")).to_have_count(before + len(files))

    def photographs(self) -> list[dict]:
        listed = f"{self.api}/photographs?material_id={self.piece_id}"
        return self.page.request.get(listed).json()["items"]

    def piece(self) -> dict:
        return self.page.request.get(f"{self.api}/materials/{self.piece_id}").json()

    def plate(self, nth: int = 0) -> Locator:
        return self.page.locator("article.plate").nth(nth)

    def open(self, label: str, nth: int = 0) -> Locator:
        """Open a fold of a photograph; what it holds."""
        fold = self.plate(nth).locator("details.fold", has_text=label).first
        self.hand.press(fold.locator("summary").first)
        expect(fold.locator("form").first).to_be_visible()
        return fold

    def mark(self, fold: Locator, button: str, *places: tuple[float, float]) -> None:
        """Tap places on the picture that the button is for, and put the marking away again."""
        toggle = fold.get_by_role("button", name=button)
        near = self.page.get_by_role(
            "button", name=button
        )  # a locator of its own: `has` starts anew
        picture = fold.locator(".wide", has=near).locator(".pick img")
        self.hand.press(toggle)
        expect(toggle).to_have_attribute("aria-pressed", "true")
        self.page.wait_for_timeout(600)  # the page glides to the picture by itself
        picture.evaluate("picture => picture.scrollIntoView({block: 'center'})")
        self.hand.tap(picture, *places)
        self.hand.press(toggle)
        expect(toggle).to_have_attribute("aria-pressed", "false")

    def draw(
        self, fold: Locator, button: str, start: tuple[float, float], end: tuple[float, float]
    ) -> None:
        """Draw a rectangle on the picture that the button is for."""
        toggle = fold.get_by_role("button", name=button)
        self.hand.press(toggle)
        self.page.wait_for_timeout(600)  # the page glides to the picture by itself
        near = self.page.get_by_role("button", name=button)
        picture = fold.locator("div.wide", has=near).locator(".pick img")
        picture.evaluate("picture => picture.scrollIntoView({block: 'center'})")
        self.hand.drag(picture, start, end)

    def by_paper(self, nth: int = 0) -> None:
        fold = self.open("Grey card or white paper", nth)
        self.draw(fold, "Draw on the photo", (80, 20), (96, 80))
        fold.get_by_label("Kind").select_option("white paper")
        self.hand.press(fold.get_by_role("button", name="Correct by the card"))
        expect(self.plate(nth)).to_contain_text("Corrected by the white paper in the shot.")


@pytest.fixture
def on_page(served, page, tmp_path):
    opened = PiecePage(page, served.url)
    opened.add(shot(tmp_path / "cedar.png"))
    return opened


def test_white_paper_corrects_and_an_outline_keeps_to_the_wood(on_page) -> None:
    plate = on_page.plate()
    expect(plate).to_contain_text("Not corrected")
    expect(on_page.page.locator("#piece-colour")).to_contain_text("from 1 photograph as shot")
    on_page.by_paper()
    expect(plate).to_contain_text("The chart or card is left out.")
    expect(on_page.page.locator("#piece-colour")).to_contain_text("from 1 corrected photograph")

    fold = on_page.open("Choose the area")
    corners = [(4, 8), (70, 8), (70, 90), (4, 90)]
    on_page.mark(fold, "Outline the wood", *corners, corners[0])
    on_page.hand.press(fold.get_by_role("button", name="Measure"))
    expect(plate).to_contain_text("Measured inside your outline.")
    (photograph,) = on_page.photographs()
    drawn = Selection.parse(photograph["selections"][0])
    np.testing.assert_allclose(drawn.outline, corners, atol=1.5)
    inside = srgb_to_linear(BOARD.photograph()[40:450, 48:840] / 255).mean(axis=(0, 1))
    true = srgb_to_lab(linear_to_srgb(inside))
    off = float(delta_e_2000(photograph["colour"]["lab"], true))
    assert off < photograph["colour"]["uncertainty"] < 16
    as_shot = srgb_to_lab(linear_to_srgb(inside * LAMP))
    # The picture has no tone curve, so undoing a typical one costs some of what paper gains.
    assert off < float(delta_e_2000(as_shot, true)) / 2
    notation = on_page.page.locator("#piece-colour .notation")
    notation.scroll_into_view_if_needed()  # Munsell is asked for once it is looked at
    expect(notation).to_contain_text("Munsell")


def test_a_second_card_is_drawn_and_what_is_wrong_with_it_said_beside_it(on_page, tmp_path) -> None:
    page = on_page.page
    page.expected_errors = ["422"]
    on_page.add(shot(tmp_path / "two.png", grey=True))
    plate, fold = on_page.plate(1), on_page.open("Grey card or white paper", 1)
    on_page.draw(fold, "Draw on the photo", (80, 8), (96, 40))
    on_page.hand.press(fold.locator("summary", has_text="Second card"))
    on_page.draw(fold, "Draw second card", (80, 60), (96, 92))
    submit = fold.get_by_role("button", name="Correct by the card")
    on_page.hand.press(submit)
    expect(fold.locator(".fault")).to_have_text(
        "Choose what the second card is, or clear its area."
    )
    second = fold.get_by_label("Second card", exact=True)
    expect(second).to_be_focused()
    second.select_option("white card 90 %")
    on_page.hand.press(submit)
    expect(fold.locator(".fault")).to_contain_text("only if one is grey and the other white")
    drawn = fold.get_by_label("Area of the second card")
    expect(drawn).not_to_have_value("")
    second.select_option("grey card 18 %")
    on_page.hand.press(submit)
    expect(plate).to_contain_text(
        "Corrected by the white paper and the grey card 18 % in the shot, which show the camera’s "
        "tone curve."
    )
    correction = on_page.photographs()[1]["correction"]
    assert correction["second_card"] == "grey card 18 %"
    x, y, w, h = (float(one) for one in correction["second_card_region"].split(":")[1].split(","))
    assert (x, y, w, h) == pytest.approx((80, 60, 16, 32), abs=1.5)
    # It is found open again, and goes once it is cleared.
    fold = on_page.open("Grey card or white paper", 1)
    expect(fold.get_by_label("Second card", exact=True)).to_have_value("grey card 18 %")
    fold.get_by_label("Second card", exact=True).select_option("")
    on_page.hand.press(fold.get_by_role("button", name="Clear second card"))
    on_page.hand.press(fold.get_by_role("button", name="Correct by the card"))
    expect(plate).to_contain_text("Corrected by the white paper in the shot.")
    must_hold(page, on_page.address)


def test_the_light_is_chosen_where_the_photograph_says_that_it_is_not_known(on_page) -> None:
    plate = on_page.plate()
    on_page.hand.press(plate.get_by_role("link", name="Choose the light"))
    fold = plate.locator("details.fold", has_text="Daylight or lamp")  # which that opens
    light = fold.get_by_label("Light", exact=True)
    expect(light).to_have_value("not known")
    light.select_option("lamp")
    on_page.hand.press(fold.get_by_role("button", name="Save light"))
    expect(plate).to_contain_text("no chart or card is used. It was taken by a lamp.")
    expect(plate.get_by_role("link", name="Choose the light")).to_have_count(0)
    must_hold(on_page.page, on_page.address)


def test_a_second_card_is_drawn_by_keys_alone(on_page) -> None:
    page = on_page.page
    fold = on_page.open("Grey card or white paper")
    fold.locator("summary", has_text="Second card").focus()
    page.keyboard.press("Enter")
    fold.get_by_role("button", name="Draw second card").focus()
    page.keyboard.press("Enter")
    second = fold.get_by_label("Area of the second card")
    expect(second).to_have_value("25, 25, 50, 50")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowUp")
    expect(second).to_have_value("26, 25, 50, 49")
    expect(fold.get_by_label("Area", exact=True)).to_have_value("")
    page.keyboard.press("Delete")
    expect(second).to_have_value("")
    expect(fold.get_by_role("button", name="Draw second card")).to_be_focused()


def test_the_grain_is_counted_to_the_centimetre_and_ticked(on_page) -> None:
    plate = on_page.plate()
    fold = on_page.open("Count the grain")
    on_page.mark(fold, "Mark a line across the grain", *LINE)
    on_page.hand.press(fold.get_by_role("button", name="Count"))
    expect(plate).to_contain_text("grain lines; each is marked on the picture")
    size = on_page.open("Its size")
    on_page.mark(size, "Mark a known length", *LENGTH)
    size.get_by_label("Known length (mm)").fill("90,0")
    on_page.hand.press(size.get_by_role("button", name="Save the size"))
    expect(plate).to_contain_text("per centimetre; each is marked on the picture")
    grain = on_page.photographs()[0]["grain"]
    on_board = [(x * PICTURE[0] / BOARD.size[0], y) for x, y in LINE]
    drawn = BOARD.ring_ends_between(*on_board)
    assert grain["count"] == pytest.approx(len(drawn), abs=2)
    assert abs(grain["per_cm"] - 10 / np.diff(drawn).mean()) < grain["per_cm_error"]
    expect(plate).to_contain_text(f"{grain['count']} grain lines, {grain['per_cm']:.1f} ±")
    expect(plate.get_by_label(f"{grain['count']} counted lines")).to_be_visible()


def test_before_and_after_are_compared_and_only_bare_wood_counts(on_page, tmp_path) -> None:
    bare = on_page.piece()["colour"]["lab"]
    on_page.add(shot(tmp_path / "oiled.png", oiled=0.55))
    second = on_page.plate(1)
    expect(second.locator("h3")).to_have_text("State of the wood?")
    assert on_page.piece()["colour"]["lab"] == pytest.approx(bare)  # not counted until told
    on_page.hand.press(second.get_by_role("button", name="Finished", exact=True))
    expect(second.locator("h3")).to_have_text("Finished")
    fold = on_page.open("State of the wood", nth=1)
    fold.get_by_role("textbox", name="Finish").fill("tung oil")
    on_page.hand.press(fold.get_by_role("button", name="Save"))
    expect(on_page.plate(1).locator("h3")).to_have_text("Tung oil")
    expect(on_page.page.locator("#piece-colour")).to_contain_text("from 1 photograph as shot")
    assert on_page.piece()["colour"]["lab"] == pytest.approx(bare)

    tests = on_page.page.locator("#finish-tests")
    on_page.hand.press(tests.locator("summary", has_text="Compare before and after"))
    tests.get_by_role("textbox", name="Finish").fill("tung oil, two coats")
    tests.get_by_label("Before").select_option(index=0)
    tests.get_by_label("After").select_option(index=1)
    on_page.hand.press(tests.get_by_role("button", name="Compare", exact=True))
    shown = tests.locator("li", has_text="tung oil, two coats")
    expect(shown).to_contain_text("changes it by")
    expect(shown).to_contain_text("darker")


def test_a_reading_is_typed_and_a_wrong_one_said_beside_it(on_page) -> None:
    page = on_page.page
    page.expected_errors = ["422"]
    field = page.get_by_label("Colour-meter reading")
    field.fill("about brown")
    on_page.hand.press(page.get_by_role("button", name="Save the reading"))
    expect(page.locator("#reading-form .fault")).to_contain_text("not a colour")
    field.fill("Lab 48.2 9.1 25.4 D50/10")
    on_page.hand.press(page.get_by_role("button", name="Save the reading"))
    colour = page.locator("#piece-colour")
    expect(colour).to_contain_text(
        "from a reading and 1 photograph as shot; the sources differ by up to"
    )
    expect(field).to_have_value("Lab 48.2 9.1 25.4 D50/10")


def test_what_is_missing_is_said_beside_its_field_and_what_was_marked_stays(on_page) -> None:
    on_page.page.expected_errors = ["422"]
    fold = on_page.open("Count the grain")
    on_page.mark(fold, "Mark a line across the grain", (20, 50))
    on_page.hand.press(fold.get_by_role("button", name="Count"))
    expect(fold.locator(".fault")).to_contain_text("It takes 2 points")
    expect(fold.get_by_label("Ends of the line")).not_to_have_value("")
    fold = on_page.open("Colour chart")
    on_page.hand.press(fold.get_by_role("button", name="Correct by the chart"))
    expect(fold).to_contain_text("No colour chart was found in this photograph")


def test_the_page_fits_and_can_be_read_whatever_is_on_it(on_page, tmp_path) -> None:
    on_page.add(shot(tmp_path / "oiled.png", oiled=0.55))
    on_page.by_paper()
    first, second = (one["id"] for one in on_page.photographs())
    line = {"grain_line": "5,50 70,50", "finish": "Bogoakmotherofpearl" * 10}
    at = f"{on_page.api}/photographs/{first}"
    answer = on_page.page.request.patch(at, data=line, headers={"If-Match": "*"})
    assert answer.json()["grain"]["count"]
    test = {"material_id": on_page.piece_id, "before_id": first, "after_id": second}
    made = on_page.page.request.post(
        f"{on_page.api}/finish-tests", data={**test, "name": "Bogoakmotherofpearl" * 10}
    )
    assert made.ok
    must_hold(on_page.page, on_page.address)
