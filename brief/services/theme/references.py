"""References: pictures and passages that the theme draws on, with credit and rights."""

from __future__ import annotations

import re
from collections.abc import Sequence

from pydantic import Field
from sqlalchemy import update

from brief.errors import InputError, quoted
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Line,
    LongLine,
    SomeText,
    Title,
    View,
)
from brief.services.common.finding import look_up
from brief.services.common.foreign_keys import check_pointers, existing
from brief.services.common.noun import Noun, view_fields
from brief.services.photos.pictures import (
    PictureView,
    keep_picture,
    picture_view,
    title_from,
)
from brief.services.photos.shot_correction import (
    CORRECTION_FIELDS,
    CorrectedDraft,
    CorrectionView,
    asked_anew,
    correction_view,
    settle_correction,
)
from brief.store.desk import Desk
from brief.store.records import Brief, Image, Motif, Reference

# Pages link to what is given here, so no other scheme will do.
WEB_ADDRESS = re.compile(r"https?://[^\s/]")
IN_COPYRIGHT = "http://rightsstatements.org/vocab/InC/1.0/"
# Sent as rights it says that the maker made it; that is kept as In Copyright, and as permission.
MINE = "mine"
MOST_PLACES = 100_000
OWN = {"picture": "my own photograph", "passage": "my own words"}
# Open vocabularies of rights: RightsStatements.org 1.0 and Creative Commons, by URI.
RIGHTS = {
    "": "not known yet",
    IN_COPYRIGHT: "in copyright",
    "http://rightsstatements.org/vocab/InC-OW-EU/1.0/": "in copyright, orphan work",
    "http://rightsstatements.org/vocab/NoC-CR/1.0/": "no copyright, contract applies",
    "http://rightsstatements.org/vocab/UND/1.0/": "copyright undetermined",
    "https://creativecommons.org/publicdomain/mark/1.0/": "public domain",
    "https://creativecommons.org/publicdomain/zero/1.0/": "CC0, given to the public domain",
    "https://creativecommons.org/licenses/by/4.0/": "CC BY 4.0",
    "https://creativecommons.org/licenses/by-sa/4.0/": "CC BY-SA 4.0",
    "https://creativecommons.org/licenses/by-nc/4.0/": "CC BY-NC 4.0",
    "https://creativecommons.org/licenses/by-nd/4.0/": "CC BY-ND 4.0",
}


class ReferenceFacts(Draft):
    """What is said of a picture or a passage alike."""

    title: Line = ""
    credit: Line = Field("", description="Who made it")
    source: LongLine = Field("", description="Where it is from")
    rights: LongLine = Field(
        "",
        description="A RightsStatements.org or Creative Commons URI; or “mine”, which is kept as "
        "In Copyright with the permission “mine”",
        examples=list(RIGHTS)[-4:],
    )
    permission: Line = Field(
        "",
        description="Whose leave there is to publish it, where its rights do not give it",
        examples=["her letter of 3 May 2027"],
    )
    private: bool = Field(False, description="Kept from whoever the brief is shared with")
    motif_ids: list[Id] = []


class PassageDraft(ReferenceFacts):
    """A passage; pictures are sent as files."""

    brief_id: Id
    title: Title
    passage: SomeText


class ReferenceDraft(PassageDraft, CorrectedDraft):
    """What can be said of a reference once it is there."""

    position: int | None = Field(
        None, ge=1, le=MOST_PLACES, description="Its place in the maker's own order, from 1"
    )


class CreditDraft(Draft):
    """What several references are told at once. What is left out stays as it is."""

    etags: dict[str, str] = Field(
        {},
        description="The ETag of each one to be changed, by its id",
        examples=[{"01JD8Q5Z7M3K2V9X4T6R8W0Y1A": '"3"'}],
    )
    credit: Line | None = Field(None, description="Who made them")
    rights: LongLine | None = Field(
        None, description="As of one reference; the permission goes with it"
    )
    permission: Line | None = None


class ReferenceView(View):
    """A reference as it is shown."""

    brief_id: Id
    kind: str = Field(examples=["picture", "passage"])
    title: str
    passage: str
    credit: str
    source: str
    rights: str
    rights_in_words: str
    permission: str
    own: bool = Field(description="Whether the maker made it")
    private: bool
    position: int | None = Field(
        description="Its place in the maker's own order; None of what was never moved, which comes "
        "last, as it was added"
    )
    motif_ids: list[Id]
    picture: PictureView | None
    correction: CorrectionView | None = Field(description="None for a passage")


