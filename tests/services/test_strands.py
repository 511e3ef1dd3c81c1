"""The strands of a theme: what belongs to which motif, and where each ends open."""

from __future__ import annotations

import pytest

from brief.services import nouns
from brief.services.common.noun import Noun
from brief.services.drawing.instrument_drawing import worn
from brief.services.spec.strands import MOST, Gathered, strands_of


def strands(desk, shop, **how):
    """As the Theme sheet has them."""

    def views(noun: Noun):
        return noun.show_all(desk, noun.page(desk, brief_id=shop.brief.id))

    parts = views(nouns.parts)
    gathered = Gathered(
        motifs=views(nouns.motifs),
        references=nouns.references.page(desk, brief_id=shop.brief.id),
        swatches=views(nouns.swatches),
        parts=parts,
        worn=worn(desk, [one.material.id for one in parts if one.material], "bare"),
        **how,
    )
    return strands_of(desk, shop.brief, gathered)


def names(lines):
    return [getattr(one, "name", None) or one.label for line in lines for one in line]


def said(strand, stage):
    return [end.words for end in strand.ends.get(stage, ())]


def test_a_strand_goes_from_picture_to_part(desk, shop) -> None:
    reed = shop.motif("Reed")
    picture = shop.reference((200, 180, 120), motif_ids=[reed.id])
    verse = shop.passage(motif_ids=[reed.id])
    straw = shop.swatch(name="Straw", motif_id=reed.id)
    walnut = shop.material(label="Walnut")
    shop.part(role="rosette", name="Rosette", material_id=walnut.id, swatch_id=straw.id)
    found = strands(desk, shop)
    (strand,) = found.strands
    assert [one.id for line in strand.pictures for one in line] == [picture.id, verse.id]
    assert [one.name for one in strand.colours] == ["Straw"]
    assert names(strand.pieces) == ["Walnut"]
    assert names(strand.parts) == ["Rosette"]
    assert strand.ends == {}
    assert found.loose.is_empty
    (part,) = strand.parts[0]
    assert part.face == "front"
    assert len(part.view_box.split()) == 4
    assert [*found.faces] == ["front"]


def test_a_part_is_in_the_strand_of_its_own_motif_before_that_of_its_colour(desk, shop) -> None:
    reed, water = shop.motif("Reed"), shop.motif("Water")
    pale = shop.swatch(name="Pale", motif_id=water.id)
    own = {"swatch_id": pale.id, "material_id": shop.material().id}
    shop.part(role="inlay", name="Bird", motif_id=reed.id, **own)
    shop.part(role="binding", name="Edge", **own)
    first, second = strands(desk, shop).strands
    assert (names(first.parts), names(second.parts)) == (["Bird"], ["Edge"])


def test_a_strand_without_anything_ends_at_its_pictures(desk, shop) -> None:
    shop.motif("Reed")
    (strand,) = strands(desk, shop).strands
    assert strand.is_empty
    assert strand.tall == 1
    assert {stage: said(strand, stage) for stage in strand.ends} == {
        "pictures": ["No picture or passage yet"]
    }


def test_a_colour_on_no_part_ends_it_there_and_names_the_nearest_piece(desk, shop) -> None:
    reed = shop.motif("Reed")
    shop.passage(motif_ids=[reed.id])
    shop.swatch(name="Straw", colour="Lab 70 5 25", motif_id=reed.id)
    shop.swatch(name="Slate", colour="Lab 45 0 -8", motif_id=reed.id)
    shop.material("Lab 71 5 26", label="Sycamore")
    shop.material("Lab 20 5 5", label="Ebony")
    (strand,) = strands(desk, shop).strands
    assert said(strand, "parts") == ["Straw and Slate are on no part yet"]
    assert strand.ends["parts"][0].sheet == "spec"
    pieces = {one.label: one.near for line in strand.pieces for one in line}
    assert pieces["Sycamore"] == "Straw"
    assert "Slate" in "".join(pieces.values())


