"""The sheets for inlay and rosette: read back by Shapely from the SVG, by ezdxf, by pdfium."""

import io
import math
import re
from itertools import pairwise
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pypdfium2
import pytest
from ezdxf.path import make_path
from shapely import MultiPolygon, Polygon

from brief.instrument import preset

pytestmark = pytest.mark.computed

SVG = "{http://www.w3.org/2000/svg}"
RING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20"><circle cx="10" cy="10" r="8"'
    ' fill="none" stroke="#000" stroke-width="2"/></svg>'
)
LEAF = "M0 2C4 -1 10 -1 14 1.5V2.5C10 5 4 5 0 2Z"


@pytest.fixture
def lay(make, brief):
    def laid(**fields):
        return make("inlays", brief_id=brief["id"], **{"name": "leaf", **fields})

    return laid


@pytest.fixture
def sheet(client, brief):
    def fetched(name):
        return client.get(f"/api/briefs/{brief['id']}/drawings/{name}")

    return fetched


def runs(svg, layer):
    group = ElementTree.fromstring(svg).find(f"{SVG}g[@id='{layer.replace(' ', '-')}']")
    for path in () if group is None else group.findall(f"{SVG}path"):
        numbers = [float(part) for part in re.findall(r"-?[\d.]+", path.get("d"))]
        yield list(zip(numbers[::2], numbers[1::2], strict=True)), path.get("d").endswith("Z")


def test_an_inlay_is_drawn_at_true_size_on_every_form(lay, sheet):
    """A ring by its formula, and what was measured of it against Shapely on the exported SVG."""
    made = lay(drawing=RING, width_mm=18, frets=[12])
    svg = sheet("inlay.svg").text
    outer, inner = sorted((Polygon(run) for run, closed in runs(svg, "pocket") if closed),
                          key=lambda one: -one.area)  # fmt: skip
    drawn = Polygon(outer.exterior.coords, [inner.exterior.coords])
    assert drawn.area == pytest.approx(math.pi * (81 - 49), rel=1e-3)
    assert drawn.area == pytest.approx(made["area_mm2"], rel=1e-3)
    assert drawn.length == pytest.approx(made["edge_mm"], rel=1e-3)
    left, top, right, bottom = drawn.bounds
    assert (right - left, bottom - top) == pytest.approx((18, 18), rel=1e-3)
    dxf = ezdxf.read(io.StringIO(sheet("inlay.dxf").text))
    assert not dxf.audit().errors
    cut = [
        Polygon((v.x, v.y) for v in make_path(one).flattening(1e-4)).area
        for one in dxf.modelspace().query('LWPOLYLINE[layer=="pocket"]')
    ]
    assert max(cut) - min(cut) == pytest.approx(made["area_mm2"], rel=1e-3)
    page = pypdfium2.PdfDocument(sheet("inlay.pdf?paper=sheet").content)[0]
    said = page.get_textpage().get_text_range()
    assert "Thinnest place 2 mm" in said
    assert "before fret 12" in said


def test_every_design_on_the_sheet_has_the_area_that_was_measured(lay, sheet):
    """Shapely on the exported SVG, to 0.1 %."""
    made = [
        lay(drawing=LEAF, frets=[5]),
        lay(name="dots", shape="dot", frets=[3, 7]),
        lay(name="turned", drawing=LEAF, lies_on="headplate", along_mm=40, turn_deg=33,
            width_mm=10, mirrored=True, across_mm=0),
    ]  # fmt: skip
    found = [Polygon(run) for run, closed in runs(sheet("inlay.svg").text, "cut through") if closed]
    for one, drawn in zip(made, found, strict=True):
        assert drawn.area == pytest.approx(one["area_mm2"], rel=1e-3)
        assert drawn.length == pytest.approx(one["edge_mm"], rel=1e-3)
    assert not MultiPolygon(found).buffer(0).is_empty


