"""Where parts are cut out of the pictures of the instrument.

Checked against the pictures themselves: resvg, which knows nothing of how they were drawn, paints
one part red, and red must be in the middle of what is cut out.
"""

import io
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from brief.instrument import Fill, closer, draw_picture, part_place, preset, presets
from brief.instrument.drawing.parts.inlay_drawing import Inlaid
from brief.instrument.rendering.raster import as_png

KINDS = [kind for kind, _ in presets()]
PX = 160


def red_share(made, role, place, inlays=()):
    """How much of the place is of that part, 0 to 1."""
    face, box = place
    fills = {part.role: Fill("#00ff00", None, part.role) for part in made.parts}
    fills |= {role: Fill("#ff0000", None, role)}
    svg = draw_picture(made, fills, face, prefix="p", box=box, inlays=inlays)
    pixels = np.asarray(Image.open(io.BytesIO(as_png(svg, height_px=PX))).convert("RGB"), float)
    red = (pixels[..., 0] > 120) & (pixels[..., 1] < 100) & (pixels[..., 2] < 100)
    return red.mean()


@pytest.mark.parametrize("kind", KINDS)
def test_every_part_of_a_kind_is_in_what_is_cut_out_for_it(kind):
    made = preset(kind)
    for part in made.parts:
        place = part_place(made, part.role)
        if part.role == "tailpiece" and made.bridge.hold != "tailpiece":
            assert place is None
            continue
        assert place is not None, part.role
        # Of a nut a fiftieth, of a top most of it; of nothing, nothing.
        assert red_share(made, part.role, place) > 0.015, part.role


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_cut_out_is_of_the_picture(kind):
    made = preset(kind)
    for part in made.parts:
        place = part_place(made, part.role)
        if place is None:
            continue
        face, (x, y, width, height) = place
        left, top, wide, high = closer(made, face)["whole"]
        assert left < x + width / 2 < left + wide, part.role
        assert top < y + height / 2 < top + high, part.role


def test_a_line_along_the_edge_is_shown_close_and_a_top_whole():
    made = preset("parlour-steel-string")
    assert part_place(made, "purfling")[1][2] < 40
    assert part_place(made, "top")[1][2] == made.width_mm


def test_the_makers_own_inlay_is_shown_where_it_is():
    made = preset("parlour-steel-string")
    own = Inlaid("star", "Star", "headplate", "M-4 -360h8v8h-8Z", (-4.0, -360.0, 8.0, 8.0))
    face, (x, y, width, height) = part_place(made, "star", [own])
    assert face == "front"
    assert (x + width / 2, y + height / 2) == (0.0, -356.0)
    assert red_share(made, "star", (face, (x, y, width, height)), [own]) > 0.01


def test_usual_marks_that_own_inlays_replace_are_nowhere():
    made = preset("parlour-steel-string")
    own = Inlaid("bird", "Bird", "fretboard", "M-4 -60h8v8h-8Z", (-4.0, -60.0, 8.0, 8.0))
    assert part_place(made, "inlay", [own]) is None
    assert part_place(made, "inlay") is not None


def test_a_part_that_no_face_shows_has_no_place():
    assert part_place(preset("parlour-steel-string"), "heel cap") is None


def test_a_picture_can_be_shown_in_pieces_by_its_id():
    """By `use`, SVG 2: the root has the prefix as its id."""
    root = ET.fromstring(draw_picture(preset("classical"), {}, "back", prefix="whole-back"))
    assert root.get("id") == "whole-back"
