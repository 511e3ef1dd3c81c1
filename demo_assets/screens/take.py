"""One picture of the running demo, and the words that can be read in it."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps

FOLDER = Path(__file__).resolve().parent
SCALE = 2  # pixels of a picture to a pixel of the page: sharp on most screens, and still small
QUALITY = 72
MARGIN_PX = 20  # of the page's own colour round a part, in pixels of the page
THUMB_PX = 24  # both sides of what two pictures are compared by: layout and colour, no letters

# A text is read in a picture if all of it is in the frame; what a closed fold holds has no place.
WORDS = """frame => {
  const texts = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const range = document.createRange();
    range.selectNodeContents(walker.currentNode);
    const boxes = [...range.getClientRects()].filter(box => box.width > 0 && box.height > 0);
    const shown = walker.currentNode.parentElement.checkVisibility({visibilityProperty: true});
    if (shown && boxes.length && boxes.every(box =>
        box.top >= frame.y && box.bottom <= frame.y + frame.height &&
        box.left >= frame.x && box.right <= frame.x + frame.width))
      texts.push(walker.currentNode.textContent.replace(/\\s+/g, " ").trim());
  }
  return texts.filter(text => text);
}"""
# How wide the page's two faces run on this computer: other fonts break other lines.
LETTERS = """() => ["body", "h1"].map(place => {
  const pen = document.createElement("canvas").getContext("2d");
  pen.font = "40px " + getComputedStyle(document.querySelector(place)).fontFamily;
  return pen.measureText("Saltmarsh, first light 0123").width.toFixed(1);
}).join(" ")"""
LOADED = """part => [...part.querySelectorAll("img, image")].every(
  one => one.complete === undefined || (one.complete && one.naturalWidth > 0))"""


@dataclass(frozen=True)
class Screen:
    """A part of a sheet of the demo.

    part : a CSS selector of what is in the picture, with `having` among its text; without one the
        picture is the window as the sheet opens
    width, height : of the window, in pixels of the page
    """

    name: str
    sheet: str
    width: int
    height: int
    part: str = ""
    having: str = ""


SCREENS = (
    Screen("theme", "theme", 1280, 520),
    Screen("references", "references", 1280, 640),
    Screen("pairing", "pairings", 1280, 720),
    Screen("spec", "spec", 1280, 670),
    Screen("inlay", "inlay", 1000, 900, "li.inlay-row", "Curlew, standing"),
    Screen("studio", "studio", 900, 900, ".studio-picture", "Turned a little"),
    Screen("bench", "bench", 390, 700),
)


@dataclass(frozen=True)
class Taken:
    """A picture and the texts that are in it, from top to bottom, and all those of its sheet.

    letters : the widths of the fonts that it is set in
    """

    picture: Image.Image
    texts: tuple[str, ...]
    letters: str
    on_the_sheet: str


def take(browser: Any, url: str, brief_id: str, screen: Screen) -> Taken:
    """The picture of a screen, of the demo that is served at `url`.

    browser : Playwright's, of its synchronous API
    """
    context = browser.new_context(
        viewport={"width": screen.width, "height": screen.height},
        device_scale_factor=SCALE,
        reduced_motion="reduce",
        locale="en-GB",
    )
    try:
        page = context.new_page()
        page.set_default_timeout(120_000)  # a busy machine
        page.goto(f"{url}/briefs/{brief_id}/{screen.sheet}")
        page.wait_for_load_state("networkidle")
        part = page.locator(screen.part or "body").filter(has_text=screen.having).first
        if screen.part:
            part.scroll_into_view_if_needed()
            _load_pictures(page, part)
            shot = _with_margin(part.screenshot())
            frame = part.bounding_box()
        else:
            shot = _opened(page.screenshot())
            frame = {"x": 0, "y": 0, "width": screen.width, "height": screen.height}
        texts = page.evaluate(WORDS, frame)
        return Taken(shot, tuple(texts), page.evaluate(LETTERS), page.inner_text("body"))
    finally:
        context.close()


def _load_pictures(page: Any, part: Any) -> None:
    """What is fetched only when it comes into view is brought there, and waited for."""
    for image in part.locator("img").all():
        image.scroll_into_view_if_needed()
    page.wait_for_load_state("networkidle")
    page.wait_for_function(LOADED, arg=part.element_handle())


def _opened(shot: bytes) -> Image.Image:
    return Image.open(io.BytesIO(shot)).convert("RGB")


def _with_margin(shot: bytes) -> Image.Image:
    picture = _opened(shot)
    ground = picture.getpixel((picture.width - 1, picture.height // 2))
    return ImageOps.expand(picture, MARGIN_PX * SCALE, fill=ground)


def picture_file(name: str) -> Path:
    """Where the picture of a screen is kept."""
    return FOLDER / f"{name}.webp"


def words_file(name: str) -> Path:
    """The widths of its letters; below, the texts of a picture, one on each line."""
    return FOLDER / f"{name}.txt"


def keep(name: str, taken: Taken) -> None:
    """Write a picture and, beside it, its words."""
    taken.picture.save(picture_file(name), "WEBP", quality=QUALITY, method=6)
    words_file(name).write_text("\n".join([taken.letters, *taken.texts]) + "\n", encoding="utf-8")


def difference(one: Image.Image, other: Image.Image) -> float:
    """How far two pictures differ when shrunk to a thumbnail: the worst of its cells, 0 to 255.

    Letters and the edges of things are averaged away, so that another font or another browser
    counts for little; a thing that moved, came or changed its colour counts in full.
    """
    first, second = (
        np.asarray(picture.convert("RGB").resize((THUMB_PX, THUMB_PX), Image.Resampling.BOX), float)
        for picture in (one, other)
    )
    return float(np.abs(first - second).mean(axis=2).max())
