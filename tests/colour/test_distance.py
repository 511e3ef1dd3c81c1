"""A line at a distance: S-CIELAB in closed form (Zhang and Wandell 1996)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour import delta_e_2000
from brief.colour.spaces import D65_WHITE
from brief.colour.viewing.distance import (
    KERNELS,
    OPPONENT,
    arc_minutes,
    distance_to_read,
    line_as_seen,
    line_response,
    names_colour,
    width_to_read,
)
from brief.errors import ColourInputError

SEEN_FROM = [(0.5, 0.5), (0.5, 1), (0.5, 2), (0.5, 4), (1.5, 2)]  # width mm, distance m
# Computed from the published kernels by hand-checked code, not published; line, ground, then
# CIEDE2000 as seen. They are checked below by summing the kernels over a strip.
COMPUTED = [
    ((84, 4, 20), (36, 9, 9), [44.01, 35.94, 23.50, 13.35, 41.26]),
    ((52, 14, 20), (62, 13, 24), [8.92, 5.16, 2.61, 1.29, 7.33]),
    ((27, 2, 2), (36, 9, 9), [6.90, 4.11, 2.12, 1.06, 5.75]),
    ((60, 40, 30), (60, 8, 22), [10.15, 6.42, 3.59, 1.89, 8.56]),
]


@pytest.mark.parametrize(("line", "ground", "expected"), COMPUTED)
def test_lines_as_seen(line, ground, expected):
    widths, distances = np.array(SEEN_FROM).T
    seen = delta_e_2000(line_as_seen(ground, line, widths, distances), ground)
    np.testing.assert_allclose(seen, expected, atol=0.005)


@pytest.mark.parametrize("minutes", [0.43, 1.72, 6.0])
def test_the_closed_form_is_the_kernel_summed_over_a_strip(minutes):
    """exp(-r² / s²) summed on a grid along a long line of that width, over its whole sum."""
    half_deg = minutes / 60 / 2
    for channel, kernels in enumerate(KERNELS):
        kept = 0.0
        for weight, s in kernels:
            # The kernel factors; along the line it sums to one, across it over the width.
            across = np.linspace(-8 * s, 8 * s, 400_001)
            kernel = np.exp(-((across / s) ** 2))
            # The steps at the line's edges are covered in part.
            step = across[1] - across[0]
            covered = np.clip((half_deg - np.abs(across)) / step + 0.5, 0, 1)
            kept += weight * (kernel * covered).sum() / kernel.sum()
        kept /= sum(weight for weight, _ in kernels)
        width = 2000 * np.tan(np.radians(half_deg))  # at 1 m
        assert line_response(width, 1.0)[channel] == pytest.approx(kept, abs=1e-8)


def test_published_half_widths_of_the_kernels():
    """Half widths at half height .05, .225, 7.0 | .0685, .826 | .092, .6451 degrees: quoted from
    the authors' separableFilters.m. Their rounding leaves up to 6 %.
    """
    quoted = ((0.05, 0.225, 7.0), (0.0685, 0.826), (0.092, 0.6451))
    for kernels, widths in zip(KERNELS, quoted, strict=True):
        ours = [2 * s * np.sqrt(np.log(2)) for _, s in kernels]
        np.testing.assert_allclose(ours, widths, rtol=0.06)


def test_red_green_of_white_is_slightly_negative():
    """As the authors' code has it; a short form in circulation gives -0.22."""
    assert (OPPONENT @ D65_WHITE)[1] == pytest.approx(-0.05, abs=0.01)


def test_minutes_of_arc():
    """1.52 mm from 2 m are 2.6 minutes (Mullen 1985, 11.5 cycles a degree)."""
    assert float(arc_minutes(1.52, 2)) == pytest.approx(2.6, abs=0.02)
    assert names_colour(1.55, 2)
    assert not names_colour(1.45, 2)


def test_far_away_nothing_is_left_and_very_near_all():
    assert float(delta_e_2000(line_as_seen([36, 9, 9], [84, 4, 20], 0.05, 20), [36, 9, 9])) < 0.5
    near = line_as_seen([36, 9, 9], [84, 4, 20], 500, 0.2)
    np.testing.assert_allclose(near, [84, 4, 20], atol=0.3)


LABS = st.tuples(st.floats(10, 95), st.floats(-20, 40), st.floats(-20, 45))
WIDTHS = np.geomspace(0.05, 10, 400)
DISTANCES = np.geomspace(0.2, 20, 400)


@given(ground=LABS, line=LABS, distance=st.floats(0.3, 8), needed=st.floats(1, 20))
def test_no_finer_line_reads(ground, line, distance, needed):
    seen = delta_e_2000(line_as_seen(ground, line, WIDTHS, distance), ground)
    width = width_to_read(ground, line, distance, needed)
    if width is None:
        assert (seen < needed * 1.001).all()
        return
    here = float(delta_e_2000(line_as_seen(ground, line, width, distance), ground))
    assert here >= needed - 1e-6
    assert (seen[width * 0.99 > WIDTHS] < needed * 1.001).all()


@given(
    ground=LABS, line=LABS, width=st.floats(0.1, 5), least=st.floats(1, 20), falls=st.floats(0, 9)
)
def test_nowhere_farther_does_it_read(ground, line, width, least, falls):
    def needed(metres):
        return least + falls / metres

    seen = delta_e_2000(line_as_seen(ground, line, width, DISTANCES), ground)
    spare = seen - (least + falls / DISTANCES)
    reach = distance_to_read(ground, line, width, needed)
    if reach is None:
        assert (spare < 0.001).all()
        return
    here = float(delta_e_2000(line_as_seen(ground, line, width, reach), ground))
    assert here >= needed(reach) - 1e-6
    assert (spare[reach * 1.01 < DISTANCES] < 0.001).all()


def test_what_the_figure_hides_close_up_may_read_from_farther():
    found = distance_to_read([62, 13, 24], [52, 14, 20], 1.5, lambda metres: 3 + 3 / metres)
    assert found == pytest.approx(4.2, abs=0.1)


@pytest.mark.parametrize("needed", [0, -1, float("nan"), lambda _: float("nan")])
def test_what_is_needed_must_be_something(needed):
    for ask in (distance_to_read, width_to_read):
        with pytest.raises(ColourInputError, match="what is needed must be above 0 CIEDE2000"):
            ask([50, 0, 0], [60, 0, 0], 1.0, needed)


def test_what_does_not_go_together_is_refused():
    with pytest.raises(ColourInputError, match="widths and distances must go together"):
        arc_minutes([1, 2], [1, 2, 3])
    with pytest.raises(ColourInputError, match="colours and widths must go together"):
        line_as_seen([[50, 0, 0]] * 2, [60, 0, 0], [1, 2, 3], 1)


@pytest.mark.parametrize(
    ("width", "distance", "said"),
    [
        (0, 1, "width must be above 0 mm; got 0"),
        (1, -1, "distance must be above 0 m; got -1"),
        (float("nan"), 1, "width must be above 0 mm"),
        ("wide", 1, "width must be numbers; got “wide”"),
    ],
)
def test_bad_widths_and_distances_are_refused(width, distance, said):
    with pytest.raises(ColourInputError, match=said):
        line_as_seen([50, 0, 0], [60, 0, 0], width, distance)
