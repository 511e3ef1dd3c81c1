"""Taking one thing or all back from a revision, as ordinary changes through the nouns.

What is there now is frozen first, so that this can be taken back, too. The rack belongs to all
briefs, and what people have said stays said: of those only single things are taken back.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, Field

from brief.english import agree, number_of, words
from brief.errors import BriefError, InputError, NothingChanged
from brief.services import offcuts
from brief.services.common.colour_view import READING_UNCERTAINTY
from brief.services.common.field_types import Columns
from brief.services.common.naming import BY_KIND
from brief.services.common.noun import Noun
from brief.services.history.changes.things import Change, changes
from brief.services.history.parcels.gathering import pack
from brief.services.history.parcels.parcel import Parcel
from brief.services.history.revisions import RevisionDraft, document_of
from brief.services.history.row_codec import Row, kinds, links
from brief.services.nouns import NOUNS, noun_named, revisions
from brief.store.desk import Desk
from brief.store.records import Revision

# Read anew, an outline begins at another of its points: what was kept of it is put back as it was.
KEPT_OF_A_DRAWING = ("path", "drawn_mm", "remarks", "measured")
ANY_VERSION = "*"  # what was there is frozen; nothing can have changed since, in one transaction
SAID = frozenset({"note", "comment", "question", "answer"})


class TakeBack(BaseModel):
    """Which thing; all of the brief, if none is named."""

    model_config = {"extra": "forbid"}

    kind: str | None = Field(None, max_length=40, examples=["part"])
    id: str | None = Field(None, max_length=26)


class TakenBack(BaseModel):
    """What came of it."""

    taken: int = Field(description="How many things are again as they were")
    frozen: str | None = Field(description="The letter under which the state before was frozen")
    left: list[str] = Field(description="What could not be restored, and why")
    said: str


def take_back(desk: Desk, revision_id: str, wanted: TakeBack) -> TakenBack:
    """Make one thing, or the whole brief, what it was in that revision.

    Raises NotFound without the revision, InputError if nothing of that kind has changed since.
    """
    revision = revisions.get(desk, revision_id)
    before = document_of(revision)
    after = pack(desk, revision.brief_id, offcuts=False, revisions=False)
    asked = [
        change
        for group in changes(before, after)
        for change in group.changes
        if (
            _belongs(change)
            if wanted.kind is None
            else (change.kind, change.id) == (wanted.kind, wanted.id)
        )
    ]
    if not asked:
        raise InputError(f"No such change since Rev {revision.letter}.")
    frozen = _frozen_first(desk, revision)
    left = _Work(desk, before).do(asked)
    taken = len(asked) - len(left)
    if left and (wanted.kind is not None or not taken):
        raise InputError(left[0])
    again = asked[0].label if len(asked) == 1 else number_of(taken, "thing")
    said = [f"{again} {agree(taken, 'is', 'are')} as in Rev {revision.letter} again."]
    if frozen:
        said.append(f"The version before is frozen as Rev {frozen}.")
    if left:
        said.append(f"Unchanged: {words(left)}.")
    return TakenBack(taken=taken, frozen=frozen, left=left, said=" ".join(said))


def _belongs(change: Change) -> bool:
    """Whether it is the brief's own, and not what somebody said."""
    return change.kind not in SAID and (
        change.kind == "brief" or "brief_id" in BY_KIND[change.kind].__table__.columns
    )


def _frozen_first(desk: Desk, revision: Revision) -> str | None:
    note = f"Before something was restored from Rev {revision.letter}"
    draft = RevisionDraft(brief_id=revision.brief_id, note=note)
    try:
        kept = revisions.add(desk, draft)
    except NothingChanged:
        return None  # the last one has it
    return kept.letter


