"""Removing takes along what makes no sense alone; taking back brings all of it back."""

from __future__ import annotations

import pytest

from brief.errors import Conflict, InputError, NotFound
from brief.services import nouns, offcuts
from brief.services.common.noun import etag_of
from brief.services.feedback.comments import CommentDraft
from brief.services.nouns import noun_of
from brief.services.pairing.pairings import PairingDraft
from brief.services.theme.motifs import MotifDraft
from brief.services.theme.notes import NoteDraft
from brief.services.theme.references import PassageDraft
from brief.store.records import Comment, Note, Record


def _remove(desk, record: Record) -> tuple[str, ...]:
    return offcuts.remove(desk, noun_of(record), record.id, etag_of(record)).along


def _take_back(desk, record: Record) -> None:
    offcuts.take_back(desk, noun_of(record), record.id)


def _note(shop, record: Record) -> Note:
    kind = noun_of(record).one
    draft = NoteDraft(about_kind=kind, about_id=record.id, text="look at this again")
    return nouns.notes.add(shop.desk, draft)


def _comment(shop, record: Record, **fields: object) -> Comment:
    draft = CommentDraft(
        brief_id=shop.brief.id,
        about_kind=noun_of(record).one,
        about_id=record.id,
        text="too dark",
        **fields,
    )
    return nouns.comments.add(shop.desk, draft)


def _binned(*records: Record) -> list[bool]:
    return [record.binned_utc is not None for record in records]


def test_a_reference_goes_with_its_palettes_and_their_swatches(desk, shop) -> None:
    reference = shop.reference()
    palette = shop.palette(reference)
    swatches = [shop.swatch(palette), shop.swatch(palette, palette_index=1)]
    kept = shop.swatch(colour="#2f6f62")
    assert offcuts.along(desk, reference) == ("1 palette", "2 swatches")

    assert _remove(desk, reference) == ("1 palette", "2 swatches")
    assert _binned(reference, palette, *swatches, kept) == [True, True, True, True, False]
    with pytest.raises(NotFound, match=r"“reed bed” is in the offcuts bin. Restore it first"):
        nouns.references.get(desk, reference.id)

    _take_back(desk, reference)
    assert not any(_binned(reference, palette, *swatches))


def test_a_material_goes_with_its_pairings(desk, shop) -> None:
    walnut, shell = shop.material(label="walnut"), shop.material("Lab 88 0 3", label="shell")
    draft = PairingDraft(brief_id=shop.brief.id, ground_id=walnut.id, inlay_id=shell.id)
    pairing = nouns.pairings.add(desk, draft)
    for side in (walnut, shell):
        assert _remove(desk, side) == ("1 pairing",)
        assert _binned(pairing) == [True]
        _take_back(desk, side)
        assert _binned(pairing) == [False]


def test_a_part_keeps_pointing_at_a_material_in_the_bin(desk, shop) -> None:
    walnut = shop.material()
    part = shop.part(material_id=walnut.id)
    assert _remove(desk, walnut) == ()
    shown = nouns.parts.show(desk, part)
    assert shown.material is not None
    assert shown.material.in_bin


def test_what_is_made_of_a_piece_is_named_before_it_goes(desk, shop, other_shop) -> None:
    walnut, cedar = shop.material(), shop.material(label="cedar")
    shop.part(name="Back", material_id=walnut.id)
    shop.part(name="Sides", material_id=walnut.id, swatch_id=shop.swatch().id)
    other_shop.part(name="Neck", material_id=walnut.id)
    shop.part(name="Top", material_id=cedar.id)
    gone = shop.part(name="Heel", material_id=walnut.id)
    offcuts.remove(desk, nouns.parts, gone.id, "*")
    users = ("Back of Saltmarsh", "Sides of Saltmarsh", "Neck of High moor")
    assert offcuts.used_by(desk, walnut) == users
    assert offcuts.along(desk, walnut) == ()
    removal = offcuts.remove(desk, nouns.materials, walnut.id, "*")
    assert (removal.along, removal.used_by) == ((), users)


