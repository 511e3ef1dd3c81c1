"""Briefs, references, palettes, swatches, notes and comments: what settles from what."""

from __future__ import annotations

import numpy as np
import pytest

from brief.colour import delta_e_2000, srgb_to_lab
from brief.errors import InputError
from brief.services import nouns, offcuts
from brief.services.common.noun import etag_of
from brief.services.feedback.comments import CommentDraft, marked
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.notes import NoteDraft
from brief.services.theme.references import RIGHTS, PassageDraft

REED, MUD = (142, 138, 106), (93, 74, 56)


def _lab(colour: tuple[int, int, int]) -> np.ndarray:
    return srgb_to_lab(np.array(colour) / 255)


# Briefs


def test_a_brief_takes_the_name_of_its_kind_of_instrument(desk) -> None:
    brief = nouns.briefs.add(desk, BriefDraft(title="Marsh", kind="parlour-steel-string"))
    assert brief.instrument
    named = nouns.briefs.add(desk, BriefDraft(title="Marsh", instrument="Small guitar"))
    assert named.instrument == "Small guitar"


def test_an_unknown_kind_of_instrument_is_refused(desk) -> None:
    with pytest.raises(InputError, match=r"“theremin” is not a kind .* Choose one of: ") as caught:
        nouns.briefs.add(desk, BriefDraft(title="Marsh", kind="theremin"))
    assert caught.value.faults[0].pointer == "/kind"


# References


def test_a_picture_goes_by_the_name_of_its_file_until_it_has_a_title(desk, shop) -> None:
    assert shop.reference().title == "reed bed"
    assert shop.reference(title="Reeds in March").title == "Reeds in March"


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("C:\\Pictures\\mud_bank.JPG", "mud bank"),
        ("../../etc/passwd", "passwd"),
        (".jpg", "Picture"),
        ("a" * 300 + ".png", "a" * 200),
    ],
)
def test_any_file_name_makes_a_title(desk, shop, name: str, title: str) -> None:
    material = shop.piece(name=name)
    assert material.label == title
    shown = nouns.materials.show(desk, material).picture
    assert "/" not in shown.name
    assert len(shown.name) <= 255


def test_rights_are_an_address_that_is_said_in_words(desk, shop) -> None:
    licence = "https://creativecommons.org/licenses/by/4.0/"
    shown = nouns.references.show(desk, shop.passage(rights=licence))
    assert (shown.rights, shown.rights_in_words) == (licence, "CC BY 4.0")
    assert nouns.references.show(desk, shop.passage()).rights_in_words == "not known yet"
    with pytest.raises(InputError, match="Rights are given as the web address of a licence"):
        shop.passage(rights="all rights reserved")


def test_the_statements_of_rights_are_addresses_as_published() -> None:
    """Source: rightsstatements.org/page/1.0; creativecommons.org/licenses (URI forms)."""
    starts = ("http://rightsstatements.org/vocab/", "https://creativecommons.org/")
    assert all(uri.startswith(starts) and uri.endswith("/") for uri in RIGHTS if uri)


def test_a_picture_has_no_passage(desk, shop) -> None:
    reference = shop.reference()
    with pytest.raises(InputError, match="A picture has no passage; write a note"):
        nouns.references.change(
            desk, reference.id, "*", nouns.references.change_model(passage="The tide")
        )


def test_the_motifs_of_a_reference_can_be_changed(desk, shop) -> None:
    reed, light = shop.motif("reed"), shop.motif("first light")
    reference = shop.passage(motif_ids=[reed.id])
    for motif_ids in ([light.id, reed.id], [light.id], []):
        before = etag_of(reference)
        nouns.references.change(
            desk, reference.id, "*", nouns.references.change_model(motif_ids=motif_ids)
        )
        assert etag_of(reference) != before
        desk.session.expire(reference)
        assert sorted(nouns.references.show(desk, reference).motif_ids) == sorted(motif_ids)


# Palettes and swatches


def test_a_palette_keeps_the_parameters_that_made_it(desk, shop) -> None:
    region = "xywh=percent:0,0,50,100"
    palette = shop.palette(shop.reference(REED, MUD), colours="auto", region=region, seed=7)
    shown = nouns.palettes.show(desk, palette)
    assert (shown.asked, shown.region, shown.seed) == ("auto", region, 7)
    assert shown.algorithm
    assert [delta_e_2000(one.colour.lab, _lab(REED)) < 0.5 for one in shown.colours] == [True]
    assert shown.name == shown.reference_title == "reed bed"


