"""Parts remember the colours they were given, and lead back to the theme."""

from __future__ import annotations

import pytest

from brief.colour import delta_e_2000
from brief.errors import InputError
from brief.services import nouns, offcuts

WALNUT, REREAD = "Lab 30 9 15", "Lab 36 9 15"


def _change(noun, desk, record, **fields: object) -> None:
    noun.change(desk, record.id, "*", noun.change_model(**fields))


def test_a_part_keeps_the_colours_as_they_were_chosen(desk, shop) -> None:
    walnut, swatch = shop.material(WALNUT), shop.swatch(colour="Lab 50 10 20")
    part = shop.part(material_id=walnut.id, swatch_id=swatch.id)
    shown = nouns.parts.show(desk, part)
    assert shown.material.changed_by is None
    assert shown.swatch.changed_by is None

    _change(nouns.materials, desk, walnut, reading=REREAD)
    _change(nouns.swatches, desk, swatch, colour="Lab 50 10 24")
    shown = nouns.parts.show(desk, part)
    assert shown.material.chosen.lab == (30, 9, 15)
    assert shown.material.now.lab == (36, 9, 15)
    assert shown.material.changed_by == pytest.approx(delta_e_2000([30, 9, 15], [36, 9, 15]))
    assert shown.swatch.chosen.lab == (50, 10, 20)
    assert shown.swatch.changed_by == pytest.approx(delta_e_2000([50, 10, 20], [50, 10, 24]))


def test_choosing_again_accepts_the_colour_of_today(desk, shop) -> None:
    walnut, swatch = shop.material(WALNUT), shop.swatch()
    part = shop.part(material_id=walnut.id, swatch_id=swatch.id)
    _change(nouns.materials, desk, walnut, reading=REREAD)
    _change(nouns.swatches, desk, swatch, colour="#2f6f62")

    _change(nouns.parts, desk, part, finish="French polish")
    assert nouns.parts.show(desk, part).material.changed_by is not None

    _change(nouns.parts, desk, part, material_id=walnut.id)
    shown = nouns.parts.show(desk, part)
    assert shown.material.changed_by is None
    assert shown.material.chosen.lab == (36, 9, 15)
    assert shown.swatch.changed_by is not None
    _change(nouns.parts, desk, part, swatch_id=swatch.id)
    assert nouns.parts.show(desk, part).swatch.changed_by is None


def test_a_choice_can_be_taken_off_again(desk, shop) -> None:
    part = shop.part(material_id=shop.material().id, swatch_id=shop.swatch().id)
    _change(nouns.parts, desk, part, material_id=None, swatch_id=None)
    shown = nouns.parts.show(desk, part)
    assert (shown.material, shown.swatch, shown.off_target) == (None, None, None)
    assert part.chosen_material_lab is None
    assert part.chosen_swatch_lab is None


def test_a_material_without_a_colour_can_be_chosen_and_measured_later(desk, shop) -> None:
    walnut = shop.material("")
    part = shop.part(material_id=walnut.id, swatch_id=shop.swatch().id)
    shown = nouns.parts.show(desk, part)
    assert (shown.material.now, shown.material.chosen, shown.off_target) == (None, None, None)
    _change(nouns.materials, desk, walnut, reading=WALNUT)
    shown = nouns.parts.show(desk, part)
    assert shown.material.now.lab == (30, 9, 15)
    assert shown.material.changed_by is None  # there was no colour that it could differ from
    assert shown.off_target is not None


def test_how_far_off_its_target_a_part_is_and_how_sure_that_is(desk, shop) -> None:
    walnut, swatch = shop.material(WALNUT), shop.swatch(shop.palette())
    shown = nouns.parts.show(desk, shop.part(material_id=walnut.id, swatch_id=swatch.id))
    assert shown.off_target == pytest.approx(delta_e_2000([30, 9, 15], swatch.lab))
    # Independent errors add as the root of the sum of squares: JCGM 100:2008 (GUM), 5.1.2.
    assert shown.off_target_uncertainty == pytest.approx((1.0**2 + 16.0**2) ** 0.5)


def test_a_part_goes_by_its_role_until_it_has_a_name(desk, shop) -> None:
    part = shop.part(role="end graft")
    assert part.name == "end graft"
    _change(nouns.parts, desk, part, name="wedge")
    assert part.name == "wedge"
    _change(nouns.parts, desk, part, name="")
    assert part.name == "end graft"


