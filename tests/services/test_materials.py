"""How a piece on the rack comes by its colour, and what a pair is ranked among."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from brief.colour import delta_e_2000, pair_harmony, srgb_to_lab
from brief.colour.notation.adaptation import reading_to_lab
from brief.errors import InputError
from brief.services import nouns, offcuts
from brief.services.pairing.pairings import PairingDraft
from brief.services.rack.density import density_of
from brief.services.rack.harmonies import RackHarmonies
from brief.store.records import Material, Photograph

DARK, LIGHT = (92, 64, 44), (150, 111, 74)


def _change(desk, material, **fields: object) -> None:
    nouns.materials.change(desk, material.id, "*", nouns.materials.change_model(**fields))


def _lab(colour: tuple[int, int, int]) -> np.ndarray:
    return srgb_to_lab(np.array(colour) / 255)


def _mean(material) -> np.ndarray:
    cells = np.array(material.cells)
    return np.average(cells[:, :3], axis=0, weights=cells[:, 3])


def _only_photograph(desk, material) -> Photograph:
    (photograph,) = nouns.photographs.page(desk, material_id=material.id)
    return photograph


def _written(lab: np.ndarray) -> str:
    """As a reading, to the last digit."""
    return "Lab " + " ".join(map(str, lab.tolist()))


def _select(desk, photograph, *selections: str) -> None:
    change = nouns.photographs.change_model(selections=selections)
    nouns.photographs.change(desk, photograph.id, "*", change)


def test_a_piece_is_measured_from_its_photograph(desk, shop) -> None:
    material = shop.piece(DARK, name="feathered_walnut-3.png")
    shown = nouns.materials.show(desk, material)
    assert shown.label == "feathered walnut 3"
    assert delta_e_2000(shown.colour.lab, _lab(DARK)) < 0.01
    assert shown.colour.uncertainty == pytest.approx(16)  # as of any uncorrected photograph
    assert shown.measured == "from 1 photograph as shot"
    assert shown.disagreement is None
    assert shown.spread == pytest.approx(0, abs=0.01)
    mean = ",".join(f"{value:.1f}" for value in shown.colour.lab)
    assert shown.texture == f"/images/{material.image_sha256}/texture?mean={mean}&from={mean}"


def test_only_the_chosen_region_is_measured(desk, shop) -> None:
    material = shop.piece(DARK, LIGHT)
    photograph = _only_photograph(desk, material)
    _select(desk, photograph, "xywh=percent:55,0,45,100")
    assert delta_e_2000(material.lab, _lab(LIGHT)) < 0.01
    assert "?region=xywh=percent:55,0,45,100&" in nouns.materials.show(desk, material).texture
    _select(desk, photograph)
    assert delta_e_2000(material.lab, _lab(LIGHT)) > 1
    assert "region" not in nouns.materials.show(desk, material).texture


def test_a_new_photograph_is_measured_whole(desk, shop) -> None:
    material = shop.piece(DARK, LIGHT)
    first = _only_photograph(desk, material)
    _select(desk, first, "xywh=percent:55,0,45,100")
    second = shop.photograph(material, DARK)
    assert second.selections == []
    assert delta_e_2000(second.lab, _lab(DARK)) < 0.01
    offcuts.remove(desk, nouns.photographs, first.id, "*")
    assert material.region is None
    assert delta_e_2000(material.lab, _lab(DARK)) < 0.01


def test_a_sure_reading_sets_an_unsure_photograph_aside_and_its_figure_follows(desk, shop) -> None:
    """One more than 3 times as uncertain would count a tenth at most: our own limit."""
    material = shop.piece(DARK, LIGHT)
    before, photographed = np.array(material.cells), np.array(material.lab)
    spread = material.spread
    reading = np.add(photographed, (2, -1, 3))
    _change(desk, material, reading=_written(reading))
    assert material.lab == reading.tolist()
    shown = nouns.materials.show(desk, material)
    assert shown.colour.uncertainty == pytest.approx(1)
    assert shown.measured == "from a reading and 1 photograph as shot"
    assert shown.disagreement == pytest.approx(delta_e_2000(reading, photographed))
    after = np.array(material.cells)
    np.testing.assert_allclose(after[:, 3], before[:, 3])
    np.testing.assert_allclose(
        after[:, :3] - before[:, :3], np.broadcast_to((2, -1, 3), (len(after), 3)), atol=2e-5
    )
    assert material.spread == spread

    _change(desk, material, reading="")
    np.testing.assert_allclose(material.lab, photographed)
    np.testing.assert_allclose(material.cells, before, atol=1e-5)
    assert material.disagreement is None


def test_a_reading_far_from_the_photograph_is_less_sure(desk, shop) -> None:
    """The result reaches to where the two agree: beyond the 16 that the photograph may be off."""
    material = shop.piece(DARK, LIGHT)
    apart = float(delta_e_2000(material.lab, [90, 0, 0]))
    assert apart > 30
    _change(desk, material, reading="Lab 90 0 0")
    assert material.lab == [90, 0, 0]
    assert material.uncertainty == pytest.approx((apart**2 - 16**2) ** 0.5)
    assert material.disagreement == pytest.approx(apart)


def test_a_reading_and_a_photograph_as_unsure_count_alike(desk, shop) -> None:
    """Weights are the inverse squares of the uncertainties: JCGM 100:2008 (GUM), from memory."""
    material = shop.piece(DARK)
    photograph = _only_photograph(desk, material)
    photograph.uncertainty = 2.0
    other = np.add(photograph.lab, (1, 0, 0))
    _change(desk, material, reading=_written(other))
    np.testing.assert_allclose(material.lab, np.add(photograph.lab, (0.8, 0, 0)))
    assert material.uncertainty == pytest.approx((1 / (1 / 2.0**2 + 1 / 1.0**2)) ** 0.5)


def test_readings_under_another_light_are_adapted_and_less_sure(desk, shop) -> None:
    """From D50 with 10° a reading may be off by 3.9 CIEDE2000: simulated, `reading_to_lab`."""
    here = shop.material("Lab 38.2 9.1 15.4")
    there = shop.material("Lab 38.2 9.1 15.4 D50/10")
    assert here.lab == [38.2, 9.1, 15.4]
    assert here.uncertainty == pytest.approx(1)
    assert there.lab == pytest.approx(reading_to_lab([38.2, 9.1, 15.4], "lab", "d50", "10").lab)
    assert there.uncertainty == pytest.approx((1 + 3.9**2) ** 0.5)
    assert delta_e_2000(here.lab, there.lab) > 0.5
    shown = nouns.parts.show(
        desk, shop.part(material_id=there.id, swatch_id=shop.swatch(colour="Lab 30 9 15").id)
    )
    assert shown.off_target_uncertainty == pytest.approx((1 + 3.9**2) ** 0.5)


def test_a_reading_alone_gives_a_colour_but_no_figure(desk, shop) -> None:
    shown = nouns.materials.show(desk, shop.material("Lab 40 8 20"))
    assert shown.colour.lab == (40, 8, 20)
    assert (shown.spread, shown.texture, shown.picture) == (None, None, None)


def test_a_piece_neither_photographed_nor_read_has_no_colour(desk, shop) -> None:
    shown = nouns.materials.show(desk, shop.material(""))
    assert (shown.colour, shown.measured) == (None, "not measured")


def test_a_change_of_words_does_not_measure_anew(desk, shop, monkeypatch) -> None:
    material = shop.piece(DARK, LIGHT)
    photograph = _only_photograph(desk, material)
    monkeypatch.setattr("brief.services.photos.findings.measure_patch", None)
    _change(desk, material, label="offcut", price=12.5)
    assert (material.label, material.price) == ("offcut", 12.5)
    change = nouns.photographs.change_model(state="finished", finish="oil")
    nouns.photographs.change(desk, photograph.id, "*", change)
    assert (photograph.state, photograph.finish) == ("finished", "oil")


def test_the_one_photograph_of_two_pieces_is_kept_once(desk, shop, home) -> None:
    for name in ("one.png", "two.png"):
        shop.piece(DARK, name=name)
    assert len([path for path in (home / "images").rglob("*") if path.is_file()]) == 1


def test_cautions_come_with_the_stuff_and_the_species(desk, shop) -> None:
    shell = nouns.materials.show(desk, shop.material(label="abalone", stuff="shell"))
    cedar = nouns.materials.show(desk, shop.material(species="Thuja plicata"))
    assert any("Shell dust" in line for line in shell.cautions)
    assert any("asthma" in line for line in cedar.cautions)


def _rack(shop, *readings: str) -> list:
    return [shop.material(reading, label=reading) for reading in readings]


READINGS = ("Lab 30 9 15", "Lab 88 0 3", "Lab 62 14 40", "Lab 45 -20 5", "Lab 70 6 22")


def test_a_pair_is_ranked_among_all_other_pairs_of_the_rack(desk, shop) -> None:
    rack = _rack(shop, *READINGS)
    shop.material("")  # not measured, so it makes no pair
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=rack[3].id, inlay_id=rack[1].id)
    shown = nouns.pairings.show(desk, nouns.pairings.add(desk, draft))
    own = pair_harmony(rack[3].lab, rack[1].lab).total
    others = [
        pair_harmony(one.lab, other.lab).total
        for one, other in combinations(rack, 2)
        if {one.id, other.id} != {rack[3].id, rack[1].id}
    ]
    assert shown.verdict.rivals == len(others) == 9
    assert shown.verdict.better_than == pytest.approx(np.mean(np.array(others) < own))


def test_what_lies_in_the_bin_is_no_rival(desk, shop) -> None:
    rack = _rack(shop, *READINGS)
    assert len(RackHarmonies(desk).others(rack[0].id, rack[1].id)) == 9
    offcuts.remove(desk, nouns.materials, rack[4].id, "*")
    assert len(RackHarmonies(desk).others(rack[0].id, rack[1].id)) == 5
    # A pair that is itself not on the rack any more is not taken off the others.
    assert len(RackHarmonies(desk).others(rack[0].id, rack[4].id)) == 6


def test_a_rack_of_one_pair_has_no_rivals(desk, shop) -> None:
    ground, inlay = _rack(shop, *READINGS[:2])
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    verdict = nouns.pairings.show(desk, nouns.pairings.add(desk, draft)).verdict
    assert (verdict.rivals, verdict.better_than) == (0, None)


def test_an_empty_rack_ranks_nothing(desk) -> None:
    assert len(RackHarmonies(desk).others("one", "other")) == 0


def test_a_pairing_keeps_the_question_as_it_was_asked(desk, shop) -> None:
    ground, inlay = _rack(shop, *READINGS[:2])
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    pairing = nouns.pairings.add(desk, draft)
    assert nouns.pairings.show(desk, pairing).ground.changed_by == pytest.approx(0)
    _change(desk, ground, reading="Lab 36 9 15")
    shown = nouns.pairings.show(desk, pairing)
    assert shown.ground.asked_lab == (30, 9, 15)
    assert shown.ground.changed_by == pytest.approx(delta_e_2000([30, 9, 15], [36, 9, 15]))
    assert shown.inlay.changed_by == pytest.approx(0)
    again = nouns.pairings.change_model(ground_id=ground.id)
    nouns.pairings.change(desk, pairing.id, "*", again)
    assert nouns.pairings.show(desk, pairing).ground.changed_by == pytest.approx(0)


def test_the_uncertainty_of_a_pair_is_that_of_both_colours(desk, shop) -> None:
    ground = shop.piece(DARK, LIGHT)
    inlay = shop.material("Lab 88 0 3")
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    verdict = nouns.pairings.show(desk, nouns.pairings.add(desk, draft)).verdict
    assert verdict.bench.difference.uncertainty == pytest.approx((16**2 + 1**2) ** 0.5)
    assert verdict.bench.grain > 0
    assert verdict.bench.drowned_share == 0


def test_a_doubt_says_whether_it_is_the_photographs(desk, shop) -> None:
    """The picture is even: 8.5 ± 16 apart, then 2.1 ± 1.4; standing out needs 1.0."""
    ground = shop.piece(DARK)
    inlay = shop.material("Lab 40 9.5 15.5")
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    pairing = nouns.pairings.add(desk, draft)
    verdict = nouns.pairings.show(desk, pairing).verdict
    assert verdict.reading == "doubtful"
    assert "Photographs alone leave this open" in verdict.sentence
    _change(desk, ground, reading="Lab 37.5 9.5 15.5")
    verdict = nouns.pairings.show(desk, pairing).verdict
    assert verdict.reading == "doubtful"
    assert "The readings leave this open" in verdict.sentence


def test_without_a_colour_there_is_no_verdict(desk, shop) -> None:
    ground, inlay = _rack(shop, *READINGS[:2])
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    pairing = nouns.pairings.add(desk, draft)
    _change(desk, inlay, reading="")
    assert nouns.pairings.show(desk, pairing).verdict is None


def test_an_inlay_needs_another_material_than_its_ground(desk, shop) -> None:
    (ground,) = _rack(shop, READINGS[0])
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=ground.id)
    with pytest.raises(InputError, match="needs another material than its ground"):
        nouns.pairings.add(desk, draft)


def test_a_pairing_needs_two_colours(desk, shop) -> None:
    ground, bare = shop.material(), shop.material("", label="plain sycamore")
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=bare.id)
    with pytest.raises(InputError, match="“plain sycamore” has no colour yet") as caught:
        nouns.pairings.add(desk, draft)
    assert caught.value.faults[0].pointer == "/inlay_id"


@pytest.mark.parametrize("reading", ["Lab 40 8", "brownish", "Lab nan 8 20", "Lab 40 8 1e9"])
def test_a_reading_that_makes_no_sense_is_refused_at_its_field(desk, shop, reading: str) -> None:
    with pytest.raises(InputError, match=r"not a colour|must lie between") as caught:
        shop.material(reading)
    assert caught.value.faults[0].pointer == "/reading"


def test_what_a_readings_light_leaves_uncertain_is_said(desk, shop) -> None:
    shown = nouns.materials.show(desk, shop.material("Lab 38.2 9.1 15.4 D50/10"))
    assert shown.reading_note.startswith("Measured under D50 with the 10° observer")
    assert nouns.materials.show(desk, shop.material("Lab 38.2 9.1 15.4")).reading_note == ""


# No surface has it: L 38 with so strong a yellow, see tests/colour/test_optimal_colours.py.
MISTYPED = "Lab 38.2 9.1 75.4"


def test_a_reading_that_no_surface_could_have_is_warned_of(desk, shop) -> None:
    walnut = shop.material(MISTYPED, label="walnut")
    shown = nouns.materials.show(desk, walnut)
    assert shown.warning.startswith("No surface has this colour in daylight unless it glows")
    assert shown.colour is not None  # it is kept all the same
    _change(desk, walnut, reading="Lab 38.2 9.1 15.4")
    assert nouns.materials.show(desk, walnut).warning == ""
    assert nouns.materials.show(desk, shop.piece(DARK)).warning == ""


def test_a_pairing_says_whose_reading_cannot_be(desk, shop) -> None:
    ground, inlay = shop.material(MISTYPED, label="walnut"), shop.material(label="bone")
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    missing = nouns.pairings.show(desk, nouns.pairings.add(desk, draft)).verdict.missing
    assert missing[0].startswith("The reading of walnut: no surface has this colour in daylight")
    assert not any("The reading of bone" in line for line in missing)


def test_a_typed_swatch_that_no_surface_could_have_is_warned_of(desk, shop) -> None:
    assert (
        "No surface has this colour"
        in nouns.swatches.show(desk, shop.swatch(colour=MISTYPED)).warning
    )
    assert nouns.swatches.show(desk, shop.swatch()).warning == ""
    assert nouns.swatches.show(desk, shop.swatch(shop.palette())).warning == ""


def test_two_uncorrected_colours_part_by_less_than_either_is_off(desk, shop) -> None:
    """0.55 of what both doubts come to: tests/benchmarks/test_uncorrected_coverage.py."""
    ground = shop.piece(DARK, name="walnut.png")
    inlay = shop.piece(LIGHT, name="holly.png")

    def doubt() -> float:
        draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
        shown = nouns.pairings.show(desk, nouns.pairings.add(desk, draft))
        return shown.verdict.bench.difference.uncertainty

    assert doubt() == pytest.approx(0.55 * 2**0.5 * 16)
    _change(desk, inlay, reading="Lab 80 4 16")  # now they have no light in common
    assert doubt() == pytest.approx(
        (16**2 + nouns.materials.show(desk, inlay).colour.uncertainty ** 2) ** 0.5
    )


def test_sizes_from_before_they_had_a_least_value_give_no_density() -> None:
    """Each is more than nought, and their product is none."""
    dust = Material(length_mm=1e-200, width_mm=1e-200, thickness_mm=1e-10, weight_g=10.0)
    assert density_of(dust) is None


@pytest.mark.parametrize("written", ["#ebe8e0", "EBE8E0", "lab(92% 0 4)", "lch(92% 4 90)"])
def test_a_colour_as_screens_have_it_is_as_unsure_as_a_screen(desk, shop, written) -> None:
    material = shop.material(written)
    assert material.uncertainty == pytest.approx(10)
    shown = nouns.materials.show(desk, material)
    assert "± 10" in shown.reading_note
    assert shown.reading_uncertainty == 10
    assert shop.swatch(colour=written).uncertainty == 10
    assert shop.swatch(colour="Lab 92 0 4").uncertainty == 0  # what is meant
    _change(desk, material, reading="Lab 92 0 4")
    assert material.uncertainty == pytest.approx(1)  # an instrument's


def test_how_sure_a_reading_is_may_be_stated(desk, shop) -> None:
    material = shop.material("#ebe8e0", reading_uncertainty=4)
    assert material.uncertainty == pytest.approx(4)
    _change(desk, material, reading_uncertainty=2.5)
    assert material.uncertainty == pytest.approx(2.5)
    _change(desk, material, label="bone", reading="#ebe8e0", reading_uncertainty=None)
    assert material.uncertainty == pytest.approx(2.5)  # nothing was said of it
    _change(desk, material, reading="#ebe8e1")
    assert material.uncertainty == pytest.approx(10)
    assert shop.swatch(colour="#ebe8e0", uncertainty=3).uncertainty == 3
    with pytest.raises(InputError, match="out of a palette"):
        shop.swatch(shop.palette(), uncertainty=3)


def test_a_screen_colour_from_before_keeps_what_it_has(desk, shop) -> None:
    """As an earlier version kept it: nothing was said of its uncertainty."""
    material = shop.material("#ebe8e0")
    material.reading_uncertainty = None
    nouns.materials.follow(desk, material)
    assert material.uncertainty == pytest.approx(1)
    _change(desk, material, label="bone", reading="#ebe8e0")
    nouns.materials.follow(desk, material)
    assert material.uncertainty == pytest.approx(1)