def test_a_palette_has_the_colours_of_its_picture_by_share(desk, shop) -> None:
    shown = nouns.palettes.show(desk, shop.palette(shop.reference(REED, MUD)))
    assert [one.share for one in shown.colours] == pytest.approx([0.5, 0.5])
    for colour in (REED, MUD):
        assert min(delta_e_2000(one.colour.lab, _lab(colour)) for one in shown.colours) < 0.5
    assert {one.colour.uncertainty for one in shown.colours} == {16}


def test_a_palette_needs_a_picture(desk, shop) -> None:
    with pytest.raises(InputError, match="pulled out of a picture; this is a passage") as caught:
        shop.palette(shop.passage())
    assert caught.value.faults[0].pointer == "/reference_id"


@pytest.mark.parametrize("colours", [0, 13, -1])
def test_a_palette_has_1_to_12_colours(desk, shop, colours: int) -> None:
    with pytest.raises(InputError, match=f"between 1 and 12, or auto; got {colours}") as caught:
        shop.palette(colours=colours)
    assert caught.value.faults[0].pointer == "/colours"


def test_a_region_beyond_the_picture_is_refused(desk, shop) -> None:
    with pytest.raises(InputError, match="a region must lie inside the picture") as caught:
        shop.palette(region="xywh=percent:60,0,50,100")
    assert caught.value.faults[0].pointer == "/region"


def test_a_swatch_takes_its_colour_out_of_a_palette_or_as_typed(desk, shop) -> None:
    palette = shop.palette(shop.reference(REED, MUD))
    taken = shop.swatch(palette, palette_index=1)
    assert taken.lab == palette.colours[1]["lab"]
    assert taken.uncertainty == 16
    shown = nouns.palettes.show(desk, palette).colours
    assert [one.swatch_ids for one in shown] == [[], [taken.id]]
    offcuts.remove(desk, nouns.swatches, taken.id, "*")
    assert nouns.palettes.show(desk, palette).colours[1].swatch_ids == []

    typed = shop.swatch(colour="Lab 50 10 20")
    assert (typed.lab, typed.uncertainty, typed.palette_index) == ([50, 10, 20], 0, None)
    assert typed.name  # a plain description, since none was given


@pytest.mark.parametrize(
    ("fields", "message", "pointer"),
    [
        ({"colour": None}, "A swatch needs a colour: type one", "/colour"),
        ({"colour": "mud"}, "“mud” is not a colour this can read", "/colour"),
        ({"palette_index": 9}, "The palette has 2 colours, counted from 0", "/palette_index"),
        ({"colour": "#2f6f62", "palette_index": 0}, "not both", "/colour"),
    ],
)
def test_a_swatch_without_one_clear_colour_is_refused(
    desk, shop, fields: dict[str, object], message: str, pointer: str
) -> None:
    palette = shop.palette(shop.reference(REED, MUD)) if "palette_index" in fields else None
    with pytest.raises(InputError, match=message) as caught:
        shop.swatch(palette, **fields)
    assert caught.value.faults[0].pointer == pointer


def test_only_a_typed_colour_can_be_typed_anew(desk, shop) -> None:
    typed, taken = shop.swatch(), shop.swatch(shop.palette())
    again = nouns.swatches.change_model(colour="Lab 60 0 0")
    nouns.swatches.change(desk, typed.id, "*", again)
    assert typed.lab == [60, 0, 0]
    with pytest.raises(InputError, match="came out of a palette; make a new swatch"):
        nouns.swatches.change(desk, taken.id, "*", again)


# Notes and comments


def test_a_note_belongs_to_the_brief_of_what_it_is_about(desk, shop) -> None:
    about_motif = NoteDraft(about_kind="motif", about_id=shop.motif().id, text="dry, in March")
    about_brief = NoteDraft(about_kind="brief", about_id=shop.brief.id, text="ask about the case")
    about_rack = NoteDraft(about_kind="material", about_id=shop.material().id, text="has a check")
    found = [nouns.notes.add(desk, one) for one in (about_motif, about_brief, about_rack)]
    assert [note.brief_id for note in found] == [shop.brief.id, shop.brief.id, None]
    assert [nouns.notes.show(desk, note).about_label for note in found] == [
        "reed",
        "Saltmarsh",
        "walnut",
    ]


