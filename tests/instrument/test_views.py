"""The instrument from all sides."""

import re
from xml.etree import ElementTree as ET

import pytest
from shapely.geometry import Polygon, box

from brief.errors import InputError
from brief.instrument import Fill, closer, draw_picture, preset, presets, view_box
from brief.instrument.curve import number
from brief.instrument.drawing.front import MARGIN_MM
from brief.instrument.drawing.parts.neck import FRET_WIRE_MM
from brief.instrument.drawing.side import depth_at, head_long, horn_top
from brief.instrument.drawing.views import painted_parts
from brief.instrument.model.shape import shaped
from brief.instrument.outline.outlines import body_outline, head_outline

SVG = "{http://www.w3.org/2000/svg}"
KINDS = [kind for kind, _ in presets()]
FACES = ("front", "back", "side")
WALNUT = Fill("#6b4630", "/images/w/texture", "walnut", (1600, 900), (215.0, 121.0))


def fills(kind):
    return {part.role: Fill("#c98f60", "/images/a", part.role) for part in preset(kind).parts}


def drawn(kind, face, filled=None, **options):
    filled = fills(kind) if filled is None else filled
    return draw_picture(preset(kind), filled, face, **{"prefix": "p", **options})


def parts_of(root):
    return {one.get("data-role") for one in root.iter(f"{SVG}g")} - {None}


@pytest.mark.parametrize("kind", KINDS)
def test_what_the_headplate_is_painted_in_lies_just_round_it(kind):
    """Beyond its tile a pattern begins anew, at an edge of the piece (SVG 2, 14.3)."""
    one = preset(kind)
    left, top, width, height = painted_parts(one, fills(kind), "front")["headplate"].box
    bounds = Polygon(head_outline(one)).bounds
    assert (left, top, left + width, top + height) == pytest.approx(bounds, abs=0.01)


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_drawn_from_every_side_and_close(kind, face):
    found = list(closer(preset(kind), face))
    assert found
    for close in found:
        text = drawn(kind, face, close=close)
        root = ET.fromstring(text)
        assert len(text.encode()) < 60_000
        assert not [e for e in root.iter() if "style" in e.attrib]
        idents = re.findall(r'\bid="([^"]+)"', text)
        assert len(idents) == len(set(idents))
        assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(idents)


@pytest.mark.parametrize("kind", KINDS)
def test_each_side_shows_its_own_parts(kind):
    assert parts_of(ET.fromstring(drawn(kind, "back"))) == {
        *("back", "purfling", "binding", "neck", "tuners")
    }
    side = parts_of(ET.fromstring(drawn(kind, "side")))
    assert {"sides", "neck", "fretboard", "headplate", "bridge"} <= side
    assert not {"top", "back", "rosette"} & side


@pytest.mark.parametrize("kind", KINDS)
def test_all_sides_are_shown_at_one_height_so_that_they_are_in_proportion(kind):
    heights = {closer(preset(kind), face)["whole"][1::2] for face in FACES}
    assert heights == {view_box(preset(kind), "whole")[1::2]}


@pytest.mark.parametrize("kind", KINDS)
def test_the_side_is_as_deep_and_as_long_as_the_numbers_say(kind):
    one = preset(kind)
    sides = ET.fromstring(drawn(kind, "side")).find(f".//{SVG}g[@data-role='sides']")
    run = [
        tuple(map(float, pair.split()))
        for pair in sides.find(f"{SVG}path").get("d")[1:-1].split("L")
    ]
    assert run == [
        (0, 0),
        (pytest.approx(one.side_neck_mm, abs=0.1), 0),
        (pytest.approx(one.side_tail_mm, abs=0.1), pytest.approx(one.body_mm, abs=0.1)),
        (0, pytest.approx(one.body_mm, abs=0.1)),
    ]
    assert depth_at(one, one.body_mm / 2) == pytest.approx(
        (one.side_neck_mm + one.side_tail_mm) / 2
    )


