"""Counting growth rings, against boards whose rings are known."""

import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import gaussian_filter

from brief.errors import ImageError, InputError
from brief.photo.wood.grain import count_grain
from brief.photo.wood.scale import Scale
from brief.photo.wood.strip import Strip
from tests.photo.rendered_wood import Board, Camera, burl, crotch, stained, streaks

PICTURES = Path(__file__).parents[2] / "demo_assets" / "pictures"
LINE = ((4.0, 50.0), (96.0, 50.0))
DOWN = ((50.0, 4.0), (50.0, 96.0))

BOARDS = {
    "fine": Board(ring_mm=0.7, px_per_mm=12),
    "fine, few pixels": Board(ring_mm=0.7, px_per_mm=8, uneven=0.15),
    "even spruce": Board(ring_mm=1.0, uneven=0.12),
    "uneven cedar": Board(ring_mm=1.4, uneven=0.3, camera=Camera(quality=80)),
    "leaning": Board(ring_mm=1.5, angle_deg=70),
    "leaning over": Board(ring_mm=1.2, angle_deg=123, px_per_mm=9),
    "wandering": Board(ring_mm=2.0, bend_mm=1.0),
    "narrowing outward": Board(ring_mm=1.5, outward=0.5, px_per_mm=14, size=(1260, 500)),
    "widening outward": Board(ring_mm=1.5, outward=2.0, px_per_mm=14, size=(1260, 500)),
    "dim light from one side": Board(ring_mm=2.0, camera=Camera(0.015, light=0.4, quality=75)),
    "noisy": Board(ring_mm=2.0, contrast=0.25, camera=Camera(noise=0.02)),
    "soft lens": Board(ring_mm=1.5, camera=Camera(blur_px=1.8)),
    "faint": Board(ring_mm=2.5, contrast=0.12, fibres=0.02),
    "pressed hard as JPEG": Board(ring_mm=1.5, camera=Camera(quality=50)),
    "wide": Board(ring_mm=3.0, uneven=0.25),
    "widest": Board(ring_mm=4.0, angle_deg=80, uneven=0.25),
    "curly too": Board(ring_mm=1.5, ripple=0.06),
}


def scale_of(board: Board) -> Scale:
    return Scale(*board.size_mm)


def per_cm(board: Board, line=LINE) -> float:
    return 10 / float(np.diff(board.ring_ends_between(*line)).mean())


@pytest.mark.slow
@pytest.mark.parametrize("name", BOARDS)
def test_lines_in_a_centimetre_within_three_percent(name):
    board = BOARDS[name]
    counted = count_grain(board.photograph(), LINE, scale_of(board))
    assert counted.reason is None
    assert counted.per_cm == pytest.approx(per_cm(board), rel=0.03)
    assert counted.spacing_mm == pytest.approx(10 / per_cm(board), rel=0.03)
    assert abs(counted.count - len(board.ring_ends_between(*LINE))) <= max(1, 0.03 * counted.count)


@pytest.mark.slow
def test_boards_drawn_by_lot_mostly_within_three_percent_and_nearly_all_within_the_error():
    """No figure of the method was set on these. Of 270 others, 96 in 100 were within 3 %."""
    rng = np.random.default_rng(20260511)
    off, told = [], []
    for seed in range(40):
        ring_px = float(np.exp(rng.uniform(np.log(6), np.log(36))))
        ring_mm = float(np.clip(ring_px / rng.uniform(4, 16), 0.7, 4))
        board = Board(
            ring_mm=ring_mm,
            px_per_mm=ring_px / ring_mm,
            uneven=rng.uniform(0.05, 0.3),
            contrast=rng.uniform(0.12, 0.4),
            fibres=rng.uniform(0, 0.035),
            angle_deg=rng.uniform(55, 125),
            bend_mm=rng.choice([0, 0.5, 1]),
            seed=seed + 5000,
            camera=Camera(rng.uniform(0.003, 0.02), rng.uniform(0.4, 1.2), 0.2, 85),
        )
        counted = count_grain(board.photograph(), LINE, scale_of(board))
        if counted.count is not None:
            off.append(abs(counted.per_cm / per_cm(board) - 1))
            told.append(abs(counted.per_cm - per_cm(board)) / counted.per_cm_error)
    assert len(off) >= 34
    assert np.mean(np.array(off) <= 0.03) >= 0.8
    assert max(off) <= 0.1
    assert np.mean(np.array(told) <= 1) >= 0.85
    assert np.mean(np.array(told) <= 2) >= 0.97


