"""A tool beside the line: offsets judged by circles and rectangles worked by hand."""

import math

import pytest
from shapely import Polygon

from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.plans.draughting import Draughting
from brief.instrument.plans.head_sheet import head_sheet
from brief.instrument.plans.inlay_sheets import Sawn, inlay_sheet, rosette_sheet
from brief.instrument.plans.plan import Circle, Line, TitleBlock
from brief.instrument.plans.sheets import body_sheet, bridge_sheet
from brief.instrument.plans.tooled import Tool, in_words, tooled

BLOCK = TitleBlock("Saltmarsh", "B", "2026-11-25")


def drawn(*layers):
    """A square of 40 mm with one of 10 mm in its middle, on these layers."""
    by_hand = Draughting()
    for layer, half in zip(layers, (20, 5), strict=False):
        by_hand.outline(layer, [(-half, -half), (half, -half), (half, half), (-half, half)])
    return by_hand.plan("Plate", BLOCK)


def areas(plan, layer):
    return [
        Polygon(one.points).area
        for one in plan.shapes
        if isinstance(one, Line) and one.closed and one.layer == layer
    ]


def test_the_tool_runs_outside_the_part_and_inside_the_hole():
    """By hand: a square grown by 1.5 mm with round corners has 40² + 4 · 40 · 1.5 + π · 1.5²; the
    hole is 7 mm square."""
    way = tooled(drawn("cut through", "hole"), Tool(3.0))
    (outer,), (inner,) = areas(way, "cut through"), areas(way, "hole")
    assert outer == pytest.approx(1600 + 240 + math.pi * 2.25, rel=1e-4)
    assert inner == pytest.approx(49.0)
    assert sorted(areas(way, "reference")) == pytest.approx([100.0, 1600.0])


def test_a_channel_has_the_tool_between_its_walls_and_a_bed_grows_by_the_gap():
    """By hand: between squares of 40 and 10 mm a tool of 3 mm runs on 37, and round 13 mm."""
    way = tooled(drawn("channel", "channel"), Tool(3.0))
    assert areas(way, "channel")[0] == pytest.approx(37.0**2)
    assert areas(way, "channel")[1] == pytest.approx(100 + 60 + math.pi * 2.25, rel=1e-4)
    grown = tooled(drawn("pocket"), Tool(0.0, 0.1))
    assert areas(grown, "pocket") == pytest.approx([1600 + 16 + math.pi * 0.01], rel=1e-5)
    assert not areas(grown, "reference")
    beside = tooled(drawn("pocket"), Tool(3.0, 0.1))
    assert areas(beside, "pocket") == pytest.approx([(40 - 2.8) ** 2])


def test_piece_and_bed_are_as_far_apart_as_the_gap_all_round():
    disc = Polygon([(3 * math.cos(t / 50), 3 * math.sin(t / 50)) for t in range(314)])
    from shapely import MultiPolygon

    inlay = Sawn("dot", "top", (MultiPolygon([disc]),), ("One.",))
    kind = preset("classical")
    way = tooled(inlay_sheet(kind, BLOCK, [inlay]), Tool(0.0, 0.08))
    (piece,), (bed,) = areas(way, "cut through"), areas(way, "pocket")
    assert math.sqrt(bed / math.pi) - math.sqrt(piece / math.pi) == pytest.approx(0.08, abs=1e-3)


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_round_holes_stay_circles(kind):
    """A post of 10 mm, cut 1 mm wide, is a circle of 9 mm."""
    plan = head_sheet(preset(kind), BLOCK)
    radii = [one.radius_mm for one in tooled(plan, Tool(1.0)).shapes
             if isinstance(one, Circle) and one.layer == "hole"]  # fmt: skip
    wanted = [one.radius_mm - 0.5 for one in plan.shapes if isinstance(one, Circle)]
    assert radii == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("sheet", "tool", "said"),
    [
        (
            rosette_sheet,
            Tool(1.5),
            r"1\.5 mm wide does not fit where there are only 1\.2 mm in a c",
        ),
        (body_sheet, Tool(3.0), "cut only what goes through with this one"),
        (bridge_sheet, Tool(6.0, cuts="through"), "only 5 mm in a hole. Take a thinner tool"),
        (bridge_sheet, Tool(13.0), "The width of the cut is 0 to 12 mm; got 13"),
        (bridge_sheet, Tool(-1.0), "The width of the cut is 0 to 12 mm; got -1"),
        (bridge_sheet, Tool(1.0, 2.0), "The gap is 0 to 1 mm; got 2"),
        (bridge_sheet, Tool(1.0, math.nan), "The gap is 0 to 1 mm; got nan"),
    ],
)
def test_a_tool_wider_than_its_place_is_refused_in_words(sheet, tool, said):
    with pytest.raises(InputError, match=said):
        tooled(sheet(preset("auditorium-steel-string"), BLOCK), tool)


def test_a_kerf_wider_than_the_gap_between_two_arms_is_refused():
    """Two arms with 0.8 mm between them."""
    arms = Draughting()
    arms.outline("cut through", [(0, 0), (20, 0), (20, 20), (10.8, 20), (10.8, 5), (10, 5),
                                 (10, 20), (0, 20)])  # fmt: skip
    plan = arms.plan("Fork", BLOCK)
    with pytest.raises(InputError, match=r"only 0\.8 mm between two edges to cut"):
        tooled(plan, Tool(1.0))
    assert areas(tooled(plan, Tool(0.3)), "cut through")


SLOT, LEFT, RIGHT = [
    [(x, 0), (x + wide, 0), (x + wide, 5), (x, 5)] for x, wide in ((0, 40), (0, 20), (20, 20))
]


def pockets(*drawn):
    lines = Draughting()
    for one in drawn:
        lines.outline("pocket", one)
    return lines.plan("Slot", BLOCK)


@pytest.mark.parametrize("times", [1, 2, 3])
def test_the_same_line_again_has_the_same_way(times):
    """As of two inlays in one place: a slot of 40 by 5 mm, cut 1 mm wide, leaves 39 by 4 to go."""
    way = tooled(pockets(*[SLOT] * times), Tool(1.0))
    assert areas(way, "pocket") == pytest.approx([39 * 4] * times)


def test_lines_that_leave_nothing_between_them_have_a_way():
    assert len(areas(tooled(pockets(SLOT, LEFT, RIGHT), Tool(1.0)), "pocket")) == 3


def test_a_place_that_is_drawn_twice_is_still_too_narrow():
    with pytest.raises(InputError, match=r"6 mm wide does not fit where there are only 5 mm"):
        tooled(pockets(SLOT, SLOT), Tool(6.0))


def test_a_place_as_wide_as_the_tool_has_a_way():
    """The saddle slot of 3 mm and a bit of 3 mm, as is usual."""
    way = tooled(bridge_sheet(preset("classical"), BLOCK), Tool(3.0))
    assert [one for one in areas(way, "pocket") if one > 0]


def test_another_tools_cuts_are_there_to_read():
    way = tooled(body_sheet(preset("classical"), BLOCK), Tool(6.0, cuts="through"))
    assert not [one for one in way.shapes if one.layer in ("channel", "pocket")]
    assert any(isinstance(one, Circle) and one.layer == "reference" for one in way.shapes)
    assert "what is let in" in " ".join(in_words(Tool(6.0, cuts="through")))


def test_without_a_tool_nothing_changes():
    plan = bridge_sheet(preset("classical"), BLOCK)
    assert tooled(plan, Tool()) is plan
    assert not in_words(Tool())
