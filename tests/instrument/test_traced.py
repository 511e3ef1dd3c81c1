"""Outlines traced from points: those of the presets come back, turned, halved or wavering."""

import math
import time

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d
from shapely import LineString, Point, Polygon, hausdorff_distance

from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.curve import path_data
from brief.instrument.model.own_outline import check_outline, with_outline
from brief.instrument.model.shape import shaped
from brief.instrument.outline.bouts import bouts
from brief.instrument.outline.fair import bends, closed_outline, fair_half
from brief.instrument.outline.outlines import body_outline, sampled
from brief.instrument.tracing.symmetry import evenly
from brief.instrument.tracing.traced import trace
from brief.instrument.tracing.traced_svg import outline_of_svg

KINDS = [kind for kind, _ in presets()]
PARLOUR = preset("parlour-steel-string")
STAR = [
    ((200 + 30 * math.cos(10 * t)) * math.cos(t), (200 + 30 * math.cos(10 * t)) * math.sin(t))
    for t in np.linspace(0, 2 * math.pi, 400)
]


def drawn(stations):
    """The closed curve through stations."""
    return sampled(closed_outline(stations))


def turned(run, turn, x=310.0, y=-40.0):
    across = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return np.array(run) @ across.T + [x, y]


def half_of(one):
    run = body_outline(one)
    return np.array(run[: len(run) // 2 + 1])


@pytest.mark.parametrize("kind", KINDS)
def test_an_svg_of_a_preset_comes_back_within_a_tenth_of_a_millimetre(kind):
    """By the Hausdorff distance of shapely, another library than draws it."""
    one = preset(kind)
    around = closed_outline(one.outline)
    size = 'width="600mm" height="600mm" viewBox="-300 -20 600 600"'
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}>'
        f'<g transform="rotate(17)"><path d="{path_data(around)}Z"/></g></svg>'
    )
    points, remarks = outline_of_svg(text)
    made = trace(points)
    assert remarks == []
    assert made.notes == ()
    assert hausdorff_distance(LineString(drawn(made.stations)), LineString(body_outline(one))) < 0.1
    assert made.off_mm < 0.1
    assert made.asymmetry_mm < 0.1
    assert made.body_mm == pytest.approx(one.body_mm, abs=0.1)
    for was, now in zip(bouts(one.outline), bouts(made.stations), strict=True):
        assert now.width_mm == pytest.approx(was.width_mm, abs=0.1)
    check_outline(one, made.stations)


@pytest.mark.parametrize("centre_line", [False, True])
def test_lines_and_arcs_that_are_saved_apart_are_joined_where_they_meet(centre_line):
    run = body_outline(PARLOUR)
    parts = [run[i : i + 12] for i in range(0, len(run) - 1, 11)]
    parts = [part[::-1] if i % 3 else part for i, part in enumerate(parts)]  # drawn either way
    drawn_apart = "".join(
        f'<path fill="none" stroke="#000" d="M{"L".join(f"{x:.3f} {y:.3f}" for x, y in part)}"/>'
        for part in parts
    )
    if centre_line:
        drawn_apart += '<path stroke="#000" d="M0 0V480"/>'
    size = 'width="600mm" height="600mm" viewBox="-300 -20 600 600"'
    points, remarks = outline_of_svg(
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{drawn_apart}</svg>'
    )
    made = trace(points)
    assert made.body_mm == pytest.approx(480, abs=0.1)
    for was, now in zip(bouts(PARLOUR.outline), bouts(made.stations), strict=True):
        assert now.width_mm == pytest.approx(was.width_mm, abs=0.2)
    assert "Lines and arcs whose ends meet were joined." in remarks


def test_a_file_of_very_many_pieces_is_not_joined():
    """All ends of these meet, so that joining them would take their square."""
    burst = '<path fill="none" stroke="#000" d="' + "M0 0L9 9" * 499 + '"/>'
    text = f'<svg xmlns="http://www.w3.org/2000/svg">{burst * 40}</svg>'
    start = time.process_time()
    outline_of_svg(text)
    assert time.process_time() - start < 5