def test_each_line_stands_where_a_ring_ends():
    board = Board(ring_mm=2.0, contrast=0.3, px_per_mm=10)
    counted = count_grain(board.photograph(), LINE, scale_of(board))
    ends = board.ring_ends()
    # Late wood is darkest in the ring's last tenth; a pixel is a tenth of a millimetre.
    nearest = [np.abs(ends - board.across_at(point)).min() for point in counted.positions]
    assert max(nearest) < 0.5
    assert np.median(nearest) < 0.25
    assert len(counted.positions) == counted.count
    assert counted.positions == tuple(sorted(counted.positions))


@pytest.mark.slow
@pytest.mark.parametrize("line", [((10, 20), (90, 80)), ((90, 80), (10, 20)), ((20, 85), (80, 15))])
def test_a_slanting_line_tells_the_same_number_square_to_the_grain(line):
    board = Board(ring_mm=1.5, uneven=0.1)
    counted = count_grain(board.photograph(), line, scale_of(board))
    assert counted.per_cm == pytest.approx(per_cm(board, line), rel=0.03)
    across, down = 9 * abs(line[0][0] - line[1][0]), 5 * abs(line[0][1] - line[1][1])
    assert counted.crossing_deg == pytest.approx(np.degrees(np.arctan2(across, down)), abs=1.5)


@pytest.mark.slow
def test_a_board_lying_the_other_way_is_counted_downward():
    board = Board(ring_mm=1.5, angle_deg=3, size=(500, 900))
    counted = count_grain(Image.fromarray(board.photograph()), DOWN, scale_of(board))
    assert counted.per_cm == pytest.approx(per_cm(board, DOWN), rel=0.03)


@pytest.mark.slow
def test_without_a_scale_distances_are_in_pixels_alone():
    board = Board(ring_mm=1.5, px_per_mm=8)
    counted = count_grain(board.photograph(), LINE)
    assert counted.spacing_px == pytest.approx(80 / per_cm(board), rel=0.03)
    assert counted.per_cm is counted.per_cm_error is counted.spacing_mm is counted.spread_mm is None


@pytest.mark.slow
def test_the_spread_is_that_of_the_rings():
    board = Board(ring_mm=2.0, uneven=0.25, px_per_mm=12, size=(1300, 400))
    counted = count_grain(board.photograph(), LINE, scale_of(board))
    true = np.diff(board.ring_ends_between(*LINE)).std()
    assert counted.spread_mm == pytest.approx(true, rel=0.15)


@pytest.mark.slow
def test_a_scale_that_may_be_off_widens_the_error():
    board = Board()
    picture = board.photograph()
    sure = count_grain(picture, LINE, Scale(*board.size_mm))
    unsure = count_grain(picture, LINE, Scale(*board.size_mm, error=0.1))
    assert sure.per_cm == unsure.per_cm
    assert 0 < sure.per_cm_error < 0.05 * sure.per_cm
    assert unsure.per_cm_error == pytest.approx(np.hypot(sure.per_cm_error, 0.1 * sure.per_cm))


@pytest.mark.slow
def test_a_noisier_picture_is_less_trusted():
    clear = count_grain(Board(ring_mm=2).photograph(), LINE)
    noisy = count_grain(Board(ring_mm=2, contrast=0.2, camera=Camera(0.03)).photograph(), LINE)
    assert 0 < noisy.confidence < clear.confidence <= 1


