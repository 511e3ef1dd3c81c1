"""The whole of a brief, and what the rack could do for it: odd data, and sums by hand."""

import math

import numpy as np
import pytest

from brief.colour import delta_e_2000, pair_harmony
from brief.colour.viewing.conditions import BENCH
from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.model.contacts import areas_mm2, contacts
from brief.services import nouns, offcuts
from brief.services.instrument.inlays.draft import InlayDraft
from brief.services.spec.offers.asking import Limits
from brief.services.spec.offers.recommendations import ask_rack, uses_for
from brief.services.spec.offers.wording import worst_line_words
from brief.services.spec.schemes import scheme_parts, scheme_view
from brief.services.theme.briefs import BriefDraft

CEDAR, EBONY, BRASS = "Lab 60 14 26", "Lab 20 1 3", "Lab 70 3 35"


@pytest.fixture
def give(desk, shop):
    """Make the part of a role of a piece."""

    def given(role, piece, brief=None):
        parts = nouns.parts.page(desk, brief_id=(brief or shop.brief).id)
        part = next(one for one in parts if one.role == role)
        change = nouns.parts.change_model(material_id=piece.id)
        return nouns.parts.change(desk, part.id, "*", change)

    return given


@pytest.fixture
def board(desk, shop, give):
    """A top of cedar with a fretboard of ebony."""
    cedar = shop.material(CEDAR, label="cedar")
    ebony = shop.material(EBONY, label="bog oak", species="Quercus sp.")
    return give("top", cedar), give("fretboard", ebony)


def the_contact(shop, role, ground):
    return next(
        one for one in contacts(preset(shop.brief.kind)) if (one.role, one.ground) == (role, ground)
    )


def test_two_parts_are_judged_by_the_one_edge_between_them(desk, shop, board):
    found, still_open = scheme_parts(desk, shop.brief)
    verdict = found.judged(BENCH)
    assert len(still_open) == len(preset(shop.brief.kind).parts) - 2
    assert verdict.harmony == pytest.approx(float(pair_harmony([20, 1, 3], [60, 14, 26]).total))
    assert verdict.worst.length_mm == the_contact(shop, "fretboard", "top").length_mm
    areas = areas_mm2(preset(shop.brief.kind))
    assert found.areas == [areas["top"], areas["fretboard"]]


def test_a_theme_of_one_colour_lies_as_far_as_its_parts_do_by_their_areas(desk, shop, board):
    shop.swatch(colour="Lab 44 10 20", name="reed")
    view = scheme_view(desk, shop.brief)
    found, _ = scheme_parts(desk, shop.brief)
    apart = delta_e_2000([[60, 14, 26], [20, 1, 3]], [44, 10, 20])
    assert view.distance == pytest.approx(np.average(apart, weights=found.areas), rel=1e-6)
    (reed,) = view.theme
    assert reed.nearest == "Top"
    assert reed.distance == pytest.approx(apart[0])
    assert reed.uncertainty == pytest.approx(1)  # of the reading; a typed colour is meant
    assert apart[0] - 1 > 10  # further than a part may be that carries it
    said = f"reed is missing: closest is the top, off by {apart[0]:.1f} ± 1.0."
    assert view.sentences[0] == said


def test_what_only_the_doubt_keeps_from_being_carried_may_lie_on_nothing(desk, shop, give, board):
    give("top", shop.piece((150, 111, 74)))  # a photograph as shot: give or take 10
    lab = nouns.parts.show(desk, board[0]).material.now.lab
    shop.swatch(colour=f"Lab {lab[0] + 14} {lab[1]} {lab[2]}", name="straw")
    (straw,) = scheme_view(desk, shop.brief).theme
    assert 10 < straw.distance < 10 + straw.uncertainty
    assert scheme_view(desk, shop.brief).sentences[0].startswith("straw may be missing:")


def test_a_part_whose_piece_lies_in_the_bin_is_open(desk, shop, give, board):
    nut = shop.material(BRASS, label="brass nut", stuff="bone")
    give("nut", nut)
    assert "Nut" not in scheme_view(desk, shop.brief).still_open
    offcuts.remove(desk, nouns.materials, nut.id, "*")
    assert "Nut" in scheme_view(desk, shop.brief).still_open


