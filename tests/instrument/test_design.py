"""Inlay designs against shapes known by construction, closed formulas, and other ways to measure:
offsets inwards (GEOS) and the medial axis on a raster (scikit-image)."""

import io
import math
import time

import numpy as np
import pytest
import shapely
from PIL import Image
from skimage.draw import polygon2mask
from skimage.morphology import medial_axis

from brief.errors import InputError
from brief.instrument.inlay.design import read_design, shape_of
from brief.instrument.inlay.measures import measure
from brief.instrument.inlay.polygons import path_of

S_CURVE = "M5 5 C 25 5 5 25 25 25 S 45 45 50 30"
STROKE = 'fill="none" stroke="black" stroke-width="0.7"'
HAIR = 'fill="none" stroke="black" stroke-width="0.1"'


def svg(inside, **more):
    given = {"width": "60mm", "height": "60mm", "viewBox": "0 0 60 60"} | more
    attributes = " ".join(f'{name}="{value}"' for name, value in given.items())
    return f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{inside}</svg>'


def shape(inside, width_mm=None):
    design = read_design(svg(inside) if inside.startswith("<") else inside)
    return shape_of(design.path, width_mm or design.drawn_mm)


def wedge(end_mm, half_angle, long=20.0):
    far = end_mm / 2 + long * math.tan(math.radians(half_angle))
    return f"M{30 - end_mm / 2} 5H{30 + end_mm / 2}L{30 + far} {5 + long}H{30 - far}Z"


# ---------------------------------------------------------------- areas and lengths


@pytest.mark.parametrize(
    ("drawn", "area", "edge"),
    [
        ('<rect x="3" y="4" width="30" height="2.5"/>', 75, 65),
        ('<circle cx="9" cy="9" r="4"/>', 16 * math.pi, 8 * math.pi),
        ('<rect width="20" height="10" rx="2"/>', 184 + 4 * math.pi, 44 + 4 * math.pi),
        (
            '<circle cx="30" cy="30" r="10" fill="none" stroke="#000" stroke-width="0.8"/>',
            math.pi * (10.4**2 - 9.6**2),
            40 * math.pi,
        ),
        # A hole by the even-odd rule, and the same by winding the other way round.
        ('<path fill-rule="evenodd" d="M0 0H9V9H0Z M3 3H6V6H3Z"/>', 72, 48),
        ('<path d="M0 0H9V9H0Z M3 3V6H6V3Z"/>', 72, 48),
        ('<path d="M0 0H9V9H0Z M3 3H6V6H3Z"/>', 81, 36),
        ('<line x1="1" y1="1" x2="21" y2="1" stroke="#000" stroke-width="2"/>', 40, 44),
        ('<polygon points="0,0 8,0 8,6"/>', 24, 24),
    ],
)  # fmt: skip
def test_areas_and_edges_are_those_of_the_figure(drawn, area, edge):
    found = measure(shape(drawn))
    assert found.area_mm2 == pytest.approx(area, rel=1e-3)
    assert found.edge_mm == pytest.approx(edge, rel=1e-3)


@pytest.mark.parametrize(
    ("drawn", "area", "remark"),
    [
        # A fill closes what is open (SVG 2, 13.4); what ends where it began has nothing to close.
        ('<path d="M0 0H20V20H0"/>', 400, "An open outline was closed by a straight line."),
        ('<path d="M0 0H20V20H0V0.005"/>', 400, ""),
        (f"<path {HAIR} d='M0 0H20V20H0V0.005'/>", 400, "Thin closed lines without a fill were"),
        (f"<path {HAIR} d='M0 0H20V20H0V1'/><rect width='20' height='2'/>", 40, "Open hairlines"),
    ],
    ids=["open", "meets itself", "thin and meets itself", "thin and open"],
)
def test_a_line_that_ends_where_it_began_is_closed(drawn, area, remark):
    design = read_design(svg(drawn))
    assert measure(shape_of(design.path, 20)).area_mm2 == pytest.approx(area, rel=1e-3)
    assert [one[: len(remark)] for one in design.remarks] == [remark] * bool(remark)