SHAPE = (500, 900)
# Each is drawn where it is asked for: collecting the tests draws nothing.
DECLINED = {
    "noise": (lambda: stained(np.zeros(SHAPE), camera=Camera(noise=0.03)), "No lines stand out"),
    "noise, pressed": (
        lambda: stained(np.zeros(SHAPE), camera=Camera(0.03, quality=60)),
        "No lines",
    ),
    "an even gradient, rounded": (
        lambda: stained(np.zeros(SHAPE), camera=Camera(0, light=0.3, quality=90)),
        "stand out",
    ),
    "one colour": (lambda: np.full((*SHAPE, 3), 120, dtype=np.uint8), "No lines stand out"),
    "wide burl": (lambda: stained(burl(SHAPE, 0, 2)), "turns too much"),
    "burl": (lambda: stained(burl(SHAPE, 1, 6)), "turns too much|No lines stand out"),
    "tight burl": (lambda: stained(burl(SHAPE, 2, 12)), "turns too much|No lines stand out"),
    "crotch": (lambda: stained(crotch(SHAPE, 3)), "turns too much"),
    "fine streaks": (lambda: stained(streaks(SHAPE, 4, 1.5), 0.08), "too uneven"),
    "broad streaks": (lambda: stained(streaks(SHAPE, 5, 4), 0.08), "too uneven"),
    "2 pixels to a ring": (
        lambda: Board(ring_mm=1, px_per_mm=2).photograph(),
        "closer with the camera",
    ),
    "3 pixels to a ring": (
        lambda: Board(ring_mm=1, px_per_mm=3).photograph(),
        "closer with the camera",
    ),
    "4 pixels to a ring": (
        lambda: Board(ring_mm=1, px_per_mm=4).photograph(),
        "takes 5 to tell them",
    ),
    "along the grain": (lambda: Board(angle_deg=8).photograph(), "along the grain"),
    "too few": (
        lambda: Board(ring_mm=16, uneven=0.1).photograph(),
        "lines stand out here and it takes 8",
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", DECLINED)
def test_declines_in_words_where_counting_would_be_guessing(name):
    draw, why = DECLINED[name]
    counted = count_grain(draw(), LINE, Scale(100, 100))
    assert counted.count is None
    assert re.search(why, counted.reason)
    assert counted.positions == ()
    assert counted.per_cm is counted.spacing_px is None
    assert counted.confidence == 0


def with_cells(picture, seed=0):
    """Dark rows of cells along the grain, nearly 4 pixels apart, as a microscope shows them."""
    rng = np.random.default_rng(seed)
    across, rows, at = np.arange(picture.shape[1]), np.zeros(picture.shape[1]), 0.0
    while at < across[-1]:
        rows += rng.uniform(0.3, 1.5) * np.exp(-(((across - at) / 0.9) ** 2))
        at += 3.6 * rng.uniform(0.9, 1.1)
    return np.clip(picture - 30 * rows[None, :, None], 0, 255).astype(np.uint8)


@pytest.mark.slow
@pytest.mark.parametrize("ring_px", [45, 60])
def test_rings_that_their_own_cells_hide_are_counted_smaller(ring_px):
    board = Board(ring_mm=1.0, px_per_mm=ring_px, size=(1500, 300), uneven=0.15, contrast=0.3)
    counted = count_grain(with_cells(board.photograph()), LINE, scale_of(board))
    assert counted.per_cm == pytest.approx(per_cm(board), rel=0.05)
    assert counted.spacing_px == pytest.approx(10 * ring_px / per_cm(board), rel=0.05)
    assert len(counted.positions) == counted.count


def stripes(seed, stripe_px):
    """Figure of interlocked grain: bands as dark as light, their widths and edges by lot."""
    rng = np.random.default_rng(seed)
    lot = gaussian_filter(rng.standard_normal(SHAPE[1]), stripe_px / 2) * np.sqrt(stripe_px)
    phase = np.cumsum(2 * np.pi / (stripe_px * np.exp(0.15 * lot)))
    ragged = gaussian_filter(rng.standard_normal(SHAPE), (40, 4))
    return stained(np.sin(phase[None, :] + 0.3 * ragged / ragged.std()), 0.12)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 1])
@pytest.mark.parametrize("stripe_px", [15, 30, 60, 90])
def test_stripes_of_figure_are_no_rings(stripe_px, seed):
    counted = count_grain(stripes(seed, stripe_px), LINE)
    assert counted.count is None
    assert counted.confidence == 0
    assert re.search("as stripes of figure are", counted.reason)


def test_a_short_line_is_declined():
    counted = count_grain(Board().photograph(), ((50, 50), (55, 50)))
    assert counted.count is None
    assert "only 45 pixels long" in counted.reason


@pytest.mark.slow
def test_random_streaks_are_hardly_ever_taken_for_rings():
    taken = [
        count_grain(stained(streaks((120, 900), seed, width), 0.08), LINE).count is not None
        for seed in range(8)
        for width in (1.5, 2.5, 4, 6)
    ]
    assert sum(taken) <= 2


class _Grown(Exception):
    """Carries the ring ends and the radius at each pixel out of the demo's renderer."""


