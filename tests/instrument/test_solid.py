"""The instrument in space, against trimesh (another library's idea of a closed solid), the cut list
and the sheets."""

import math
from functools import cache

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brief.errors import InputError
from brief.instrument import cut_list, numbers, preset, presets, shaped
from brief.instrument.drawing.part_sizes import part_sizes
from brief.instrument.drawing.side import BINDING_MM, neck_thick
from brief.instrument.frets.fret_lines import fret_drawn, lean
from brief.instrument.model.own_outline import with_outline
from brief.instrument.outline.outlines import body_outline, saddle_y
from brief.instrument.presets import Preset
from brief.instrument.solid.mesh import Mesh, Solid
from brief.instrument.solid.parts.inlays import LaidDesign
from brief.instrument.solid.whole import solids
from tests.instrument.a_tracing import TRACED

KINDS = tuple(kind for kind, _ in presets())
CHANGED = {
    "cutaway, fanned frets, compound radius": (
        "auditorium-steel-string",
        {"cutaway_depth_mm": 75, "fan_mm": 20, "radius_mm": 305, "radius_end_mm": 500},
    ),
    "pointed cutaway, wide binding": (
        "auditorium-steel-string",
        {"cutaway_depth_mm": 85, "cutaway_length_mm": 110, "cutaway_round_mm": 0, "binding_mm": 6},
    ),
    "thin binding, thin purfling, fanned": (
        "classical",
        {"binding_mm": 1.0, "purfling_mm": 0.3, "fan_mm": 25, "square_fret": 9, "frets": 20},
    ),
    "deep tail, long head": ("tenor-ukulele", {"side_tail_mm": 110, "head_mm": 150}),
    "cutaway and tailpiece": ("bouzouki", {"cutaway_depth_mm": 60, "fan_mm": 15}),
}
ALL = (*KINDS, *CHANGED, "traced")


def made(name: str) -> Preset:
    if name == "traced":
        return with_outline(preset("classical"), TRACED)
    if name in CHANGED:
        kind, changes = CHANGED[name]
        return shaped(preset(kind), changes)
    return preset(name)


@cache
def whole(name: str) -> dict[str, Solid]:
    found = solids(made(name))
    assert len({one.name for one in found}) == len(found)
    return {one.name: one for one in found}


def judged(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.points, mesh.faces)


def sizes(*of: Mesh) -> np.ndarray:
    points = np.concatenate([one.points for one in of])
    return points.max(axis=0) - points.min(axis=0)


def band_mm2(instrument: Preset, near: float, far: float) -> float:
    """Of a strip along the edge of the body, by Shapely's offsets (GEOS)."""
    body = shapely.Polygon(body_outline(instrument))
    return body.buffer(-near).area - body.buffer(-far).area


def check_closed(found: tuple[Solid, ...]) -> None:
    for one in found:
        seen = judged(one.mesh)
        assert seen.is_watertight, one.name
        assert seen.is_winding_consistent, one.name
        assert seen.volume > 0, one.name
        assert seen.volume == pytest.approx(one.mesh.volume_mm3), one.name
        long = np.linalg.norm(one.mesh.normals, axis=1)
        assert np.allclose(long, 1, atol=1e-6), one.name
        assert np.isfinite(one.mesh.uv).all(), one.name


@pytest.mark.parametrize("name", ALL)
def test_every_solid_is_closed_and_turned_outwards(name):
    check_closed(tuple(whole(name).values()))


@pytest.mark.slow
@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_a_changed_instrument_is_closed(data):
    kind = preset(data.draw(st.sampled_from(KINDS)))
    known = {one.name: one for one in numbers(kind)}
    changes = {}
    for name in data.draw(st.sets(st.sampled_from(sorted(known)), max_size=4)):
        one = known[name]
        share = data.draw(st.floats(0, 1))
        value = one.least + share * (one.most - one.least)
        changes[name] = round(value) if one.unit == "count" else value
    try:
        instrument = shaped(kind, changes)
    except InputError:
        instrument = kind  # those numbers do not fit together
    check_closed(solids(instrument))