def test_an_ellipse_has_the_length_of_its_series():
    """Ramanujan 1914: the second approximation, off by less than 1e-6 at this shape."""
    a, b = 9.0, 5.0
    h = ((a - b) / (a + b)) ** 2
    series = math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))
    found = measure(shape('<ellipse cx="20" cy="20" rx="9" ry="5"/>'))
    assert found.edge_mm == pytest.approx(series, rel=1e-3)
    assert found.area_mm2 == pytest.approx(math.pi * a * b, rel=1e-3)


def test_a_width_scales_lengths_once_and_areas_twice():
    lobes = "M0 0C10 0 10 8 20 8S30 0 40 0V20C30 20 30 9.2 20 9.2S10 20 0 20Z"
    one, two = measure(shape(lobes, 10)), measure(shape(lobes, 20))
    assert two.area_mm2 == pytest.approx(4 * one.area_mm2, rel=1e-4)
    assert two.edge_mm == pytest.approx(2 * one.edge_mm, rel=1e-4)
    assert two.width_mm == pytest.approx(20, rel=1e-4)


def test_transforms_and_units_lead_to_the_same_millimetres():
    plain = read_design(svg('<rect x="2" y="3" width="20" height="5"/>'))
    turned = read_design(
        svg(
            '<g transform="translate(40 10) rotate(90)"><rect x="2" y="3" width="20" height="5"'
            ' transform="scale(1,-1) rotate(90, 4, 4)"/></g>',
            width="6cm",
            height="6cm",
        )
    )
    in_pixels = read_design(
        svg('<rect width="20mm" height="5mm"/>', width="300", height="300", viewBox="0 0 300 300")
    )
    assert plain.drawn_mm == pytest.approx(20)
    assert turned.drawn_mm == pytest.approx(20)
    assert in_pixels.drawn_mm == pytest.approx(20)


# ---------------------------------------------------------------- the thinnest place


@pytest.mark.parametrize(
    ("drawn", "width"),
    [
        ('<circle cx="30" cy="30" r="10" fill="none" stroke="#000" stroke-width="0.8"/>', 0.8),
        ('<rect x="3" y="4" width="30" height="2.5"/>', 2.5),
        (f'<path d="{wedge(0.6, 2)}"/>', 0.6),
        (f'<path d="{wedge(0.6, 8)}"/>', 0.6),
        (f'<path d="{S_CURVE}" {STROKE}/>', 0.7),
        (f'<path d="{S_CURVE}" {STROKE} stroke-linecap="round"/>', 0.7),
        ('<circle cx="30" cy="30" r="3"/>', 6.0),
        ('<rect x="3" y="4" width="30" height="2.5" transform="rotate(33)"/>', 2.5),
        # A large piece and a small one: the small one is thinner.
        ('<rect width="30" height="20"/><circle cx="40" cy="9" r="0.4"/>', 0.8),
        # A large piece with a hole near its edge.
        ('<path fill-rule="evenodd" d="M0 0H30V20H0Z M0.9 5H9V9H0.9Z"/>', 0.9),
    ],
)
def test_the_thinnest_place_is_the_one_it_was_built_with(drawn, width):
    assert measure(shape(drawn)).thinnest.width_mm == pytest.approx(width, rel=0.02)


def test_the_thinnest_place_is_where_it_was_built():
    found = measure(shape(f'<path d="{wedge(0.6, 5)}"/>')).thinnest.at
    assert found == pytest.approx((0, -10), abs=0.1)  # its end; the middle is the origin


def test_a_neck_is_where_an_offset_inwards_splits_it():
    """Two lobes joined by a waist with curved sides: bisect for the offset that parts them."""
    drawn = shape("M0 0C10 0 10 8 20 8S30 0 40 0V20C30 20 30 9.2 20 9.2S10 20 0 20Z")
    least, most = 0.0, 3.0
    while most - least > 1e-4:
        middle = (least + most) / 2
        parts = shapely.get_num_geometries(drawn.buffer(-middle, quad_segs=64))
        least, most = (middle, most) if parts == 1 else (least, middle)
    assert measure(drawn).thinnest.width_mm == pytest.approx(2 * least, rel=0.02)