def test_a_piece_without_a_colour_leaves_its_part_open(desk, shop, give, board):
    give("nut", shop.material("", label="bone blank", stuff="bone"))
    assert "Nut" in scheme_view(desk, shop.brief).still_open


def test_two_parts_of_a_role_share_its_area_and_its_edge(desk, shop, board):
    brass = shop.material(BRASS, label="brass", stuff="metal")
    for name in ("reed", "heron"):
        shop.part(role="inlay", name=name, material_id=brass.id)
    found, _ = scheme_parts(desk, shop.brief)
    edge = the_contact(shop, "inlay", "fretboard").length_mm
    places = [place for place, part in enumerate(found.parts) if part.role == "inlay"]
    met = {one: contact.length_mm for one, _, contact in found.touching if one in places}
    assert met == dict.fromkeys(places, edge / 2)
    assert sum(found.areas[one] for one in places) == pytest.approx(
        areas_mm2(preset(shop.brief.kind))["inlay"]
    )


def test_an_inlay_counts_with_its_own_area_edge_and_thinnest_place(desk, shop, board):
    """Two dots of 5 mm and a ring drawn 8 mm wide with a band of 1 mm, by their formulas."""
    brass = shop.material(BRASS, label="brass", stuff="metal")
    dots, ring = (
        shop.part(role=role, name=role, material_id=brass.id) for role in ("inlay", "ring")
    )
    more = {"brief_id": shop.brief.id}
    nouns.inlays.add(
        desk,
        InlayDraft(name="dots", part_id=dots.id, shape="dot", width_mm=5, frets=[5, 7], **more),
    )
    band = '<circle cx="9" cy="9" r="3.5" fill="none" stroke="#000" stroke-width="1"/>'
    drawing = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 18 18">{band}</svg>'
    nouns.inlays.add(
        desk,
        InlayDraft(name="ring", part_id=ring.id, drawing=drawing, width_mm=8, frets=[12], **more),
    )
    found, _ = scheme_parts(desk, shop.brief)
    places = {part.id: place for place, part in enumerate(found.parts)}
    areas = [found.areas[places[part.id]] for part in (dots, ring)]
    assert areas == pytest.approx([2 * math.pi * 2.5**2, 2 * math.pi * 3.5 * 1.0], rel=1e-3)
    met = {one: contact for one, _, contact in found.touching}
    assert met[places[dots.id]].length_mm == pytest.approx(2 * math.pi * 5, rel=1e-3)
    assert met[places[ring.id]].length_mm == pytest.approx(2 * math.pi * 7, rel=1e-3)
    assert met[places[ring.id]].line_mm == pytest.approx(1.0, rel=0.02)
    assert any("your inlays" in line for line in scheme_view(desk, shop.brief).missing)


def test_a_part_of_its_own_kind_touches_nothing_and_is_small(desk, shop, board):
    shop.part(role="armrest", material_id=shop.material(BRASS, stuff="metal").id)
    found, _ = scheme_parts(desk, shop.brief)
    assert found.areas[-1] == 200  # our working figure for what is not on the list
    assert len(found.touching) == 1


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_every_kind_of_instrument_has_a_scheme_and_can_be_asked_for(desk, shop, kind):
    brief = nouns.briefs.add(desk, BriefDraft(title=kind, kind=kind))
    cedar = shop.material(CEDAR, label="cedar")
    shop.material(EBONY, label="bog oak", species="Quercus sp.")
    parts = nouns.parts.page(desk, brief_id=brief.id)
    for part in parts:
        change = nouns.parts.change_model(material_id=cedar.id)
        nouns.parts.change(desk, part.id, "*", change)
    assert scheme_view(desk, brief).still_open == []
    found = ask_rack(desk, brief, Limits(frozenset(part.id for part in parts)))
    assert {swap.material for one in found.proposals for swap in one.swaps} == {"bog oak"}


# Asking the rack


def test_a_choice_without_a_theme_is_not_told_by_the_theme(desk, shop, board):
    shop.material("Lab 84 4 20", label="spruce")
    found = ask_rack(desk, shop.brief, Limits(frozenset({board[0].id})))
    assert any(one.swaps for one in found.proposals)
    assert not any("the theme" in one.sentence for one in found.proposals)