class References(Noun[Reference, ReferenceView]):
    """Pictures and passages that the theme draws on."""

    record, draft, view = Reference, PassageDraft, ReferenceView
    changeable = ReferenceDraft
    settled = frozenset({"brief_id"})
    uses = ("motifs",)

    def settle(self, desk: Desk, fields: Fields, record: Reference | None) -> Columns:
        """Check credit, rights and motifs; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        kept = {**fields, **_ownership(fields, record)}
        _check_rights(kept.get("rights"))
        if "motif_ids" in kept:
            brief_id = record.brief_id if record else fields["brief_id"]
            kept["motifs"] = _motifs(desk, brief_id, kept.pop("motif_ids"))
        if record is None:
            kept.setdefault("kind", "passage")
            kept.setdefault("passage", "")
        elif "passage" in fields and record.kind == "picture":
            raise InputError.at("passage", "A picture has no passage; write a note on it instead.")
        elif fields.keys() & set(CORRECTION_FIELDS):
            kept |= _corrected(desk, fields, record)
        return kept

    def add_picture(
        self, desk: Desk, brief_id: str, name: str, data: bytes, facts: ReferenceFacts
    ) -> Reference:
        """Take in one picture file; its title is the file's name unless one is given."""
        fields = {**dict(facts), "brief_id": brief_id, "kind": "picture", "passage": ""}
        fields["title"] = facts.title or title_from(name)
        kept = self.settle(desk, fields, None)
        image = keep_picture(desk, name, data)
        reference = Reference(**kept, image_sha256=image.sha256)
        desk.session.add(reference)
        desk.session.flush()
        return reference

    def credit(self, desk: Desk, said: CreditDraft) -> list[Reference]:
        """Give several one credit and one right: all of them or none, each by its ETag."""
        if not said.etags:
            raise InputError.at("etags", "Tick at least one picture or passage.")
        facts = said.model_dump(exclude={"etags"}, exclude_none=True)
        if not facts:
            raise InputError.at("credit", "Say who made them, or choose their rights.")
        if "rights" in facts:
            facts.setdefault("permission", "")  # what another right was cleared by counts no more
        return [
            self.change(desk, one, etag, self.change_model(**facts))
            for one, etag in said.etags.items()
        ]

    def change(self, desk: Desk, record_id: str, etag: str, change: Draft) -> Reference:
        """As all nouns do; a place makes room for it among the others of the brief."""
        record = super().change(desk, record_id, etag, change)
        if "position" in change.model_fields_set and record.position is not None:
            _make_room(desk, record, self.page(desk, brief_id=record.brief_id))
        return record

    def show_all(self, desk: Desk, records: Sequence[Reference]) -> list[ReferenceView]:
        """As `show`; their pictures are looked up once for all."""
        look_up(desk, Image, [one.image_sha256 for one in records if one.image_sha256])
        return super().show_all(desk, records)

    def show(self, desk: Desk, record: Reference) -> ReferenceView:
        """The reference, with its rights in words."""
        return ReferenceView(
            **view_fields(
                record,
                "brief_id",
                "kind",
                "title",
                "passage",
                "credit",
                "source",
                "rights",
                "permission",
                "private",
                "position",
            ),
            own=is_own(record),
            rights_in_words=RIGHTS.get(record.rights, record.rights),
            motif_ids=[motif.id for motif in record.motifs if motif.binned_utc is None],
            picture=picture_view(desk, record.image_sha256) if record.image_sha256 else None,
            correction=correction_view(record) if record.image_sha256 else None,
        )

    def vet(self, desk: Desk, record: Reference) -> None:
        """Refuse rights that are not known; see `Noun.vet`."""
        _check_rights(record.rights)
        super().vet(desk, record)


def own_order(one: Reference | ReferenceView) -> tuple[bool, int]:
    """A key: by the maker's own order, what was never moved last."""
    return one.position is None, one.position or 0


def _make_room(desk: Desk, moved: Reference, references: Sequence[Reference]) -> None:
    """Number all references of a brief as they stand once one was moved.

    The others are not changed by it as far as their ETags go: a form that is open on one of them
    goes on being good.
    """
    others = sorted((one for one in references if one is not moved), key=own_order)
    assert moved.position is not None
    ordered = [*others[: moved.position - 1], moved, *others[moved.position - 1 :]]
    for place, one in enumerate(ordered, 1):
        kept = {"position": place, "changed_utc": one.changed_utc}
        row = update(Reference).where(Reference.id == one.id).values(**kept)
        desk.session.execute(row, execution_options={"synchronize_session": "evaluate"})


def is_own(reference: Reference) -> bool:
    """Whether the maker made it."""
    return (reference.rights, reference.permission) == (IN_COPYRIGHT, MINE)


def rights_choices(kind: str) -> list[tuple[str, str]]:
    """What can be said of the rights of a picture or a passage: as it is sent, and in words."""
    unknown, *others = RIGHTS.items()
    return [unknown, (MINE, OWN[kind]), *others]


def _ownership(fields: Fields, record: Reference | None) -> dict[str, str]:
    """What “mine” is kept as; and that it ends when other rights are said."""
    rights = fields.get("rights")
    if rights == MINE:
        if fields.get("permission") not in (None, "", MINE):
            raise InputError.at(
                "permission", "What you made needs nobody’s permission. Leave this empty."
            )
        return {"rights": IN_COPYRIGHT, "permission": MINE}
    ends = record is not None and is_own(record) and rights not in (None, record.rights)
    return {"permission": ""} if ends and "permission" not in fields else {}


def _check_rights(rights: str | None) -> None:
    if rights and not WEB_ADDRESS.match(rights):
        raise InputError.at(
            "rights", f"Rights are given as the web address of a licence; got {quoted(rights)}."
        )


def _corrected(desk: Desk, fields: Fields, record: Reference) -> Columns:
    """What a reference's picture is corrected by from now on; palettes already pulled stay."""
    if record.image_sha256 is None:
        raise InputError.at("correct_by", "A passage has no colours to correct.")
    asked = asked_anew(record, fields, CORRECTION_FIELDS)
    image = desk.session.get_one(Image, record.image_sha256)
    settled = settle_correction(asked, desk.images.path(image.sha256), image.name)
    return {**settled.asked, "correction": settled.correction.to_dict()}


def _motifs(desk: Desk, brief_id: str, ids: Sequence[str]) -> list[Motif]:
    motifs = []
    for motif_id in dict.fromkeys(ids):
        check_pointers(desk, {"brief_id": brief_id, "motif_ids": motif_id}, None, motif_ids=Motif)
        motifs.append(existing(desk, "motif_ids", Motif, motif_id))
    return motifs


references = References()