def test_a_waist_is_as_thin_as_its_medial_axis_says():
    """Distance transform on a raster of 0.03 mm, the axis left out near the ends."""
    drawn = shape("M0 4C8 2 16 5.4 22 4.4C26 4 28 1 31 1V9C28 9 26 6 22 5.8C16 6.6 8 8 0 9Z")
    pixel = 0.03
    left, top, right, bottom = drawn.bounds
    size = [round((right - left) / pixel) + 10, round((bottom - top) / pixel) + 10]
    run = (np.array(drawn.geoms[0].exterior.coords) - (left, top)) / pixel + 5
    axis, distance = medial_axis(polygon2mask(size, run), return_distance=True)
    x, y = np.nonzero(axis)
    away = (x > 5 / pixel) & (x < (right - left - 5) / pixel)
    widths = 2 * distance[x[away], y[away]] * pixel
    assert measure(drawn).thinnest.width_mm == pytest.approx(widths.min(), rel=0.02)


@pytest.mark.parametrize("angle", [8, 15, 30, 50])
def test_a_point_is_measured_a_millimetre_behind_it(angle):
    long, half = 30.0, math.radians(angle / 2)
    tip = f"M0 0L{long * math.cos(half)} {long * math.sin(half)}V{-long * math.sin(half)}Z"
    found = measure(shape(tip))
    assert found.points == 1
    # The disc that touches both sides 1 mm from the point.
    assert found.thinnest.width_mm == pytest.approx(2 * math.tan(half), rel=0.03)


def test_corners_of_60_degrees_and_more_are_no_points():
    assert measure(shape("M0 0H20V20H0Z")).points == 0
    assert measure(shape("M0 5L9 0L18 5V15L9 20L0 15Z")).points == 0
    assert measure(shape("M0 0L10 40L20 0Z")).points == 1


# ---------------------------------------------------------------- gaps, pieces, blanks


def test_the_narrowest_gap_is_the_slot_or_the_space_between_pieces():
    slot = measure(shape("M0 0H20V10H10.5V3H10V10H0Z"))
    assert slot.gap.width_mm == pytest.approx(0.5, rel=0.02)
    two = measure(shape('<circle cx="5" cy="5" r="4"/><circle cx="14" cy="5" r="4"/>'))
    assert two.gap.width_mm == pytest.approx(1.0, rel=0.02)
    assert two.pieces == 2
    assert measure(shape("M0 0H20V10H0Z")).gap is None


def test_holes_and_blanks_are_counted_and_fitted():
    found = measure(shape('<path fill-rule="evenodd" transform="rotate(30)" '
                          'd="M0 0H30V20H0Z M3 3H6V6H3Z"/>'))  # fmt: skip
    assert (found.pieces, found.holes) == (1, 1)
    assert found.blank_mm == pytest.approx((34, 24), rel=1e-3)
    assert found.largest_mm == pytest.approx((34, 24), rel=1e-3)


# ---------------------------------------------------------------- what files mean


def test_white_on_top_is_cut_out_and_said():
    drawn = svg(
        '<rect width="20" height="20" fill="#123"/><circle cx="9" cy="9" r="3" fill="#fff"/>'
    )
    design = read_design(drawn)
    assert measure(shape_of(design.path, 20)).area_mm2 == pytest.approx(400 - 9 * math.pi, rel=1e-3)
    assert design.remarks == ("White shapes were cut out of what they lie on.",)


def test_a_thin_closed_line_is_a_line_to_saw_along_and_said():
    design = read_design(
        svg('<circle cx="9" cy="9" r="8" fill="none" stroke="red" stroke-width=".1"/>')
    )
    assert measure(shape_of(design.path, 16)).area_mm2 == pytest.approx(64 * math.pi, rel=1e-3)
    assert "saw along" in design.remarks[0]