def test_what_an_open_part_is_made_of_now_keeps_to_the_limits_too(desk, shop, give, board):
    shop.material("Lab 22 1 3", label="stained board", species="Juglans nigra")
    rosewood = shop.material(EBONY, label="old board", species="Dalbergia nigra")
    fretboard = give("fretboard", rosewood)
    open_part = frozenset({fretboard.id})
    found = ask_rack(desk, shop.brief, Limits(open_part, no_papers=True))
    assert found.proposals
    for one in found.proposals:
        assert [swap.part for swap in one.swaps] == ["Fretboard"]  # it never stays rosewood
    # A cedar and an oak that nobody named more closely may be those that are listed.
    assert "May need papers: cedar, bog oak and old board." in found.left_out
    assert any("ask your permit authority" in line for line in found.left_out)
    # One that is not open is left alone.
    found = ask_rack(desk, shop.brief, Limits(frozenset({board[0].id}), no_papers=True))
    assert found.proposals


def test_a_piece_is_of_no_use_for_a_part_it_is_too_small_for(desk, shop, board):
    offcut = shop.material(
        BRASS, label="offcut", length_mm=60, width_mm=20, thickness_mm=4
    )  # timber
    parts = {use.part for use in uses_for(desk, shop.brief, offcut)}
    assert "Inlay" in parts
    assert not parts & {"Top", "Back", "Fretboard"}


def test_parts_without_a_line_are_told_so(desk, shop, board):
    shop.material("Lab 84 4 20", label="cattle bone", stuff="bone")
    nut = next(p for p in nouns.parts.page(desk, brief_id=shop.brief.id) if p.role == "nut")
    found = ask_rack(desk, shop.brief, Limits(frozenset({nut.id})))
    assert {one.legibility for one in found.proposals} == {None}
    assert {one.sentence for one in found.proposals} == {
        "None of these parts is a thin line in another."
    }


@pytest.mark.parametrize(
    ("legibility", "said"),
    [
        (None, ""),
        (-0.3, "may not read: the doubt is larger than the contrast"),
        (0.0, "may not read: the doubt is larger than the contrast"),
        (0.42, "may not read: 42 % of the contrast it needs"),
        (0.999, "may not read: 99 % of the contrast it needs"),
        (1.0, "weakest line: reads"),
        (1.5, "reads with room to spare"),
        (7.0, "reads with room to spare"),
    ],
)
def test_how_the_worst_line_reads_is_told_in_words(legibility, said):
    assert worst_line_words(legibility).endswith(said)


def test_a_doubt_larger_than_the_difference_is_no_line_turned_round(desk, shop, give, board):
    """Two photographs as shot of one colour: their doubt is all there is between them."""
    near = shop.piece((44, 40, 38), name="near.png")
    give("inlay", near)
    give("fretboard", shop.piece((44, 40, 38), name="board.png"))
    inlay = next(p for p in nouns.parts.page(desk, brief_id=shop.brief.id) if p.role == "inlay")
    found = ask_rack(desk, shop.brief, Limits(frozenset({inlay.id})))
    stays = [one for one in found.proposals if one.legibility is not None]
    assert stays
    assert all(one.legibility >= 0 for one in stays)
    assert not any("-" in one.worst_line for one in stays)


def test_the_rack_offers_what_is_usual_for_a_part(desk, shop, board):
    """A softwood is no neck and no binding, shell no purfling: common practice, no source."""
    for label in ("Spruce top", "Redwood billet"):
        shop.material("Lab 80 5 22", label=label)
    shop.material("Lab 88 0 3", label="White shell", stuff="shell")
    shop.material("Lab 40 15 25", label="Maple strips", species="Acer")
    parts = {one.role: one for one in nouns.parts.page(desk, brief_id=shop.brief.id)}
    wanted = frozenset(parts[role].id for role in ("neck", "binding", "purfling"))
    found = ask_rack(desk, shop.brief, Limits(wanted))
    offered = {swap.material for one in found.proposals for swap in one.swaps}
    assert offered <= {"Maple strips", "bog oak"}
    assert offered


def test_what_no_limit_lets_through_is_named(desk, shop, board):
    shop.material("Lab 40 15 25", label="Sapele neck", species="Entandrophragma cylindricum")
    neck = next(p for p in nouns.parts.page(desk, brief_id=shop.brief.id) if p.role == "neck")
    with pytest.raises(InputError, match=r"suits the neck\. Outside the limits: .*Sapele neck"):
        ask_rack(desk, shop.brief, Limits(frozenset({neck.id}), no_papers=True))