@pytest.mark.parametrize("name", ALL)
def test_it_is_small_enough_to_send_and_to_turn(name):
    assert sum(len(one.mesh.faces) for one in whole(name).values()) < 75_000


@pytest.mark.parametrize("name", ALL)
def test_normals_point_the_way_faces_do(name):
    for one in whole(name).values():
        corners = one.mesh.points[one.mesh.faces]
        across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        area = np.linalg.norm(across, axis=1)
        flat = across[area > 1e-4] / area[area > 1e-4][:, None]
        normal = one.mesh.normals[one.mesh.faces[area > 1e-4]].mean(axis=1)
        agrees = np.einsum("ij,ij->i", flat, normal) > 0.3
        assert area[area > 1e-4][agrees].sum() > 0.995 * area.sum(), one.name


def test_in_a_right_handed_space_it_is_turned_outwards_and_stands_upright():
    top, head = (whole("classical")[name].mesh.upright for name in ("top", "headplate"))
    assert judged(top).volume > 0
    assert head.points[:, 1].min() > top.points[:, 1].max()
    assert top.normals[np.argmax(top.points[:, 2])][2] > 0.9


@pytest.mark.parametrize("name", ALL)
def test_volumes_are_those_of_the_cut_list(name):
    """Before the ledges are cut: what fills them (bindings, purfling, rosette) is added again."""
    instrument, found = made(name), whole(name)
    volume = {one: found[one].mesh.volume_mm3 for one in found}
    listed = {}
    for cut in cut_list(instrument):
        listed[cut.role] = listed.get(cut.role, 0.0) + (cut.finished_mm3 or 0.0)
    ledge = band_mm2(instrument, 0, instrument.binding_mm)
    filled = ledge * 2.8 + volume["purfling"] + volume["rosette"]
    assert volume["top"] + filled == pytest.approx(listed["top"], rel=0.01)
    assert volume["back"] + ledge * 2.6 == pytest.approx(listed["back"], rel=0.01)
    in_sides = band_mm2(instrument, 0, min(instrument.binding_mm, 2.2))
    sides = volume["sides"] + in_sides * (2 * BINDING_MM - 2.8 - 2.6)
    assert sides == pytest.approx(listed["sides"], rel=0.01)


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("fret", [1, 5])
def test_the_neck_has_the_section_of_its_sheet(name, fret):
    """Half an ellipse, whose area is a quarter of pi times its width and depth."""
    instrument = made(name)
    board = instrument.fretboard
    place = board.fret_mm(fret)
    cut = judged(whole(name)["neck"].mesh).section(
        plane_origin=[0, instrument.nut_y + place, 0], plane_normal=[0, 1, 0]
    )
    run = cut.discrete[0]
    area = shapely.Polygon(run[:, [0, 2]]).area
    share = place / -instrument.nut_y
    sheet = math.pi / 4 * board.width_mm(place) * neck_thick(instrument) * (1 + 0.15 * share)
    assert area == pytest.approx(sheet, rel=0.01)


@pytest.mark.parametrize("name", ALL)
def test_parts_are_as_large_as_the_sheets_say(name):
    instrument, found = made(name), whole(name)
    body = sizes(found["binding of the top"].mesh)
    assert body[1] == pytest.approx(instrument.body_mm, abs=0.1)
    run = np.array(body_outline(instrument))
    assert body[0] == pytest.approx(np.ptp(run[:, 0]), abs=0.1)
    told = {
        (role, size.words): size.mm
        for role, said in part_sizes(instrument).items()
        for size in said
    }
    if not instrument.fan_mm:
        along = sizes(found["fretboard"].mesh)
        # A hole that reaches the board takes from the middle of its end alone.
        assert along[1] == pytest.approx(told["fretboard", "{} long"], abs=0.1)
        assert along[0] == pytest.approx(told["fretboard", "{} at the end"], abs=0.1)
        assert sizes(found["nut"].mesh)[:2] == pytest.approx(
            [told["nut", "{} long"], told["nut", "{} thick"]], abs=0.1
        )
        bridge = sizes(found["bridge"].mesh)
        assert bridge[:2] == pytest.approx(
            [told["bridge", "{} wide"], told["bridge", "{} deep"]], abs=0.1
        )
        saddle = sizes(found["saddle"].mesh)
        assert saddle[0] == pytest.approx(told["saddle", "{} long"], abs=0.1)
    assert sizes(found["headplate"].mesh)[0] == pytest.approx(told["headplate", "{} wide"], abs=0.1)


