"""How a piece on the rack comes by its colour, and what a pair is ranked among."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from brief.colour import delta_e_2000, pair_harmony, srgb_to_lab
from brief.errors import InputError
from brief.services import nouns
from brief.services.pairings import PairingDraft
from brief.services.rack import RackHarmonies

DARK, LIGHT = (92, 64, 44), (150, 111, 74)


def _change(desk, material, **fields: object) -> None:
    nouns.materials.change(desk, material.id, "*", nouns.materials.change_model(**fields))


def _lab(colour: tuple[int, int, int]) -> np.ndarray:
    return srgb_to_lab(np.array(colour) / 255)


def _mean(material) -> np.ndarray:
    cells = np.array(material.cells)
    return np.average(cells[:, :3], axis=0, weights=cells[:, 3])


def test_a_piece_is_measured_from_its_photograph(desk, shop, picture) -> None:
    material = nouns.materials.add_picture(desk, "feathered_walnut-3.png", picture(DARK))
    shown = nouns.materials.show(desk, material)
    assert shown.label == "feathered walnut 3"
    assert delta_e_2000(shown.colour.lab, _lab(DARK)) < 0.01
    assert shown.colour.uncertainty == 10  # working figure for an uncorrected photograph
    assert shown.measured == "from its photograph, not corrected for the light"
    assert shown.spread == pytest.approx(0, abs=0.01)
    assert shown.texture == f"/images/{material.image_sha256}/texture"


def test_only_the_chosen_region_is_measured(desk, shop, picture) -> None:
    material = nouns.materials.add_picture(desk, "plank.png", picture(DARK, LIGHT))
    _change(desk, material, region="xywh=percent:55,0,45,100")
    assert delta_e_2000(material.lab, _lab(LIGHT)) < 0.01
    assert nouns.materials.show(desk, material).texture.endswith("?region=xywh=percent:55,0,45,100")
    _change(desk, material, region=None)
    assert delta_e_2000(material.lab, _lab(LIGHT)) > 1


def test_a_new_photograph_is_measured_whole(desk, shop, picture) -> None:
    material = nouns.materials.add_picture(desk, "plank.png", picture(DARK, LIGHT))
    _change(desk, material, region="xywh=percent:55,0,45,100")
    nouns.materials.photograph(desk, material.id, "*", "again.png", picture(DARK))
    assert material.region is None
    assert delta_e_2000(material.lab, _lab(DARK)) < 0.01


def test_a_reading_overrules_the_photograph_and_its_figure_follows(desk, shop, picture) -> None:
    material = nouns.materials.add_picture(desk, "plank.png", picture(DARK, LIGHT))
    before, photographed = np.array(material.cells), np.array(material.lab)
    spread = material.spread
    _change(desk, material, reading="Lab 40 8 20")
    assert material.lab == [40, 8, 20]
    assert nouns.materials.show(desk, material).colour.uncertainty == 1
    assert nouns.materials.show(desk, material).measured == "read with an instrument"
    after = np.array(material.cells)
    np.testing.assert_allclose(after[:, 3], before[:, 3])
    np.testing.assert_allclose(
        after[:, :3] - before[:, :3],
        np.broadcast_to(np.array([40, 8, 20]) - photographed, (len(after), 3)),
        atol=2e-5,
    )
    assert material.spread == spread

    _change(desk, material, reading="")
    np.testing.assert_allclose(material.lab, photographed)
    np.testing.assert_allclose(material.cells, before, atol=1e-5)


def test_a_reading_alone_gives_a_colour_but_no_figure(desk, shop) -> None:
    shown = nouns.materials.show(desk, shop.material("Lab 40 8 20"))
    assert shown.colour.lab == (40, 8, 20)
    assert (shown.spread, shown.texture, shown.picture) == (None, None, None)


def test_a_piece_neither_photographed_nor_read_has_no_colour(desk, shop) -> None:
    shown = nouns.materials.show(desk, shop.material(""))
    assert (shown.colour, shown.measured) == (None, "not measured yet")


def test_a_change_of_words_does_not_measure_anew(desk, shop, picture, monkeypatch) -> None:
    material = nouns.materials.add_picture(desk, "plank.png", picture(DARK, LIGHT))
    monkeypatch.setattr("brief.services.rack.measure_patch", None)
    _change(desk, material, label="offcut", price=12.5)
    assert (material.label, material.price) == ("offcut", 12.5)


def test_the_one_photograph_of_two_pieces_is_kept_once(desk, shop, picture, home) -> None:
    for name in ("one.png", "two.png"):
        nouns.materials.add_picture(desk, name, picture(DARK))
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
    assert shown.verdict.harmony.rivals == len(others) == 9
    assert shown.verdict.harmony.better_than == pytest.approx(np.mean(np.array(others) < own))


def test_what_lies_in_the_bin_is_no_rival(desk, shop) -> None:
    rack = _rack(shop, *READINGS)
    assert len(RackHarmonies(desk).others(rack[0].id, rack[1].id)) == 9
    nouns.materials.remove(desk, rack[4].id, "*")
    assert len(RackHarmonies(desk).others(rack[0].id, rack[1].id)) == 5
    # A pair that is itself not on the rack any more is not taken off the others.
    assert len(RackHarmonies(desk).others(rack[0].id, rack[4].id)) == 6


def test_a_rack_of_one_pair_has_no_rivals(desk, shop) -> None:
    ground, inlay = _rack(shop, *READINGS[:2])
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    verdict = nouns.pairings.show(desk, nouns.pairings.add(desk, draft)).verdict
    assert (verdict.harmony.rivals, verdict.harmony.better_than) == (0, None)


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


def test_the_uncertainty_of_a_pair_is_that_of_both_colours(desk, shop, picture) -> None:
    ground = nouns.materials.add_picture(desk, "plank.png", picture(DARK, LIGHT))
    inlay = shop.material("Lab 88 0 3")
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    verdict = nouns.pairings.show(desk, nouns.pairings.add(desk, draft)).verdict
    assert verdict.difference.uncertainty == pytest.approx((10**2 + 1**2) ** 0.5)
    assert verdict.grain > 0
    assert verdict.drowned_share == 0


def test_a_doubt_says_whether_it_is_the_photographs(desk, shop, picture) -> None:
    """The picture is even, so it takes 5: 8.5 ± 10 apart, then 5.5 ± 1.4."""
    ground = nouns.materials.add_picture(desk, "plank.png", picture(DARK))
    inlay = shop.material("Lab 40 9.5 15.5")
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id)
    pairing = nouns.pairings.add(desk, draft)
    verdict = nouns.pairings.show(desk, pairing).verdict
    assert verdict.reading == "doubtful"
    assert "because colours from photographs may be off" in verdict.sentence
    _change(desk, ground, reading="Lab 33.5 9.5 15.5")
    verdict = nouns.pairings.show(desk, pairing).verdict
    assert verdict.reading == "doubtful"
    assert "because readings may be off" in verdict.sentence


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