def test_the_thread_leads_from_part_to_motif(desk, shop) -> None:
    reed, light, water = shop.motif("reed"), shop.motif("first light"), shop.motif("slack water")
    reference = shop.reference(motif_ids=[reed.id])
    palette = shop.palette(reference)
    swatch = shop.swatch(palette, motif_id=light.id, name="dry reed")
    walnut = shop.material()
    part = shop.part(material_id=walnut.id, swatch_id=swatch.id, motif_id=water.id)

    thread = nouns.parts.thread(desk, part.id)
    assert thread.part.id == part.id
    assert thread.material.id == walnut.id
    assert thread.swatch.name == "dry reed"
    assert thread.palette.id == palette.id
    assert thread.reference.id == reference.id
    assert [motif.name for motif in thread.motifs] == ["slack water", "first light", "reed"]


def test_the_thread_names_each_motif_once_and_none_from_the_bin(desk, shop) -> None:
    reed, light = shop.motif("reed"), shop.motif("first light")
    reference = shop.reference(motif_ids=[reed.id, light.id, reed.id])
    swatch = shop.swatch(shop.palette(reference), motif_id=reed.id)
    part = shop.part(swatch_id=swatch.id, motif_id=reed.id)
    offcuts.remove(desk, nouns.motifs, light.id, "*")
    assert [motif.name for motif in nouns.parts.thread(desk, part.id).motifs] == ["reed"]


def test_the_thread_ends_where_nothing_follows(desk, shop) -> None:
    thread = nouns.parts.thread(desk, shop.part().id)
    assert (thread.material, thread.swatch, thread.palette, thread.reference) == (None,) * 4
    assert thread.motifs == []
    typed = nouns.parts.thread(desk, shop.part(swatch_id=shop.swatch().id).id)
    assert typed.swatch is not None
    assert typed.palette is None


def test_a_new_brief_comes_with_the_parts_of_its_kind_all_open(desk, shop) -> None:
    parts = nouns.parts.page(desk, brief_id=shop.brief.id)
    assert {"top", "back", "fretboard"} <= {part.role for part in parts}
    assert all(part.material_id is None and part.swatch_id is None for part in parts)


POINTERS = [
    ("part", "swatch_id", "swatch"),
    ("part", "motif_id", "motif"),
    ("swatch", "motif_id", "motif"),
    ("swatch", "palette", "palette"),
]


@pytest.mark.parametrize(("kind", "field", "target"), POINTERS)
def test_nothing_points_into_another_brief(
    desk, shop, other_shop, kind: str, field: str, target: str
) -> None:
    foreign = getattr(other_shop, target)()
    with pytest.raises(InputError, match=rf"The {target} “.+” is in another brief") as caught:
        getattr(shop, kind)(**{field: foreign if field == "palette" else foreign.id})
    assert caught.value.faults[0].pointer in (f"/{field}", "/palette_id")


@pytest.mark.parametrize(("kind", "field", "target"), POINTERS[:3])
def test_nothing_is_turned_to_point_into_another_brief(
    desk, shop, other_shop, kind: str, field: str, target: str
) -> None:
    record, foreign = getattr(shop, kind)(), getattr(other_shop, target)()
    noun = {"part": nouns.parts, "swatch": nouns.swatches}[kind]
    with pytest.raises(InputError, match="is in another brief"):
        _change(noun, desk, record, **{field: foreign.id})


def test_a_reference_takes_no_motif_of_another_brief(desk, shop, other_shop) -> None:
    foreign = other_shop.motif("heather")
    with pytest.raises(InputError, match="The motif “heather” is in another brief") as caught:
        shop.passage(motif_ids=[foreign.id])
    assert caught.value.faults[0].pointer == "/motif_ids"


@pytest.mark.parametrize("field", ["material_id", "swatch_id", "motif_id"])
def test_a_pointer_to_nothing_is_said_at_its_field(desk, shop, field: str) -> None:
    with pytest.raises(InputError, match=r"There is no .* “nowhere”") as caught:
        shop.part(**{field: "nowhere"})
    assert caught.value.faults[0].pointer == f"/{field}"