def test_style_sheets_of_drawing_programs_are_read():
    drawn = svg(
        "<style>/* x */ .st0{fill:none;stroke:#000;stroke-width:2} .st1,.st2 {display:none}</style>"
        '<g class="st1"><rect width="50" height="50"/></g>'
        '<rect class="st2" width="50" height="50"/>'
        '<line class="st0" x1="0" y1="5" x2="20" y2="5"/>'
    )
    assert measure(shape_of(read_design(drawn).path, 20)).area_mm2 == pytest.approx(40, rel=1e-3)


@pytest.mark.parametrize(
    ("inside", "area"),
    [
        # By the weight of their selectors, whatever their order (Selectors 4, 17).
        ("<style>.a{fill:none;stroke:#000} rect{fill:red}</style>"
         '<rect class="a" x="1" y="1" width="20" height="20" stroke-width="2"/>', 160),
        ("<style>rect.a.b{fill:none;stroke:#000} .c{fill:none}</style>"
         '<rect class="b a" x="1" y="1" width="20" height="20" stroke-width="2"/>', 160),
        # A sheet goes before the attributes of a group, too (CSS Cascading 4).
        ("<style>.a{fill:none;stroke:#000}</style>"
         '<g class="a" fill="red"><rect x="1" y="1" width="20" height="20" stroke-width="2"/></g>',
         160),
        ('<g id="hide"><rect width="50" height="50"/></g><rect width="9" height="4"/>'
         "<style>#hide{display:none}</style>", 36),
    ],
)  # fmt: skip
def test_style_sheets_count_as_the_standard_has_it(inside, area):
    assert measure(shape(inside)).area_mm2 == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize(
    "inside",
    [
        f"<style>{'a' * 400_000}</style>",
        f"<style>{'{' * 400_000}</style>",
        f"<style>{'/*' * 200_000}</style>",
        f"<style>rect{{fill:url({' ' * 400_000}#a)}}</style>",
        f'<g transform="{" " * 400_000}"/>',
    ],
    ids=["letters", "braces", "comments", "blanks", "transform"],
)
def test_no_style_sheet_holds_the_bench_up(inside):
    start = time.process_time()
    assert read_design(svg(inside + '<rect width="9" height="9"/>')).drawn_mm == pytest.approx(9)
    assert time.process_time() - start < 2


def test_a_rule_that_is_not_read_is_named():
    design = read_design(svg("<style>g > rect{fill:none}</style><rect width='9' height='9'/>"))
    assert "“g > rect”" in design.remarks[0]


@pytest.mark.parametrize(
    "unseen",
    ['fill-opacity="0"', 'opacity="0"', 'style="opacity:0%"', 'fill="#fff0"',
     'fill="rgba(0, 0, 0, 0)"', 'fill="none"'],
)  # fmt: skip
def test_what_cannot_be_seen_is_no_inlay(unseen):
    drawn = svg(f'<rect width="50" height="50" {unseen}/><rect width="9" height="4"/>')
    assert read_design(drawn).drawn_mm == pytest.approx(9)


@pytest.mark.parametrize("white", ["#FEFEFE", "hsl(0, 0%, 100%)", "#ffffffff", "White"])
def test_white_however_it_is_written_cuts_out(white):
    drawn = f'<rect width="20" height="20"/><rect x="5" y="5" width="2" height="5" fill="{white}"/>'
    assert measure(shape(drawn)).area_mm2 == pytest.approx(390, rel=1e-3)


def test_a_white_line_cuts_out_too():
    found = measure(shape('<rect width="20" height="20"/>'
                          '<path d="M-5 10H25" stroke="#fff" stroke-width="2"/>'))  # fmt: skip
    assert (found.pieces, found.area_mm2) == (2, pytest.approx(360, rel=1e-3))


def test_dashes_are_taken_whole_and_said():
    line = '<path d="M0 9H20" stroke="#000" stroke-width="2" stroke-dasharray="3 1"/>'
    assert "Dashed" in read_design(svg(line)).remarks[0]