@pytest.mark.parametrize("kind", KINDS)
def test_neck_head_and_heel_are_one_piece_from_the_side_and_every_wire_shows(kind):
    one = preset(kind)
    root = ET.fromstring(drawn(kind, "side"))
    (neck,) = (g for g in root.iter(f"{SVG}g") if g.get("data-role") == "neck")
    (shape,) = neck.findall(f"{SVG}path")
    ends = [float(y) for y in re.findall(r"[ML]-?[\d.]+ (-?[\d.]+)", shape.get("d"))]
    top = closer(one, "side")["head"][1]
    assert min(ends) == pytest.approx(top + MARGIN_MM, abs=0.03 * head_long(one) + 0.1)
    (wires,) = (
        p.get("d") for p in root.iter(f"{SVG}path") if p.get("stroke-width") == number(FRET_WIRE_MM)
    )
    heights = [float(y) for y in re.findall(r"M-?[\d.]+ (-?[\d.]+)h", wires)]
    board = one.fretboard
    assert heights == pytest.approx(
        [one.nut_y + board.fret_mm(fret) for fret in range(1, one.frets + 1)], abs=0.06
    )


@pytest.mark.parametrize("rounding", [0, 20])
def test_a_cutaway_shows_from_the_side_by_the_top_of_its_horn(rounding):
    """Against shapely: of the body, what lies farther out than the scoop comes no nearer."""
    cut = {"cutaway_depth_mm": 70, "cutaway_length_mm": 100, "cutaway_round_mm": rounding}
    one = shaped(preset("auditorium-steel-string"), cut)
    out = Polygon(body_outline(one)).intersection(box(117, 0, 300, 500))
    assert horn_top(one) == pytest.approx(out.bounds[1], abs=0.2)
    text = draw_picture(one, {}, "side", prefix="p")
    assert f"M0 {number(horn_top(one))}H" in text
    assert "recess" in draw_picture(one, fills("auditorium-steel-string"), "side", prefix="p")


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_drawn_lies_within_what_is_shown(kind):
    one = preset(kind)
    for face in ("back", "side"):
        x, y, width, height = closer(one, face)["whole"]
        text = drawn(kind, face)
        found = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", text)
        assert found
        for a, b in found:
            assert x <= float(a) <= x + width
            assert y <= float(b) <= y + height


def test_the_back_is_book_matched_and_its_bands_follow_the_outline():
    root = ET.fromstring(drawn("classical", "back", {"back": WALNUT}))
    halves = root.find(f".//{SVG}pattern[@id='p-back']").findall(f"{SVG}rect")[1:]
    assert [one.get("transform", "")[-11:] for one in halves] == ["", "scale(-1 1)"]
    assert root.get("aria-label") == (
        "Back of the instrument: back walnut; purfling, binding, neck, tuners still open"
    )


def test_a_side_that_turns_away_lies_in_shade():
    root = ET.fromstring(drawn("parlour-steel-string", "side"))
    shade = root.find(f".//{SVG}linearGradient[@id='p-bend']").findall(f"{SVG}stop")
    dark = [float(stop.get("stop-opacity")) for stop in shade]
    # The ends turn right away; at the widest of the lower bout, 77 % down, the side faces the eye.
    assert min(dark[0], dark[-1]) > 0.4
    assert max(dark) in (dark[0], dark[-1])
    # Between the waist and the lower bout it turns away to some 30 degrees: 1 - cos 30 is 0.13.
    assert 0.05 < dark[round(0.58 * (len(dark) - 1))] < 0.2
    assert dark[round(0.77 * (len(dark) - 1))] < 0.01


def test_what_there_is_not_is_refused():
    with pytest.raises(InputError, match="front, back, side; got “below”"):
        drawn("classical", "below")
    with pytest.raises(InputError, match="whole, body, head, heel; got “rosette”"):
        drawn("classical", "back", close="rosette")