def test_the_frets_round_an_inlay_are_where_they_belong(lay, sheet):
    lay(shape="dot", frets=[12], width_mm=6)
    svg = sheet("inlay.svg").text
    slots = sorted(run[0][1] for run, _ in runs(svg, "slots"))
    (dot,) = [Polygon(run) for run, closed in runs(svg, "pocket") if closed]
    scale = preset("parlour-steel-string").scale_mm
    gap = scale * (2 ** (-11 / 12) - 2 ** (-12 / 12))
    assert np.diff(slots) == pytest.approx([gap], abs=1e-3)
    assert dot.centroid.y == pytest.approx(sum(slots) / 2, abs=1e-3)


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("fretboard", {"frets": [5]}),
        ("head", {"lies_on": "headplate", "along_mm": 40}),
        ("bridge", {"lies_on": "bridge", "across_mm": 62}),
        ("body", {"lies_on": "top"}),
        ("body", {"lies_on": "rosette"}),
    ],
)
def test_the_sheet_of_its_part_shows_an_inlay_where_it_lies(lay, sheet, name, place):
    before = list(runs(sheet(f"{name}.svg").text, "pocket"))
    made = lay(shape="dot", width_mm=5, **place)
    now = list(runs(sheet(f"{name}.svg").text, "pocket"))
    (dot,) = [Polygon(run) for run, closed in now if closed and (run, closed) not in before]
    assert dot.area == pytest.approx(made["area_mm2"], rel=1e-3)
    if name == "fretboard":
        (left, _), (right, _), *_ = next(runs(sheet("fretboard.svg").text, "cut through"))[0]
        assert dot.centroid.x == pytest.approx((left + right) / 2, abs=1e-3)


@pytest.mark.parametrize(
    ("place", "told"),
    [
        ({"lies_on": "headplate", "along_mm": 60, "across_mm": 4},
         ["1", "57.5", "60", "62.5", "1.5", "4", "6.5"]),
        ({"lies_on": "top", "along_mm": 250, "across_mm": -9},
         ["1", "247.5", "250", "252.5", "−11.5", "−9", "−6.5"]),
        # A bridge is measured from its edge, which a rule can be laid against: half of 26 + 2.
        ({"lies_on": "bridge", "along_mm": 2, "across_mm": 62},
         ["1", None, None, None, "59.5", "62", "64.5"]),
        ({"lies_on": "fretboard", "along_mm": 100},
         ["1", "97.5", "100", "102.5", "−2.5", "0", "2.5"]),
        # Midway across the rings, by their radii.
        ({"lies_on": "rosette"}, [None, None, None]),
    ],
)  # fmt: skip
def test_a_sheet_says_where_an_inlay_is_from_what_a_rule_can_be_laid_against(
    lay, sheet, place, told
):
    """Of a dot of 5 mm: its middle as it was laid, its edges half of that beside it."""
    lay(shape="dot", width_mm=5, **place)
    kind = preset("parlour-steel-string")
    if place["lies_on"] == "bridge":
        middle = kind.bridge.depth_mm / 2 + 2
        told = [told[0], *(f"{middle + off:g}" for off in (-2.5, 0, 2.5)), *told[4:]]
    if place["lies_on"] == "rosette":
        radii = [radius for ring in kind.hole.rosette_mm for radius in ring]
        middle = (min(radii) + max(radii)) / 2
        told = [f"{middle + off:g}" for off in (-2.5, 0, 2.5)]
    root = ElementTree.fromstring(sheet("inlay.svg").text)
    said = ["".join(one.itertext()) for one in root.iter(f"{SVG}text")]
    assert any(said[i : i + len(told)] == told for i in range(len(said))), said


def test_without_an_inlay_there_is_no_sheet_for_it(sheet, refused, client, brief):
    refused(sheet("inlay.svg"), 404, "not_found", "no inlay yet")
    assert "drawings/inlay" not in client.get(f"/briefs/{brief['id']}/drawing").text


def test_the_rosette_sheet_has_the_hole_its_rings_and_what_is_let_into_them(lay, sheet):
    lay(name="leaves", drawing=LEAF, lies_on="rosette", copies=12, width_mm=8, turn_deg=90)
    svg = sheet("rosette.svg").text
    root = ElementTree.fromstring(svg)
    kind = preset("parlour-steel-string")
    (hole,) = root.findall(f"{SVG}g[@id='hole']/{SVG}circle")
    assert float(hole.get("r")) == kind.hole.diameter_mm / 2
    rings = root.findall(f"{SVG}g[@id='channel']/{SVG}circle")
    assert sorted(float(one.get("r")) for one in rings) == sorted(
        radius for ring in kind.hole.rosette_mm for radius in ring
    )
    middle = (float(hole.get("cx")), float(hole.get("cy")))
    leaves = [Polygon(run) for run, closed in runs(svg, "pocket") if closed]
    assert len(leaves) == 12
    away = [math.dist(one.centroid.coords[0], middle) for one in leaves]
    assert away == pytest.approx([56.6] * 12, abs=0.5)
    assert max(away) - min(away) < 1e-3
    words = [one.text for one in root.iter(f"{SVG}text")]
    for inner, outer in kind.hole.rosette_mm:
        assert f"{inner:g}" in words
        assert f"{outer - inner:.1f}".rstrip("0").rstrip(".") in words
    assert all(a != b for a, b in pairwise(words))