def test_what_programs_write_round_a_drawing_is_passed_over():
    named = (
        '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    )
    inside = '<metadata><?xpacket begin=""?></metadata><rect width="9" height="4"/>'
    assert read_design(named + svg(inside)).drawn_mm == pytest.approx(9)


def test_what_is_not_drawn_is_left_out():
    drawn = svg(
        '<defs><rect width="50" height="50"/></defs><title>t</title><metadata><x xmlns="urn:x"/>'
        '</metadata><g style="display:none"><rect width="50" height="50"/></g>'
        '<rect width="9" height="4" opacity=".5"/>'
    )
    assert read_design(drawn).drawn_mm == pytest.approx(9)


def test_pieces_that_overlap_are_united():
    found = measure(shape('<rect width="9" height="9"/><rect x="5" width="9" height="9"/>'))
    assert (found.pieces, found.area_mm2) == (1, pytest.approx(126, rel=1e-3))


def test_what_is_kept_is_plain_path_data():
    design = read_design(svg('<circle cx="9" cy="9" r="8"/>'))
    assert set(design.path) <= set("MLZ0123456789.- ")
    again = read_design(path_of(shape_of(design.path, 16), 4))
    assert again.drawn_mm == pytest.approx(16, rel=1e-4)


@pytest.mark.parametrize(
    "inside",
    [
        '<defs><circle id="dot" r="4"/></defs><use href="#dot" x="10" y="12"/>'
        '<use href="#dot" transform="translate(40 40) scale(2 1) rotate(20)"/>',
        '<g id="pair" fill="none" stroke="#000"><path id="leaf" d="M4 4C12 0 18 6 22 12L4 20Z"/>'
        '</g><g stroke-width="2"><use href="#leaf" x="8" y="30" stroke="#000" fill="#000"/></g>',
        '<symbol id="s"><rect x="2" y="2" width="9" height="5" transform="rotate(10)"/></symbol>'
        '<g id="two"><use href="#s"/><use href="#s" x="20"/></g><use href="#two" y="25"/>',
        '<defs><g id="hid"><rect width="9" height="9" display="none"/><defs><rect width="30" '
        'height="30"/></defs><rect x="20" width="9" height="9"/></g></defs>'
        '<use href="#hid" x="3" y="3"/>',
    ],
    ids=["defs", "style handed on", "nested", "what is not drawn"],
)
def test_copies_are_drawn_as_another_program_draws_them(inside):
    """resvg, which follows SVG 2, 5.6, on 20 pixels to the millimetre."""
    import resvg_py

    picture = resvg_py.svg_to_bytes(svg_string=svg(inside, width="60", height="60"), width=1200)
    ink = np.asarray(Image.open(io.BytesIO(bytes(picture))))[..., 3] / 255
    assert shape(inside).area == pytest.approx(ink.sum() / 400, rel=2e-3)


# ---------------------------------------------------------------- bad input

DEEP = "<g>" * 60 + '<rect width="9" height="9"/>' + "</g>" * 60
LAUGHS = '<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]>' + svg("<title>&b;</title>")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (svg("<script>1</script>"), "script"),
        (svg('<rect width="9" height="9" onclick="x()"/>'), "event attribute"),
        (svg('<rect width="9" height="9" ONLOAD="x()"/>'), "event attribute"),
        (svg("<foreignObject/>"), "web page"),
        (svg('<image href="data:image/png;base64,AA"/>'), "outside"),
        (svg("<image/>"), "pixels"),
        (svg('<a href="https://example.org"><rect width="9" height="9"/></a>'), "outside"),
        (
            svg('<use xlink:href="http://example.org/x.svg#a"/>', **{"xmlns:xlink": "http://www.w3.org/1999/xlink"}),
            "outside",
        ),
        (svg('<use href="#a"/>'), "points at a shape that is not in it"),
        (svg('<use id="a" href="#a"/>'), "in a circle"),
        (svg('<g id="a"><rect width="9" height="9"/><use href="#b"/></g><g id="b">'
             '<use href="#a"/></g>'), "in a circle"),
        (svg('<g id="a0"><rect width="9" height="9"/></g>' + "".join(
            f'<g id="a{i + 1}">{f"""<use href="#a{i}"/>""" * 10}</g>' for i in range(8))),
         "more than 3,000 copies"),
        (svg('<symbol id="a" viewBox="0 0 9 9"><rect width="9" height="9"/></symbol>'
             '<use href="#a"/>'), "viewBox"),
        (svg('<clipPath id="c"><rect width="4" height="4"/></clipPath>'
             '<rect width="9" height="9" clip-path="url(#c)"/>'), "clip or a mask"),
        (svg('<g style="mask:url(#c)"><rect width="9" height="9"/></g>'), "clip or a mask"),
        (svg("<text>hello</text>"), "into paths"),
        (svg("<style>@import 'x.css';</style>"), "outside"),
        (svg("<style>" + ".a{fill:red}" * 1001 + "</style>"), "rules"),
        (svg('<rect style="transform:scale(2)" width="9" height="9"/>'), "by its style"),
        (svg('<rect width="9" height="9" fill="none"/>'), "draws nothing"),
        (svg("<style>rect{fill:url(http://example.org/x)}</style>"), "outside"),
        (svg("<style>rect{fill:u\\72l(http://example.org/x)}</style>"), "outside"),
        (svg('<rect style="fill:url(data:x)" width="9" height="9"/>'), "outside"),
        ('<?xml-stylesheet href="x.css"?>' + svg('<rect width="9" height="9"/>'), "instruction"),
        ('<!DOCTYPE svg [<!ATTLIST g a CDATA "b">]>' + svg("<g/>"), "DOCTYPE"),
        (LAUGHS, "DOCTYPE"),
        (svg(DEEP), "deep"),
        (svg("<g/>" * 4000), "shapes"),
        (svg('<path d="M0 0' + "L1 1L2 0" * 12_000 + 'Z"/>'), "points"),
        (svg('<path d="' + "M0 0L1 1L2 0Z" * 600 + '"/>'), "outlines"),
        (svg("".join(f'<rect x="{i % 25}" y="{i // 25}" width=".5" height=".5"/>'
                     for i in range(500))), "500 pieces"),
        (svg(f'<path d="M0 0{"L9 9L9 0L0 9L5 -1L7 8" * 150}" {STROKE}/>'), "crosses itself"),
        ("M0 0" + " " * 1_000_001, "characters"),
        (svg(""), "draws nothing"),
        (svg('<path d="M3 3L3 3Z"/>'), "no size"),
        (svg('<path d="M0 0L9 9"/>'), "no area"),
        (svg('<rect width="9" height="0"/>'), "draws nothing"),
        (svg('<g transform="scale(0)"><rect width="9" height="9"/></g>'), "no size"),
        (svg('<path d="M0 0L9 9L9 0L0 9Z"/>'), "crosses itself near 4.5, 4.5"),
        (svg('<path d="M0 0H9V9H0Z M5 5H15V15H5Z"/>'), "cross each other"),
        (svg('<path d="M0 0L9 nan"/>'), "no path command"),
        (svg('<path d="M0 0L9e999 3 4 5Z"/>'), "million"),
        (svg('<path d="M0 0C1 2"/>'), "breaks off"),
        (svg('<rect width="9" height="9" transform="rotate(a)"/>'), "transform"),
        (svg('<rect width="9" height="9" transform="matrix(1 2)"/>'), "transform"),
        (svg('<rect width="wide" height="9"/>'), "length"),
        (svg("<svg/>"), "within the drawing"),
        ("<html/>", "no SVG"),
        ("<svg><path/></svg>", "no SVG"),
        (svg('<rect width="9"'), "damaged or cut off"),
        ("hello", "neither"),
        ("   ", "empty"),
        ("M0 0\ud800", "path"),
        ("<svg \ud800", "damaged or cut off"),
    ],
)  # fmt: skip
def test_what_is_refused_is_refused_with_a_word(given, said):
    with pytest.raises(InputError, match=said):
        read_design(given)


def test_a_width_has_limits():
    path = read_design("M0 0H9V9Z").path
    for width in (0, -1, 1e9, math.nan):
        with pytest.raises(InputError, match="mm wide"):
            shape_of(path, width)