@pytest.mark.parametrize("name", ALL)
def test_sides_are_as_deep_as_the_sheet_says(name):
    """From rim to rim, less what the ledges of bindings take where these are as wide as a side."""
    instrument, sides = made(name), whole(name)["sides"].mesh.points
    over, under = BINDING_MM - 2.8, BINDING_MM - 2.6
    if instrument.binding_mm < 2.2:
        over = under = 0.0
    taper = (instrument.side_tail_mm - instrument.side_neck_mm) / instrument.body_mm
    for end in (0.0, instrument.body_mm):
        near = sides[np.abs(sides[:, 1] - end) < 2.5]
        lowest = near[np.argmin(near[:, 2])]
        assert near[:, 2].max() == pytest.approx(-over, abs=0.1)
        deep = instrument.side_neck_mm + taper * lowest[1]
        assert lowest[2] == pytest.approx(under - deep, abs=0.1)


@pytest.mark.parametrize("name", ALL)
def test_frets_lie_where_equal_temperament_puts_them(name):
    """Each middle at L (1 - 2^(-n/12)) from the nut, the ends on the board's edges."""
    instrument, found = made(name), whole(name)
    scale = instrument.scale_mm - instrument.fan_mm / 2
    for fret in (1, 7, 12):
        points = found[f"fret {fret}"].mesh.points
        (x, y), (x_2, y_2) = fret_drawn(instrument, fret)
        middle = instrument.nut_y + scale * (1 - 2 ** (-fret / 12))
        at = points[np.abs(points[:, 0]) < 2.0]
        assert at[:, 1].mean() == pytest.approx(middle, abs=0.3)
        assert points[:, 0].min() == pytest.approx(x, abs=0.3)
        assert points[:, 0].max() == pytest.approx(x_2, abs=0.3)
        assert np.ptp(points[:, 1]) == pytest.approx(abs(y_2 - y) + 1.6, abs=0.3)


@pytest.mark.parametrize("name", ALL)
def test_strings_rest_on_nut_and_saddle_and_clear_the_frets(name):
    instrument, found = made(name), whole(name)
    saddle, nut = (found[one].mesh for one in ("saddle", "nut"))
    ridge = saddle.points[saddle.normals[:, 2] > 0.95]
    ridge = ridge[np.argsort(ridge[:, 0])]
    for number in range(1, instrument.strings + 1):
        run = found[f"string {number}"].mesh.points
        radius = instrument.gauges_mm[number - 1] / 2
        over = run[np.abs(run[:, 1] - saddle_y(instrument, run[:, 0].mean())) < 6]
        over = over[np.argsort(over[:, 2])[-1]]
        under = np.interp(over[0], ridge[:, 0], ridge[:, 2])
        assert over[2] - 2 * radius == pytest.approx(under, abs=0.12)
        leaves = instrument.nut_y + lean(instrument, 0) * run[:, 0]
        at_nut = run[np.abs(run[:, 1] - leaves) < 1.0]
        assert at_nut[:, 2].min() < nut.points[:, 2].max()  # it lies in a slot of the nut
        start, end = at_nut[np.argmax(at_nut[:, 2])], over
        for fret in (1, 12, instrument.frets):
            wire = found[f"fret {fret}"].mesh.points
            share = (wire[:, 1].mean() - start[1]) / (end[1] - start[1])
            low = start[2] + share * (end[2] - start[2]) - 2 * radius
            assert low > wire[:, 2].max() - 0.05