def test_the_page_and_the_hole_are_not_taken_for_the_body():
    around = closed_outline(PARLOUR.outline)
    size = 'width="600mm" height="600mm" viewBox="-300 -20 600 600"'
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}>'
        '<rect x="-300" y="-20" width="600" height="600" fill="#fff"/>'
        '<rect x="-290" y="-10" width="580" height="580" fill="none" stroke="#000"/>'
        f'<path d="{path_data(around)}Z" fill="#fff" stroke="#000"/>'
        '<circle cx="0" cy="150" r="47.5"/></svg>'
    )
    points, remarks = outline_of_svg(text)
    assert trace(points).body_mm == pytest.approx(480, abs=0.1)
    assert remarks == ["Of the 4 outlines in the file, the largest that can be a body was taken."]


@pytest.mark.parametrize("turn", [0.0, 1.2, 3.0, 4.6])
def test_it_does_not_matter_how_it_lies(turn):
    points = turned(body_outline(PARLOUR), turn)
    made = trace(points)
    assert made.body_mm == pytest.approx(480, abs=0.05)
    # Laid back where it lay, neck to neck.
    assert math.dist(made.axis[0], points[0]) < 0.1
    assert hausdorff_distance(LineString(made.laid_back()), LineString(points)) < 0.1


@pytest.mark.parametrize("way", ["open", "closed by its straight edge"])
def test_half_a_template_is_mirrored(way):
    points = half_of(PARLOUR)
    if way != "open":
        edge = [(0.0, y) for y in np.linspace(PARLOUR.body_mm, 0, 60)]
        points = np.vstack([points, edge])
    made = trace(turned(points, 0.7))
    assert made.half
    assert made.asymmetry_mm == 0
    assert (
        hausdorff_distance(LineString(drawn(made.stations)), LineString(body_outline(PARLOUR)))
        < 0.15
    )


def test_a_mould_that_is_a_little_lopsided_is_averaged_and_it_is_said():
    run = np.array(body_outline(PARLOUR))
    swells = 3 * np.exp(-(((run[:, 1] - 330) / 40) ** 2))
    run[:, 0] += np.where(run[:, 0] > 40, swells, 0)  # the treble half, up to 3 mm wider
    made = trace(run)
    assert 1.5 < made.asymmetry_mm < 3.5
    assert made.off_mm < 0.3
    lower = bouts(made.stations)[-1]
    assert lower.width_mm == pytest.approx(333.8 + 3 * math.exp(-1), abs=0.7)


@pytest.mark.parametrize("turn", [0.0, 2.0])
@pytest.mark.parametrize("horn", [0.0, 20.0])
def test_of_a_mould_with_a_cutaway_the_half_without_it_is_traced(turn, horn):
    cut = shaped(PARLOUR, {"cutaway_depth_mm": 70.0, "cutaway_round_mm": horn})
    points = turned(body_outline(cut), turn)
    with pytest.raises(InputError, match=r"two halves lie up to \d+ mm apart.*Choose the half"):
        trace(points)
    made = trace(points, halves="left")  # the bass side, as the front is seen
    assert made.half
    assert made.asymmetry_mm > 30
    assert (
        hausdorff_distance(LineString(drawn(made.stations)), LineString(body_outline(PARLOUR)))
        < 0.15
    )


def test_a_wavering_line_is_smoothed_and_how_far_it_is_off_is_said():
    """Points 0.4 mm astray, as a hand draws: the widths come back better than they were drawn."""
    rng = np.random.default_rng(3)
    run = np.array(body_outline(PARLOUR)[:-1])
    made = trace(run + rng.normal(0, 0.4, run.shape), waver_mm=0.4)
    assert 0.2 < made.usually_off_mm < 0.6
    lower = bouts(made.stations)[-1]
    assert lower.width_mm == pytest.approx(333.8, abs=0.8)
    assert Polygon(drawn(made.stations)).is_valid


def test_a_hollow_at_the_neck_is_drawn_straight_and_said():
    run = np.array(body_outline(PARLOUR))
    near = (np.abs(run[:, 0]) < 12) & (run[:, 1] < 10)
    run[near, 1] += 4 * (1 - (run[near, 0] / 12) ** 2)
    made = trace(run)
    assert any(note.startswith("The hollow of 3.6") and "neck" in note for note in made.notes)
    # From its rims, where the round body is a little shorter already.
    assert made.body_mm == pytest.approx(480 - run[:, 1].min(), abs=0.1)