def _comment(shop, about, kind: str, **fields: object):
    draft = CommentDraft(
        **{
            "brief_id": shop.brief.id,
            "about_kind": kind,
            "about_id": about.id,
            "text": "too dark",
            **fields,
        }
    )
    return nouns.comments.add(shop.desk, draft)


def test_a_comment_is_the_makers_unless_somebody_is_named(desk, shop) -> None:
    assert _comment(shop, shop.brief, "brief").author == "the maker"
    assert _comment(shop, shop.brief, "brief", author="a boatbuilder").author == "a boatbuilder"


def test_a_comment_can_be_about_a_spot_on_a_picture(desk, shop) -> None:
    """The spot is written as W3C Media Fragments 1.0, 4.2.2, write it."""
    comment = _comment(shop, shop.reference(), "reference", region="xywh=percent:10,20.5,30,40")
    assert comment.region == "xywh=percent:10,20.5,30,40"
    with pytest.raises(InputError, match="a part of the picture is four numbers") as caught:
        _comment(shop, shop.reference(), "reference", region="top left")
    assert caught.value.faults[0].pointer == "/region"


@pytest.fixture
def passage(desk, shop):
    draft = PassageDraft(brief_id=shop.brief.id, title="Ebb", passage="The tide is out.\nAll out.")
    return nouns.references.add(desk, draft)


def test_a_comment_can_be_about_some_words_of_a_passage(desk, shop, passage) -> None:
    comment = _comment(shop, passage, "reference", quote="tide is  out", quote_prefix="The ")
    shown = nouns.comments.show(desk, comment)
    assert (shown.quote, shown.quote_prefix, shown.quote_suffix) == (
        "tide is out", "The ", ".\nAll out."
    )  # fmt: skip
    assert [run.text for run in marked(passage.passage, [shown]) if run.by] == ["tide is out"]
    change = nouns.comments.change_model(quote="")
    nouns.comments.change(desk, comment.id, "*", change)
    assert (comment.quote, comment.quote_prefix) == ("", "")


@pytest.mark.parametrize(
    ("words", "said"),
    [("heron", "do not stand there"), ("out", "stand there 2 times; take in some more")],
)
def test_words_must_stand_in_the_passage_once(desk, shop, passage, words: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        _comment(shop, passage, "reference", quote=words)
    assert caught.value.faults[0].pointer == "/quote"


def test_a_theme_and_a_motif_have_words_to_quote_and_a_picture_has_none(desk, shop) -> None:
    shop.brief.theme = "The tide has run out of the creeks."
    motif = shop.motif()
    motif.says = "the tide that waits"
    for about, kind in ((shop.brief, "brief"), (motif, "motif")):
        assert _comment(shop, about, kind, quote="tide").quote == "tide"
    with pytest.raises(InputError, match="no words that could be quoted"):
        _comment(shop, shop.reference(), "reference", quote="tide")


def test_a_comment_is_about_something_in_its_brief_or_on_the_rack(desk, shop, other_shop) -> None:
    assert _comment(shop, shop.material(), "material").brief_id == shop.brief.id
    with pytest.raises(InputError, match="What this is about is in another brief") as caught:
        _comment(shop, other_shop.motif(), "motif")
    assert caught.value.faults[0].pointer == "/about_id"


def test_a_reply_is_about_what_its_comment_is_about(desk, shop) -> None:
    motif = shop.motif()
    comment = _comment(shop, motif, "motif")
    assert _comment(shop, motif, "motif", reply_to=comment.id).reply_to == comment.id
    with pytest.raises(InputError, match="A reply is about what its comment is about") as caught:
        _comment(shop, shop.brief, "brief", reply_to=comment.id)
    assert caught.value.faults[0].pointer == "/reply_to"


def test_a_comment_is_settled_with_an_outcome(desk, shop) -> None:
    comment = _comment(shop, shop.brief, "brief")
    assert nouns.comments.show(desk, comment).state == "open"
    change = nouns.comments.change_model(state="settled", outcome="lighter binding")
    nouns.comments.change(desk, comment.id, "*", change)
    shown = nouns.comments.show(desk, comment)
    assert (shown.state, shown.outcome) == ("settled", "lighter binding")