class _Work:
    """Does the changes one by one; one that is refused leaves the others."""

    def __init__(self, desk: Desk, before: Parcel) -> None:
        self.desk = desk
        self.rows = {(kind.name, row["id"]): row for kind, row in before.rows()}
        self.before = before

    def do(self, asked: list[Change]) -> list[str]:
        """Those that were removed first, since others may point at them; returns what is left."""
        left: list[str] = []
        in_turn = {
            "removed": self._out_of_the_bin,
            "changed": self._changed,
            "added": self._removed,
        }
        for what, way in in_turn.items():
            waiting = [change for change in asked if change.what == what]
            while waiting:
                refused = {}
                for change in waiting:
                    try:
                        with self.desk.session.begin_nested():
                            way(change)
                    except BriefError as exc:
                        refused[change.id] = f"{change.label} ({str(exc).rstrip('.')})"
                still = [change for change in waiting if change.id in refused]
                if len(still) == len(waiting):  # nothing more hangs on what has come back
                    left.extend(refused.values())
                    break
                waiting = still
        return left

    def _out_of_the_bin(self, change: Change) -> None:
        noun = noun_named(change.kind)
        record = noun.get(self.desk, change.id, binned=True)
        if record.binned_utc is None:
            if change.kind == "brief" or getattr(record, "brief_id", None):
                return  # it came back along with something else
            raise InputError("it is on the rack; choose it again for a part or a pairing")
        if record.binned_with not in (None, record.id):
            for other in NOUNS:
                if self.desk.session.get(other.record, record.binned_with) is not None:
                    offcuts.take_back(self.desk, other, record.binned_with)
                    return
        offcuts.take_back(self.desk, noun, record.id)

    def _changed(self, change: Change) -> None:
        noun = noun_named(change.kind)
        fields = self._fields(noun, change)
        if not fields:
            raise InputError("it depends on other changes; restore those")
        sent = noun.change_model.model_validate(fields)
        record = noun.change(self.desk, change.id, ANY_VERSION, sent)
        row = self.rows[(noun.many, change.id)]
        if "drawing" in fields:
            for name in KEPT_OF_A_DRAWING:
                setattr(record, name, row[name])
        if "as_typed" in row:  # what does not say the number that it now is does not count
            record.as_typed = record.as_typed | row["as_typed"]

    def _removed(self, change: Change) -> None:
        noun = noun_named(change.kind)
        record = noun.get(self.desk, change.id, binned=True)
        if record.binned_utc is None:
            offcuts.remove(self.desk, noun, change.id, ANY_VERSION)

    def _fields(self, noun: Noun[Any, Any], change: Change) -> Columns:
        """What to send, so that it is again as it was: those fields of it that changed."""
        row = self.rows[(noun.many, change.id)]
        names = {one.field for one in change.fields}
        if "numbers" in row:  # each of which is told as a field of its own
            names |= {"numbers", "outline"}
        fields = {
            name: row[name]
            for name in noun.change_model.model_fields
            if name in row and name in names
        }
        for to, ids in self._ties(noun.many, row).items():
            field = f"{kinds()[to].name.removesuffix('s')}_ids"
            if to in names and field in noun.change_model.model_fields:
                fields[field] = ids
        typed = "colour" in noun.change_model.model_fields and row.get("palette_id") is None
        if typed and "lab" in names:
            fields["colour"] = "Lab " + " ".join(repr(float(value)) for value in row["lab"])
            fields["uncertainty"] = row["uncertainty"]
        if fields.get("reading"):
            fields["reading_uncertainty"] = row["reading_uncertainty"] or READING_UNCERTAINTY
        if "path" in names and "drawing" in noun.change_model.model_fields:
            fields["drawing"] = row["path"]
        return fields

    def _ties(self, name: str, row: Row) -> dict[str, list[str]]:
        tied: dict[str, list[str]] = {}
        for link, kind in links().items():
            (first, owner), *others = kind.pointers.items()
            if owner != name:
                continue
            for column, to in others:
                tied[to] = [
                    one[column]
                    for one in self.before.links.get(link, ())
                    if one[first] == row["id"]
                ]
        return tied