def test_the_wider_end_is_the_necks_if_it_is_said_so():
    made = trace(np.array(body_outline(PARLOUR)), turned=True)
    upper, _, lower = bouts(made.stations)
    assert upper.width_mm > lower.width_mm


@pytest.mark.parametrize(
    ("points", "said"),
    [
        (np.zeros((0, 2)), "at least 20 points"),
        (np.array(body_outline(PARLOUR)) / 10, "100 to 1200 mm can be drawn"),
        (np.array(body_outline(PARLOUR)) * 10, "100 to 1200 mm can be drawn"),
        (STAR, "widest in|turns back"),
        (np.column_stack([np.linspace(0, 300, 50), np.zeros(50)]), "widest in 0|encloses nothing"),
    ],
)  # fmt: skip
def test_what_is_no_body_is_refused(points, said):
    with pytest.raises(InputError, match=said):
        trace(points)


def test_a_brief_of_another_size_is_refused_the_outline():
    tiny = tuple((at * 0.4, half * 0.4) for at, half in PARLOUR.outline)
    with pytest.raises(InputError, match=r"bridge|hole|fretboard"):
        check_outline(PARLOUR, tiny)


def test_the_sound_hole_moves_along_between_the_bouts():
    longer = tuple((at * 1.1, half) for at, half in PARLOUR.outline)
    assert with_outline(PARLOUR, longer).hole.centre_mm == pytest.approx(165, abs=0.5)
    teardrop = preset("bouzouki").outline
    share = 432 / 480
    assert with_outline(PARLOUR, teardrop).hole.centre_mm == pytest.approx(150 * share)


def wavering(kind, seed, along_mm, noise_mm=0.1):
    """A preset's outline with a waver of that size, alike over so many millimetres."""
    outline = np.array(body_outline(preset(kind)))
    run = evenly(np.vstack([outline, outline[:1]]), 2400)[:-1]
    step = np.hypot(*np.diff(run, axis=0).T).mean()
    waver = np.random.default_rng(seed).normal(0, 1, run.shape)
    if along_mm:
        waver = gaussian_filter1d(waver, along_mm / step, axis=0, mode="wrap")
    return run + noise_mm * waver / waver.std()


def bends_of(half):
    """Turns from round to hollow and back, and extrema of curvature, as tests/.../test_fair has."""
    curvature = np.array([bend.curvature for bend in bends(half, 32)])
    bent = curvature[np.abs(curvature) > 1 / 5000]
    turns, extrema = (int((np.diff(np.sign(run)) != 0).sum()) for run in (bent, np.diff(curvature)))
    return turns, extrema


@pytest.mark.parametrize("kind", ["auditorium-steel-string", "tenor-ukulele", "bouzouki"])
@pytest.mark.parametrize(("along_mm", "most"), [(0, 9), (4, 8), (10, 8), (20, 8)])
def test_a_mould_that_wavers_by_a_tenth_is_faired_within_its_waver(kind, along_mm, most):
    """Two turns and eight extrema; nine where each point strays by itself. Never further than 3
    wavers from what was found, and 0.05 mm for the stations; within 0.3 mm of the true body."""
    made = trace(wavering(kind, 1, along_mm), waver_mm=0.1)
    half = fair_half(made.stations)
    turns, extrema = bends_of(half)
    # The flank of a teardrop is all but straight: there a waver may turn it, within its tenth.
    assert turns <= 2
    assert extrema <= most + (kind == "bouzouki")
    assert made.off_mm <= max(3 * 0.1, 3 * 0.15) + 0.05
    assert 0 <= made.off_at_mm <= made.body_mm
    true = LineString(body_outline(preset(kind)))
    assert max(true.distance(Point(segment[0])) for segment in half) <= 0.3


def test_an_even_outline_is_hardly_touched():
    made = trace(wavering("classical", 2, 20, 0.005), waver_mm=0.02)
    assert made.off_mm <= 3 * 0.02 + 0.02