@pytest.mark.parametrize("name", ALL)
def test_parts_meet(name):
    """The bridge stands on the top, the board on both, the neck in the side."""
    instrument, found = made(name), whole(name)
    neck, sides = found["neck"].mesh.points, found["sides"].mesh.points
    assert neck[:, 1].max() > sides[:, 1].min()
    assert neck[:, 2].min() == pytest.approx(-instrument.side_neck_mm - 2.6, abs=0.1)
    assert found["fretboard"].mesh.points[:, 2].min() == pytest.approx(2.8)
    top, bridge = found["top"].mesh, found["bridge"].mesh
    foot = bridge.points[bridge.normals[:, 2] < -0.9]
    face = top.points[top.normals[:, 2] > 0.9]
    for at in foot[:: max(1, len(foot) // 12)]:
        near = face[np.argmin(np.linalg.norm(face[:, :2] - at[:2], axis=1))]
        assert at[2] == pytest.approx(near[2], abs=0.2)


@pytest.mark.parametrize("name", ["classical", "auditorium-steel-string"])
def test_designs_in_rosette_and_bridge_are_closed_and_flush(name):
    instrument = made(name)
    middle = instrument.hole.centre_mm + np.mean(instrument.hole.rosette_mm)
    side = instrument.bridge.width_mm / 2 - 14
    own = [
        LaidDesign("leaf", "rosette", shapely.Point(0.0, middle).buffer(6)),
        LaidDesign("leaf", "bridge", shapely.Point(-side, saddle_y(instrument, -side)).buffer(5)),
    ]
    found = {one.name: one for one in solids(instrument, own=own)}
    check_closed(tuple(found.values()))
    top = found["top"].mesh.points[:, 2].max()
    assert found["inlay 1"].mesh.points[:, 2].max() < top + 0.1
    rings = whole(name)["rosette"].mesh.volume_mm3 - found["rosette"].mesh.volume_mm3
    assert 0 < rings < math.pi * 36 * 1.5


def test_the_hole_is_open_and_the_label_lies_below_it():
    instrument, found = made("auditorium-steel-string"), whole("auditorium-steel-string")
    at = shapely.Point(0, instrument.hole.centre_mm)
    for one in ("top", "rosette", "fretboard"):
        flat = found[one].mesh.points[found[one].mesh.faces][..., :2]
        assert shapely.polygons(flat).size == len(flat)
        assert not shapely.contains(shapely.polygons(flat), at).any()
    label = found["label"].mesh.points
    assert np.abs(label[:, 0]).max() < instrument.hole.diameter_mm / 2
    assert label[:, 2].max() < -instrument.side_neck_mm


def test_a_design_of_ones_own_is_let_in_flush_and_fills_its_pocket():
    instrument = preset("auditorium-steel-string")
    at = [(0.0, instrument.nut_y + 200.0), (0.0, instrument.nut_y - 80.0), (60.0, 250.0)]
    own = [
        LaidDesign("leaf", "fretboard", shapely.Point(at[0]).buffer(6)),
        LaidDesign("star", "headplate", shapely.Point(at[1]).buffer(9).difference(
            shapely.Point(at[1]).buffer(4))),
        LaidDesign("leaf", "top", shapely.Point(at[2]).buffer(12, quad_segs=4)),
    ]  # fmt: skip
    found = {one.name: one for one in solids(instrument, own=own)}
    check_closed(tuple(found.values()))
    plain = whole("auditorium-steel-string")
    usual = plain["inlay 1"].mesh.volume_mm3
    for number, ground in ((1, "fretboard"), (2, "headplate"), (3, "top")):
        taken = plain[ground].mesh.volume_mm3 - found[ground].mesh.volume_mm3
        taken += usual if ground == "fretboard" else 0.0
        let_in = found[f"inlay {number}"]
        assert let_in.mesh.volume_mm3 == pytest.approx(taken, rel=0.03)
    board = found["fretboard"].mesh.points
    leaf = found["inlay 1"].mesh.points
    assert leaf[:, 2].max() == pytest.approx(board[:, 2].max(), abs=0.01)
    assert found["inlay 1"].role == "leaf"