@pytest.fixture
def ring_ends_of(monkeypatch):
    """Ring ends in mm, and the radius in mm at each pixel, from the demo's own renderer."""
    from demo_assets.render import wood

    def grow(rng, reach_mm, ring_mm, uneven, late_share, soft_mm):
        year, years = 0.0, []
        for kick in rng.standard_normal(int(reach_mm / ring_mm * 1.6) + 8):
            year = 0.75 * year + 0.66 * kick
            years.append(year)
        ends = np.concatenate([[0.0], np.cumsum(ring_mm * np.exp(uneven * np.array(years)))])

        class Stop:
            def read(self, radius_mm):
                raise _Grown(ends, radius_mm)

        return Stop()

    monkeypatch.setattr(wood, "grow", grow)

    def of(name):
        with pytest.raises(_Grown) as stopped:
            getattr(wood, name)()
        return stopped.value.args

    return of


@pytest.mark.slow
@pytest.mark.parametrize(("name", "width_mm"), [("cedar", 205.0), ("spruce", 205.0)])
@pytest.mark.parametrize("down", [15, 50, 85])
def test_the_demo_tops_have_the_rings_they_were_drawn_with(name, width_mm, down, ring_ends_of):
    ends, radius = ring_ends_of(name)
    with Image.open(PICTURES / f"{name}.jpg") as picture:
        size = picture.size
        counted = count_grain(picture, ((4, down), (96, down)), Scale.from_width(width_mm, size))
    row = radius[round(size[1] * down / 100)]
    inside = ends[(ends > row[round(0.04 * size[0])]) & (ends < row[round(0.96 * size[0])])]
    assert counted.per_cm == pytest.approx(10 / np.diff(inside).mean(), rel=0.03)
    assert abs(counted.count - len(inside)) <= 4


@pytest.mark.slow
@pytest.mark.parametrize("name", ["walnut", "sapele", "mother-of-pearl", "black-wood", "bone"])
def test_what_has_no_rings_to_count_in_the_demo_is_declined(name):
    with Image.open(PICTURES / f"{name}.jpg") as picture:
        for line in (LINE, DOWN):
            assert count_grain(picture, line).count is None


@pytest.mark.slow
@pytest.mark.parametrize(
    ("line", "message"),
    [
        (((-1, 50), (96, 50)), r"0 to 100 percent each way; got \(-1, 50\)"),
        (((4, 50), (96, 100.1)), r"got \(96, 100\.1\)"),
        (((4, float("nan")), (96, 50)), r"got \(4, nan\)"),
        (((4, 50), (4, 50)), "both are the same point"),
    ],
)
def test_a_line_that_is_none_is_refused(line, message):
    with pytest.raises(InputError, match=message) as refused:
        count_grain(np.zeros((100, 100, 3), dtype=np.uint8), line)
    assert refused.value.faults[0].pointer == "/line"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("pixels", "message"),
    [
        (np.zeros((9, 9), dtype=np.uint8), r"got uint8 of shape \(9, 9\)"),
        (np.zeros((9, 9, 4), dtype=np.uint8), r"got uint8 of shape \(9, 9, 4\)"),
        (np.zeros((9, 9, 3)), "got float64"),
        (np.zeros((0, 9, 3), dtype=np.uint8), r"of shape \(0, 9, 3\)"),
        (Image.new("L", (9, 9)), r"got uint8 of shape \(9, 9\)"),
    ],
)
def test_pixels_of_another_kind_are_refused(pixels, message):
    with pytest.raises(ImageError, match=message):
        count_grain(pixels, LINE)


@pytest.mark.slow
def test_the_heavy_libraries_wait_until_they_are_used():
    code = (
        "import sys, brief.photo.wood.grain, brief.photo.wood.figure, brief.photo.wood.glare, "
        "brief.photo.outline.board, brief.photo.outline.contour;"
        "print([m for m in ('contourpy', 'scipy', 'shapely') if m in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


@pytest.mark.slow
def test_the_two_sides_of_a_line_leave_out_the_line_itself_and_no_other_lane():
    lanes = np.array([[10.0], [20.0], [99.0], [30.0], [50.0]])
    left, right = Strip(lanes, np.zeros(1), 1.0).halves
    assert (left.tolist(), right.tolist()) == ([15.0], [40.0])
