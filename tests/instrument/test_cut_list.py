"""The cut list; sizes of blanks are usual ones: common practice, no source."""

import math

import pytest
from shapely import Polygon

from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.model.also_needed import also_needed, of_cut
from brief.instrument.model.cut_list import Cut, board_share, cut_list
from brief.instrument.model.shape import shaped
from brief.instrument.outline.outlines import body_outline

KINDS = [kind for kind, _ in presets()]
PARLOUR = preset("parlour-steel-string")


def row(role, one=PARLOUR, **options):
    return next(cut for cut in cut_list(one, **options) if cut.role == role)


@pytest.mark.parametrize("kind", KINDS)
def test_every_part_comes_out_of_its_blank(kind):
    found = list(cut_list(preset(kind), allowance_mm=0.0))
    assert found
    for cut in found:
        assert cut.pieces >= 1
        assert min(cut.length_mm, cut.width_mm, cut.thickness_mm) > 0
        assert (cut.waste is None) == (cut.role == "neck")
        if cut.waste is not None:
            assert 0 < cut.waste < 0.5


def test_a_back_weighs_its_area_times_its_thickness():
    """By shapely's area, 2.6 mm thick, of a timber of 800 kg/m³."""
    area = Polygon(body_outline(PARLOUR)).area
    assert row("back", densities={"back": 800.0}).weight_g == pytest.approx(
        area * 2.6 * 800e-6, rel=1e-6
    )
    back = row("back")
    assert back.weight_g is None
    assert back.pieces == 2
    assert back.blank_mm3 == pytest.approx(2 * 495 * (333.8 / 2 + 8) * 3.6)
    assert back.waste == pytest.approx(1 - area * 2.6 / back.blank_mm3)


def test_the_top_lacks_the_hole():
    top = row("top", densities={"top": 400.0})
    solid = Polygon(body_outline(PARLOUR)).area - math.pi * 47.5**2
    assert top.finished_mm3 == pytest.approx(solid * 2.8)


def test_planing_takes_its_allowance_from_timber_alone():
    assert row("fretboard", allowance_mm=2.0).thickness_mm == pytest.approx(8.0)
    assert row("nut", allowance_mm=2.0).thickness_mm == pytest.approx(5.0)


def test_the_neck_is_left_to_the_hand():
    neck = row("neck", densities={"neck": 500.0})
    assert (neck.finished_mm3, neck.waste, neck.weight_g) == (None, None, None)


def test_purfling_is_laid_up_from_strips():
    assert row("purfling").pieces == 16  # 1.6 mm of strips of 0.4, on either side, top and back
    assert row("purfling", shaped(PARLOUR, {"purfling_mm": 0.5})).pieces == 8


def test_deeper_sides_need_wider_blanks():
    deep = shaped(PARLOUR, {"side_tail_mm": 120.0})
    assert row("sides", deep).width_mm == pytest.approx(128.0)
    assert row("sides", deep).finished_mm3 > row("sides").finished_mm3


@pytest.mark.parametrize("density", [0.0, -400.0, 50000.0, math.nan])
def test_a_density_that_no_part_has_is_refused(density):
    with pytest.raises(InputError, match=f"density of top must be 20 .* got {density}") as caught:
        cut_list(PARLOUR, densities={"top": density})
    assert caught.value.faults[0].pointer == "/densities/top"


@pytest.mark.parametrize("allowance", [-1.0, 11.0, math.nan])
def test_an_allowance_outside_its_range_is_refused(allowance):
    with pytest.raises(InputError, match=f"0 to 10 mm; got {allowance}"):
        cut_list(PARLOUR, allowance_mm=allowance)


def test_the_share_of_a_board_by_hand():
    """On a board of 1,000 × 200 mm: two blanks of 500 × 100 are a half, of 12 mm on 24 mm stock a
    quarter; a third of 30 mm is on it once; a neck is never resawn."""
    plate = Cut("top", "Top", 2, 500, 100, 12, None, None)
    assert board_share((1000, 200, None), [plate]) == 0.5
    assert board_share((1000, 200, 12), [plate]) == 0.5
    assert board_share((1000, 200, 24), [plate]) == 0.25
    thick = Cut("back", "Back", 1, 400, 100, 30, None, None)
    assert board_share((1000, 200, 25), [plate, thick]) == pytest.approx(0.25 + 0.2)
    neck = Cut("neck", "Neck", 1, 1000, 100, 20, None, None)
    assert board_share((1000, 200, 80), [neck]) == 0.5
    assert board_share((100, 100, 80), [neck]) == 10


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_bought_besides_has_room_round_what_it_becomes(kind):
    one = preset(kind)
    needed = also_needed(one)
    for line in needed:
        assert line.pieces >= 1
        pairs = zip(line.finished_mm, line.blank_mm, strict=True)
        assert all(0 < finished < blank for finished, blank in pairs), line.name
    for cut in cut_list(one):
        if cut.role != "neck":
            line = of_cut(one, cut)
            assert line.blank_mm == (cut.length_mm, cut.width_mm, cut.thickness_mm)
            pairs = zip(line.finished_mm, line.blank_mm, strict=True)
            assert all(finished <= blank for finished, blank in pairs), line.name


def test_a_neck_has_stock_for_its_heel_each_way():
    """By hand, 14° and 20 mm: the head drops 179 sin 14° + 20 cos 14° = 62.7 mm; a heel of 92 mm
    and its cap of 3 need 5 layers of 20; the scarf is 20 / tan 14° = 80.2 mm long."""
    one = preset("auditorium-steel-string")
    by_name = {line.name: line for line in also_needed(one)}
    assert by_name["Neck of one piece"].finished_mm[2] == pytest.approx(95.0)
    assert by_name["Neck, stacked heel"].finished_mm[2] == pytest.approx(62.71, abs=0.01)
    assert by_name["Heel blocks, scarfed head"].pieces == 4
    shaft = one.fretboard.fret_mm(one.frets_to_body) + 5 + 25
    scarfed = by_name["Neck, scarfed head"].finished_mm[0]
    assert scarfed == pytest.approx(shaft + 80.2 + 179, abs=0.1)


def test_binding_and_linings_go_round_both_edges():
    binding, linings = (
        row("binding"),
        next(line for line in also_needed(PARLOUR) if line.name == "Linings"),
    )
    assert (binding.pieces, linings.pieces) == (4, 4)
    around = Polygon(body_outline(PARLOUR)).exterior.length
    assert 4 * linings.finished_mm[0] == pytest.approx(2 * around, rel=1e-4)
    assert binding.finished_mm3 == pytest.approx(2 * around * 2.2 * 6.0, rel=1e-3)
    pointed = shaped(PARLOUR, {"cutaway_depth_mm": 60.0, "cutaway_round_mm": 0.0})
    assert [line.pieces for line in also_needed(pointed) if "Linings" in line.name] == [2, 2, 2]
