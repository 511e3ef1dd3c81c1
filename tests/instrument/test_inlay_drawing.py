"""Inlays on the picture of the front, read back as XML."""

from xml.etree import ElementTree as ET

import pytest

from brief.instrument import Fill, draw_front, preset
from brief.instrument.drawing.parts.inlay_drawing import close_box, draw_design
from brief.instrument.inlay.design import dot, shape_of
from brief.instrument.inlay.places import inlaid, laid_out
from brief.instrument.inlay.spots import Place

SVG = "{http://www.w3.org/2000/svg}"
PARLOUR = preset("parlour-steel-string")
SHELL, BRASS = Fill("#e2e1da", "/images/2a/texture", "shell"), Fill("#b8893b", None, "brass")


def inlay(place, role="inlay", name="Curlew", width=6):
    copies = laid_out(PARLOUR, shape_of(dot().path, width), place)
    return inlaid(role, name, place.lies_on, copies)


def front(*inlays, **more):
    fills = {"inlay": SHELL, "bill": BRASS}
    options = {"title": "Front", "prefix": "f", "inlays": inlays, **more}
    return ET.fromstring(draw_front(PARLOUR, fills, **options))


def groups(root, role):
    return root.findall(f".//{SVG}g[@data-role='{role}']")


def test_an_inlay_shows_in_its_own_material_at_its_place():
    root = front(inlay(Place("fretboard", frets=(5, 7))))
    (group,) = groups(root, "inlay")
    (shape,) = group.findall(f"{SVG}path")
    assert shape.get("fill") == "url(#f-inlay)"
    assert shape.get("d").count("M") == 2
    x, y, width, height = inlay(Place("fretboard", frets=(5, 7))).box
    assert (x, width) == pytest.approx((-3, 6), abs=0.01)
    board = PARLOUR.fretboard
    middles = [(board.fret_mm(n - 1) + board.fret_mm(n)) / 2 + PARLOUR.nut_y for n in (5, 7)]
    assert (y, y + height) == pytest.approx((middles[0] - 3, middles[1] + 3), abs=0.01)


def test_the_usual_marks_stay_until_something_lies_on_the_fretboard():
    elsewhere = front(inlay(Place("headplate", along_mm=20)))
    assert elsewhere.findall(f".//{SVG}g[@data-role='inlay']/{SVG}path[@d]")
    assert len(groups(elsewhere, "inlay")) == 2
    here = front(inlay(Place("fretboard", frets=(12,))), inlay(Place("bridge", across_mm=60)))
    assert len(groups(here, "inlay")) == 2
    assert not groups(here, "bill")


def test_one_material_lies_on_the_sheet_once():
    root = front(inlay(Place("fretboard", frets=(12,))), inlay(Place("bridge", across_mm=60)))
    ids = [one.get("id") for one in root.iter() if one.get("id")]
    assert len(ids) == len(set(ids))


def test_frets_and_strings_run_over_it_and_the_board_under_it():
    root = front(inlay(Place("fretboard", frets=(12,))), inlay(Place("rosette"), role="bill"))
    order = [one.get("data-role") or one.get("class") for one in root.iter(f"{SVG}g")]
    assert order.index("fretboard") < order.index("inlay") < order.index("frets")
    assert order.index("rosette") < order.index("bill") < order.index("fretboard")


def test_a_part_that_is_no_part_of_the_kind_is_named_to_those_who_do_not_see():
    root = front(inlay(Place("fretboard", frets=(12,)), role="bill", name="Bill"))
    assert "bill brass" in root.get("aria-label")


def test_any_box_can_be_looked_at_closely():
    box = close_box(inlay(Place("fretboard", frets=(12,))).box)
    assert box[2] / box[3] == pytest.approx(1.5)
    root = front(view=box)
    assert [float(v) for v in root.get("viewBox").split()] == pytest.approx(box, abs=0.06)


def test_a_design_alone_rings_its_narrow_places_and_shows_ten_millimetres():
    root = ET.fromstring(draw_design("M0 0L4 0L4 3Z", (4.0, 3.0), [((1.0, 0.5), 0.6)], 'a "b"<'))
    assert root.get("aria-label") == 'a "b"<'
    (ring,) = root.findall(f"{SVG}circle")
    assert (ring.get("cx"), ring.get("cy")) == ("1.00", "0.50")
    assert "h10.0" in root.findall(f"{SVG}path")[1].get("d")
    assert root.find(f"{SVG}text").text == "10 mm"