def test_a_part_without_a_piece_is_said_where_pieces_are(desk, shop) -> None:
    reed = shop.motif("Reed")
    shop.passage(motif_ids=[reed.id])
    straw = shop.swatch(name="Straw", motif_id=reed.id)
    part = shop.part(role="rosette", name="Rosette", swatch_id=straw.id)
    (strand,) = strands(desk, shop).strands
    assert said(strand, "pieces") == ["Rosette has no piece yet"]
    assert strand.ends["pieces"][0].anchor == f"part-{part.id}"
    assert said(strand, "parts") == []


def test_a_piece_in_the_offcuts_bin_carries_nothing(desk, shop) -> None:
    reed = shop.motif("Reed")
    walnut = shop.material(label="Walnut")
    part = shop.part(role="rosette", motif_id=reed.id, material_id=walnut.id)
    walnut.binned_utc = part.created_utc
    desk.session.flush()
    (strand,) = strands(desk, shop).strands
    assert strand.pieces == []
    assert said(strand, "pieces") == ["rosette has no piece yet"]


def test_what_has_no_motif_is_in_a_row_of_its_own_and_a_part_not_begun_is_not(desk, shop) -> None:
    shop.motif("Reed")
    shop.passage()
    shop.swatch(name="Straw")
    shop.part(role="bridge", name="Bridge", material_id=shop.material(label="Walnut").id)
    shop.part(role="nut", name="Nut")
    loose = strands(desk, shop).loose
    assert len(loose.pictures[0]) == 1
    assert [one.name for one in loose.colours] == ["Straw"]
    assert names(loose.parts) == ["Bridge"]
    assert names(loose.pieces) == ["Walnut"]
    assert loose.ends == {}


def test_what_is_of_a_removed_motif_is_in_no_strand(desk, shop) -> None:
    reed = shop.motif("Reed")
    shop.swatch(name="Straw", motif_id=reed.id)
    reed.binned_utc = reed.created_utc
    desk.session.flush()
    found = strands(desk, shop)
    assert found.strands == []
    assert [one.name for one in found.loose.colours] == ["Straw"]


def test_many_pictures_are_counted_and_a_few_shown(desk, shop) -> None:
    reed = shop.motif("Reed")
    for _ in range(MOST + 8):
        shop.passage(motif_ids=[reed.id])
    (strand,) = strands(desk, shop).strands
    assert sum(len(line) for line in strand.pictures) == MOST
    assert strand.more["pictures"] == 8
    assert strand.tall == 3


def test_a_part_without_a_photograph_shows_its_colour(desk, shop) -> None:
    reed = shop.motif("Reed")
    shop.part(role="heel cap", motif_id=reed.id, material_id=shop.material(label="Walnut").id)
    (strand,) = strands(desk, shop).strands
    (part,) = strand.parts[0]
    assert (part.face, part.view_box, part.texture) == (None, "", None)
    assert part.hex.startswith("#")


def test_others_read_public_names_and_are_told_of_no_piece_that_nothing_is_made_of(
    desk, shop
) -> None:
    reed = shop.motif("Reed")
    shop.swatch(name="Straw", motif_id=reed.id)
    walnut = shop.material(label="Walnut set no. 3", public_name="Black walnut")
    shop.part(role="bridge", motif_id=reed.id, material_id=walnut.id)
    (strand,) = strands(desk, shop, suggest=False, public=True).strands
    assert names(strand.pieces) == ["Black walnut"]
    assert strand.parts[0][0].made_of == "Black walnut"


@pytest.mark.parametrize(("count", "lines"), [(1, [1]), (3, [3]), (5, [3, 2]), (12, [4, 4, 4])])
def test_pieces_are_set_in_lines_of_about_one_length(desk, shop, count, lines) -> None:
    reed = shop.motif("Reed")
    for number in range(count):
        piece = shop.material(label=f"Piece {number}")
        shop.part(role=f"part {number}", motif_id=reed.id, material_id=piece.id)
    (strand,) = strands(desk, shop).strands
    assert [len(line) for line in strand.pieces] == lines
