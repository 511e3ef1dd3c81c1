"""Comments and answers as a file by the W3C Web Annotation Data Model; `taking_in` reads one.

Everything has one name in such files: `urn:uuid:` and its id as a UUID (RFC 9562); an id is a ULID,
which is 128 bits like a UUID, so that no name is invented and each leads back to its record. A
comment that came in a file keeps the name it had there.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterable
from datetime import UTC, datetime

from ulid import ULID

import brief
from brief.services.common.field_types import Json
from brief.services.common.foreign_keys import named
from brief.services.common.naming import public_label
from brief.services.feedback.annotation_model import CONTEXT, MEDIA_FRAGMENTS
from brief.services.feedback.comments import quote_of
from brief.services.nouns import answers, briefs, comments, questions
from brief.store.desk import Desk
from brief.store.records import Answer, Comment, Question, Record, now_utc

URN = "urn:uuid:"


def iri_of(record_id: str) -> str:
    """ "01JD8Q5Z7M3K2V9X4T6R8W0Y1A" → "urn:uuid:01934…"."""
    return f"{URN}{ULID.from_str(record_id).to_uuid()}"


def id_of(iri: str) -> str | None:
    """The id that an IRI of ours stands for; None for any other."""
    scheme, named = iri[: len(URN)], iri[len(URN) :]
    try:
        return str(ULID.from_uuid(uuid.UUID(named))) if scheme.lower() == URN else None
    except ValueError:
        return None


def comments_as_jsonld(desk: Desk, brief_id: str, only: Collection[str] | None = None) -> Json:
    """The comments of a brief, and the answers to its closed questions, as an Annotation Page.

    only : the things and questions that it may speak of, by id; all of them if None.
    """
    brief_ = briefs.get(desk, brief_id)
    said = [
        one
        for one in comments.page(desk, brief_id=brief_id)
        if only is None or one.about_id in only
    ]
    # Of an open question nobody may see what others chose, and a file is easily passed on.
    asked = [
        one
        for one in questions.page(desk, brief_id=brief_id, state="closed")
        if only is None or one.id in only
    ]
    given = [(one, answer) for one in asked for answer in answers.page(desk, question_id=one.id)]
    return {
        "@context": CONTEXT,
        "id": f"{URN}{uuid.uuid5(uuid.NAMESPACE_URL, iri_of(brief_.id))}",
        "type": "AnnotationPage",
        "label": f"Comments on {brief_.title}",
        "partOf": {"id": iri_of(brief_.id), "label": brief_.title},
        "generator": {"type": "Software", "name": f"The Luthier’s Brief {brief.__version__}"},
        "generated": written(now_utc()),
        "dcterms:references": labelled([*(_about(desk, one) for one in said), *asked]),
        "items": [
            *(_annotation(desk, one) for one in said),
            *(_answer(question, one) for question, one in given),
        ],
    }


def labelled(records: Iterable[Record]) -> list[dict[str, str]]:
    """What comments are about, as it is now: so that a file can tell what has changed since.

    By their public names, for such a file is passed on.
    """
    return [
        {
            "id": iri_of(record.id),
            "label": public_label(record),
            "modified": written(record.changed_utc),
        }
        for record in {record.id: record for record in records}.values()
    ]


def written(time: datetime) -> str:
    """xsd:dateTime in UTC, as the model wants it (3.3.1)."""
    return time.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _about(desk: Desk, comment: Comment) -> Record:
    return named(desk, comment.about_kind, comment.about_id)


def name_of(said: Comment | Answer) -> str:
    """What it is called in such files."""
    return said.annotation_id or iri_of(said.id)


def _annotation(desk: Desk, comment: Comment) -> Json:
    made: Json = {
        "id": name_of(comment),
        "type": "Annotation",
        "motivation": "replying" if comment.reply_to else "commenting",
        "creator": {"type": "Person", "name": comment.author},
        "created": written(comment.said_utc or comment.created_utc),
        "body": {"type": "TextualBody", "value": comment.text, "format": "text/plain"},
        "target": _target(desk, comment),
    }
    if comment.state == "settled":
        made["schema:creativeWorkStatus"] = comment.state
    if comment.outcome:
        made["rdfs:comment"] = comment.outcome
    return made


def _answer(question: Question, answer: Answer) -> Json:
    chosen = question.choices[answer.choice]["id"]
    body = [
        {"type": "SpecificResource", "source": iri_of(chosen), "purpose": "classifying"},
        {"type": "TextualBody", "value": answer.why, "format": "text/plain"},
    ]
    return {
        "id": name_of(answer),
        "type": "Annotation",
        "motivation": "assessing",
        "creator": {"type": "Person", "name": answer.author},
        "created": written(answer.said_utc),
        "body": body if answer.why else body[:1],
        "target": iri_of(question.id),
    }


def _target(desk: Desk, comment: Comment) -> str | Json:
    if comment.reply_to:
        return name_of(desk.session.get_one(Comment, comment.reply_to))
    source = iri_of(comment.about_id)
    if comment.region:
        return {
            "source": source,
            "selector": {
                "type": "FragmentSelector",
                "conformsTo": MEDIA_FRAGMENTS,
                "value": comment.region,
            },
        }
    if comment.quote:
        quote = quote_of(comment)
        return {
            "source": source,
            "selector": {
                "type": "TextQuoteSelector",
                "exact": quote.exact,
                "prefix": quote.prefix,
                "suffix": quote.suffix,
            },
        }
    return source
