"""The picture of the demo's guitar in all its photographs against decoding these with Pillow.

A picture is the drawing and every photograph on it, cut out and brought to the colour that was
measured: cold from the photographs as they were given, warm from what was kept of that. What is
compared is the processor's time, which other programs on the machine lengthen less than the
clock's; both are printed.

Run with `python -m pytest tests/benchmarks/test_picture_speed.py -s`.
"""

import itertools
import shutil
import statistics
import time
from collections.abc import Sequence

import pytest
from PIL import Image as Pillow

from brief.api.app import create_app
from brief.services import nouns
from brief.services.drawing.drawing_files import picture_file
from brief.services.drawing.instrument_drawing import chosen, draw_instrument, fills_of
from brief.services.pairing.view_settings import Switches
from brief.services.photos.pictures import picture_at
from brief.settings import Settings
from brief.store.desk import Store
from tests.asking import TestClient

# To once decoding the ten photographs; on two cores of 2026 that is some 100 ms.
MOST_COLD, MOST_WARM, MOST_REFRESH, MOST_PNG, MOST_KEPT = 6.0, 0.4, 0.7, 15.0, 0.5
MOST_BYTES = 400_000
# With light and shadow to without: of the drawing and its photographs, and of a PNG.
MOST_SHADED, MOST_SHADED_PNG, PAIRS = 1.5, 1.5, 5


@pytest.fixture(scope="module")
def desk(demo_home):
    store = Store(demo_home)
    with store.desk() as open_desk:
        yield open_desk
    store.close()


def addresses(desk, brief) -> Sequence[str]:
    parts = nouns.parts.page(desk, brief_id=brief.id)
    fills = fills_of(desk, chosen(desk, parts), "bare").values()
    return list(dict.fromkeys(fill.picture for fill in fills if fill.picture))


@pytest.fixture(scope="module")
def decoding(desk, least):
    """What Pillow takes to decode the photographs that are on the picture."""
    (brief,) = nouns.briefs.page(desk)
    files = [desk.images.path(one.split("/")[2]) for one in addresses(desk, brief)]

    def decode():
        for file in files:
            with Pillow.open(file) as image:
                image.load()

    seconds, clock = least(decode)
    print(
        f"\n{len(files)} photographs decoded: {seconds * 1000:.0f} ms ({clock * 1000:.0f} by clock)"
    )
    return seconds


@pytest.fixture
def picture(desk):
    """Draws the front and fetches every photograph on it."""
    (brief,) = nouns.briefs.page(desk)

    def drawn():
        parts = nouns.parts.page(desk, brief_id=brief.id)
        svg = draw_instrument(desk, brief, parts, prefix="front")
        return svg, [picture_at(desk, one) for one in addresses(desk, brief)]

    return drawn


def told(what, found, decoding):
    seconds, clock = found
    print(
        f"\n{what}: {seconds * 1000:.0f} ms ({clock * 1000:.0f} by clock), "
        f"{seconds / decoding:.2f} times decoding"
    )
    return seconds / decoding


def test_cold(demo_home, picture, decoding, least):
    def forget():
        shutil.rmtree(demo_home / "images" / "renditions", ignore_errors=True)

    assert told("cold", least(picture, forget), decoding) <= MOST_COLD


def test_warm(picture, decoding, least):
    svg, textures = picture()
    assert len(textures) >= 8
    assert len(svg.encode()) <= MOST_BYTES
    assert told("warm", least(picture), decoding) <= MOST_WARM


def test_a_changed_material_is_in_the_panel(demo_home, decoding, least):
    """From the change to the instrument that the page puts in place of the old one."""
    app = create_app(Settings(home=demo_home, hosts="testserver"))
    with TestClient(app) as client:
        (brief,) = client.get("/api/briefs").json()["items"]
        rack = [one["id"] for one in client.get("/api/materials").json()["items"] if one["colour"]]
        listed = client.get(f"/api/parts?brief_id={brief['id']}").json()["items"]
        etags = {part["id"]: part["etag"] for part in listed}
        (top,) = [part["id"] for part in listed if part["role"] == "top"]
        turn = itertools.cycle(rack)

        def change():
            answer = client.patch(
                f"/api/parts/{top}",
                json={"material_id": next(turn)},
                headers={"If-Match": etags[top]},
            )
            etags[top] = answer.headers["ETag"]
            assert "<svg" in client.get(f"/briefs/{brief['id']}/panel?sheet=spec").text

        assert told("changed and drawn", least(change), decoding) <= MOST_REFRESH


def test_a_png_of_2000_pixels(demo_home, desk, decoding, least):
    (brief,) = nouns.briefs.page(desk)

    def drawn():
        return picture_file(desk, brief, "front", "png", Switches())

    def forget():
        for kept in (demo_home / "images" / "renditions").rglob("picture-*.png"):
            kept.unlink()

    assert told("png", least(drawn, forget), decoding) <= MOST_PNG
    assert told("png, kept", least(drawn), decoding) <= MOST_KEPT


def paired(plain, shaded):
    """The middle one of a few ratios, each of two runs right after each other, by processor."""
    ratios = []
    for _ in range(PAIRS):
        times = []
        for run in (plain, shaded):
            start = time.process_time()
            run()
            times.append(time.process_time() - start)
        ratios.append(times[1] / times[0])
    print(f"\nwith light and shadow: {', '.join(f'{one:.2f}' for one in sorted(ratios))} times")
    return statistics.median(ratios)


def test_light_and_shadow_add_little(demo_home, desk):
    """To the SVG that a page links, and to a PNG of 2000 pixels from nothing."""
    (brief,) = nouns.briefs.page(desk)
    parts = nouns.parts.page(desk, brief_id=brief.id)

    def linked(*, shaded):
        return lambda: draw_instrument(desk, brief, parts, prefix="front", shaded=shaded)

    def png(relief):
        def drawn():
            for kept in (demo_home / "images" / "renditions").rglob("picture-*.png"):
                kept.unlink()
            return picture_file(desk, brief, "front", "png", Switches(relief=relief))

        return drawn

    for run in (linked(shaded=True), png("on")):
        run()  # what is kept of the photographs is kept
    assert paired(linked(shaded=False), linked(shaded=True)) <= MOST_SHADED
    assert paired(png("off"), png("on")) <= MOST_SHADED_PNG
