"""The sizes that the spec shows are those of the drawing, whatever the maker has changed."""

from __future__ import annotations

import itertools
import math

import pytest

from brief.instrument import preset, presets
from brief.instrument.drawing.part_sizes import part_sizes
from brief.instrument.model.shape import shaped
from brief.instrument.outline.outlines import body_outline, bridge_outline, head_outline

PARLOUR = "parlour-steel-string"
HAND_MADE = {"tuners", "inlay"}  # not drawn to a size of their own


def sizes(made, role):
    return {size.words.format("…"): round(size.mm, 2) for size in part_sizes(made)[role]}


def extent(points):
    return [max(along) - min(along) for along in zip(*points, strict=True)]


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_every_part_that_is_drawn_has_its_sizes(kind):
    made = preset(kind)
    assert {part.role for part in made.parts} - HAND_MADE == set(part_sizes(made))
    for size in itertools.chain(*part_sizes(made).values()):
        assert size.mm > 0
        assert size.words.count("{}") == 1


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_they_are_the_extents_of_the_outlines(kind):
    """Measured here on the points that are drawn."""
    made = preset(kind)
    wide, long = extent(body_outline(made))
    assert sizes(made, "top") == sizes(made, "back")
    assert sizes(made, "top")["… long"] == pytest.approx(long, abs=0.02)
    # The curve may bulge a little beyond its widest station.
    assert sizes(made, "top")["… wide"] == pytest.approx(wide, abs=1.0)
    assert sizes(made, "bridge")["… wide"] == pytest.approx(
        extent(bridge_outline(made))[0], abs=0.02
    )
    assert sizes(made, "headplate")["… long"] == pytest.approx(
        extent(head_outline(made))[1], abs=0.02
    )
    run = sum(itertools.starmap(math.dist, itertools.pairwise(body_outline(made))))
    assert sizes(made, "sides")["each … long"] == pytest.approx(run / 2, rel=1e-3)


def test_they_follow_the_numbers():
    made = shaped(preset(PARLOUR), {"radius_mm": 300, "side_tail_mm": 110, "bridge_width_mm": 160})
    assert sizes(made, "fretboard")["radius …"] == 300
    assert sizes(made, "sides")["… at the tail"] == 110
    assert sizes(made, "bridge") == {"… wide": 160, "… deep": 27}


def test_a_flat_board_has_no_radius_and_a_compound_one_two():
    flat = shaped(preset(PARLOUR), {"radius_mm": 0})
    assert not [words for words in sizes(flat, "fretboard") if "radius" in words]
    compound = shaped(preset(PARLOUR), {"radius_mm": 250, "radius_end_mm": 400})
    assert sizes(compound, "fretboard")["radius … at the nut"] == 250
    assert sizes(compound, "fretboard")["radius … at the end"] == 400


def test_a_cutaway_makes_two_sides_of_two_lengths():
    made = shaped(preset(PARLOUR), {"cutaway_depth_mm": 60})
    lengths = [length for words, length in sizes(made, "sides").items() if "long" in words]
    assert len(lengths) == 2
    assert lengths[0] != lengths[1]