def test_what_uses_what_goes_along_is_named_unless_it_goes_too(desk, shop) -> None:
    palette = shop.palette()
    reference = nouns.references.get(desk, palette.reference_id)
    shop.part(name="Rosette", swatch_id=shop.swatch(palette).id)
    for record in (reference, palette):
        assert offcuts.used_by(desk, record) == ("Rosette of Saltmarsh",)
    assert offcuts.used_by(desk, shop.brief) == ()


def test_a_comment_goes_with_its_replies(desk, shop) -> None:
    comment = _comment(shop, shop.brief)
    reply = _comment(shop, shop.brief, reply_to=comment.id)
    to_reply = _comment(shop, shop.brief, reply_to=reply.id)
    assert _remove(desk, comment) == ("2 comments",)
    assert _binned(reply, to_reply) == [True, True]
    _take_back(desk, comment)
    assert _binned(reply, to_reply) == [False, False]


@pytest.mark.parametrize("kind", ["motif", "reference", "palette", "swatch", "material", "part"])
def test_notes_and_comments_go_with_what_they_are_about(desk, shop, kind: str) -> None:
    record = getattr(shop, kind)()
    note, comment = _note(shop, record), _comment(shop, record)
    reply = _comment(shop, record, reply_to=comment.id)
    assert _remove(desk, record) == ("1 note", "2 comments")
    assert _binned(note, comment, reply) == [True, True, True]
    _take_back(desk, record)
    assert _binned(note, comment, reply) == [False, False, False]


def test_a_brief_goes_with_all_that_is_in_it_but_not_the_rack(desk, shop, other_shop) -> None:
    walnut = shop.material()
    inside = [
        shop.motif(),
        shop.passage(),
        shop.palette(),
        shop.swatch(),
        shop.part(material_id=walnut.id),
        _note(shop, shop.brief),
        _comment(shop, shop.brief),
    ]
    outside = [walnut, other_shop.brief, other_shop.motif(), _note(shop, walnut)]
    along = _remove(desk, shop.brief)
    assert all(_binned(*inside))
    assert not any(_binned(*outside))
    assert {"1 motif", "2 references", "1 palette", "1 swatch", "1 note", "1 comment"} <= {*along}
    _take_back(desk, shop.brief)
    assert not any(_binned(*inside))


def test_a_thing_removed_along_with_another_cannot_be_taken_back_alone(desk, shop) -> None:
    palette = shop.palette()
    reference = nouns.references.get(desk, palette.reference_id)
    _remove(desk, reference)
    with pytest.raises(InputError, match=r"“reed bed” was removed along with something else"):
        _take_back(desk, palette)
    assert _binned(palette) == [True]


def test_what_was_removed_before_stays_removed(desk, shop) -> None:
    reference = shop.reference()
    unwanted, wanted = shop.palette(reference), shop.palette(reference)
    _remove(desk, unwanted)
    assert _remove(desk, reference) == ("1 palette",)
    _take_back(desk, reference)
    assert _binned(unwanted, wanted) == [True, False]


def test_a_thing_cannot_come_back_before_what_it_hangs_on(desk, shop) -> None:
    reference = shop.reference()
    palette = shop.palette(reference)
    note = _note(shop, reference)
    for record in (palette, note, reference):
        _remove(desk, record)
    for record in (palette, note):
        with pytest.raises(InputError, match=r"hangs on the reference “reed bed”.*Take that back"):
            _take_back(desk, record)
    _take_back(desk, reference)
    assert _binned(palette, note) == [True, True]
    _take_back(desk, palette)
    _take_back(desk, note)
    assert _binned(palette, note) == [False, False]


def test_taking_back_what_was_never_removed_changes_nothing(desk, shop) -> None:
    motif = shop.motif()
    before = etag_of(motif)
    _take_back(desk, motif)
    assert etag_of(motif) == before


def test_removing_needs_the_present_version(desk, shop) -> None:
    motif = shop.motif()
    stale = etag_of(motif)
    motif.says = "changed meanwhile"
    desk.session.flush()
    with pytest.raises(Conflict, match=r"“reed” was changed since .*Nothing was saved"):
        offcuts.remove(desk, nouns.motifs, motif.id, stale)
    assert _binned(motif) == [False]


def test_the_bin_lists_each_removal_once_latest_first(desk, shop) -> None:
    palette = shop.palette()
    reference = nouns.references.get(desk, palette.reference_id)
    motif = shop.motif()
    for record in (motif, reference):
        _remove(desk, record)
    found = offcuts.offcuts(desk)
    assert [(one.kind, one.label, one.along) for one in found] == [
        ("reference", "reed bed", ["1 palette"]),
        ("motif", "reed", []),
    ]
    assert found[0].take_back == f"/api/references/{reference.id}/take-back"


def test_a_binned_thing_is_neither_listed_nor_changed_nor_removed_again(desk, shop) -> None:
    motif = shop.motif()
    _remove(desk, motif)
    assert nouns.motifs.page(desk, brief_id=shop.brief.id) == []
    for change in (
        lambda: nouns.motifs.change(desk, motif.id, "*", nouns.motifs.change_model(name="x")),
        lambda: offcuts.remove(desk, nouns.motifs, motif.id, "*"),
    ):
        with pytest.raises(NotFound, match="is in the offcuts bin"):
            change()


def test_what_is_for_a_motif_is_named_before_it_goes(desk, shop) -> None:
    motif = nouns.motifs.add(desk, MotifDraft(brief_id=shop.brief.id, name="reed"))
    shop.part(name="Rosette", motif_id=motif.id)
    swatch = shop.swatch()
    change = nouns.swatches.change_model(name="dull straw", motif_id=motif.id)
    nouns.swatches.change(desk, swatch.id, "*", change)
    passage = PassageDraft(
        brief_id=shop.brief.id, title="Field note", passage="No wind.", motif_ids=[motif.id]
    )
    nouns.references.add(desk, passage)
    users = {"Field note of Saltmarsh", "dull straw of Saltmarsh", "Rosette of Saltmarsh"}
    assert set(offcuts.used_by(desk, motif)) == users
    assert set(offcuts.remove(desk, nouns.motifs, motif.id, "*").used_by) == users


def test_of_many_users_some_are_named_and_the_others_counted(desk, shop) -> None:
    motif = shop.motif()
    titles = [shop.passage(title=f"Ebb {n}", motif_ids=[motif.id]).title for n in range(4)]
    in_full = tuple(f"{title} of Saltmarsh" for title in titles)
    assert offcuts.used_by(desk, motif) == offcuts.used_by(desk, motif, most=4) == in_full
    assert offcuts.used_by(desk, motif, most=3) == (*in_full[:3], "1 more")


def test_of_several_each_is_told_what_goes_with_it_alone(desk, shop) -> None:
    one, other, bare = (shop.motif() for _ in range(3))
    for motif in (one, one, other):
        _note(shop, motif)
    draft = CommentDraft(brief_id=shop.brief.id, about_kind="motif", about_id=one.id, text="Yes.")
    said = nouns.comments.add(desk, draft)
    reply = draft.model_copy(update={"reply_to": said.id})
    nouns.comments.add(desk, reply)
    assert offcuts.along_each(desk, [one, other, bare]) == {
        one.id: ("2 notes", "2 comments"),
        other.id: ("1 note",),
        bare.id: (),
    }
    # A reply is among those asked for, and still goes with what it answers.
    replies = offcuts.along_each(desk, [said, desk.session.get(Comment, said.id)])
    assert replies == {said.id: ("1 comment",)}
