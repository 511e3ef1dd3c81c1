"""The API reference: a page made from the OpenAPI document, without any script."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from brief import errors
from brief.api.routing import Router

router = Router()

Schema = Mapping[str, Any]

LIMITS = {
    "minLength": "{:,} or more characters",
    "maxLength": "up to {:,} characters",
    "exclusiveMinimum": "more than {:,.15g}",
    "minimum": "at least {:,.15g}",
    "maximum": "at most {:,.15g}",
    "pattern": "matches {}",
}
KINDS = {"string": "text", "integer": "whole number", "boolean": "true or false", "null": "null"}
FORMATS = {"date": "day, YYYY-MM-DD", "date-time": "moment, RFC 3339"}


@dataclass(frozen=True)
class TextPiece:
    """A bit of text, which links to the schema named by `to` if there is one."""

    text: str
    to: str | None = None


@dataclass(frozen=True)
class Field:
    """One parameter, or one field of a body."""

    name: str
    place: str
    kind: tuple[TextPiece, ...]
    required: bool
    limits: tuple[str, ...]
    says: str
    examples: tuple[Any, ...]


@dataclass(frozen=True)
class DocumentedAnswer:
    """One answer that an operation can give."""

    status: str
    says: str
    headers: tuple[str, ...]
    kind: tuple[TextPiece, ...]
    is_problem: bool


@dataclass(frozen=True)
class Operation:
    """One operation of the API."""

    id: str
    method: str
    path: str
    summary: str
    parameters: tuple[Field, ...]
    body_type: str
    body: tuple[TextPiece, ...]
    answers: tuple[DocumentedAnswer, ...]


@dataclass(frozen=True)
class NounOperations:
    """What can be done with one noun."""

    noun: str
    operations: tuple[Operation, ...]


@dataclass(frozen=True)
class Described:
    """One schema of the document."""

    name: str
    says: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class ProblemKind:
    """One `type` that a problem can have."""

    code: str
    status: int
    says: str


# Refusals that come before any use is asked for, so that no class of brief.errors stands for them.
BEFORE_ANY_USE = (
    ProblemKind("bad_request", 400, "The body could not be taken apart: a broken upload."),
    ProblemKind("foreign_page", 403, "A page of another site tried to write; nothing was done."),
    ProblemKind(
        "unknown_host",
        421,
        "Wrong host name. Every operation can answer this.",
    ),
    ProblemKind(
        "needs_tls", 421, "It came without TLS (https), and only TLS is allowed. The same."
    ),
    ProblemKind("method_not_allowed", 405, "Right address, wrong method."),
    ProblemKind(
        "unexpected",
        500,
        "A fault of the program itself; nothing was saved. Every operation can answer this.",
    ),
)


@router.get("/api/docs", include_in_schema=False)
def reference(request: Request) -> Response:
    """The page of the API reference."""
    document = request.app.openapi()
    shown: Response = request.app.state.pages.show(
        "docs.html",
        info=document["info"],
        document_url=request.app.openapi_url,
        groups=list(_groups(document)),
        schemas=[_described(*item) for item in sorted(document["components"]["schemas"].items())],
        problems=problem_kinds(),
    )
    return shown


def problem_kinds() -> list[ProblemKind]:
    """Every kind of problem the API answers, by status."""
    own = [ProblemKind(kind.code, kind.status, _sentence(kind)) for kind in _kinds_of_error()]
    return sorted([*own, *BEFORE_ANY_USE], key=lambda kind: (kind.status, kind.code))


def _kinds_of_error() -> Iterator[type[errors.BriefError]]:
    waiting = list(errors.BriefError.__subclasses__())
    while waiting:
        kind = waiting.pop()
        if kind.__module__ == errors.__name__:
            yield kind
        waiting.extend(kind.__subclasses__())


def _sentence(kind: type[errors.BriefError]) -> str:
    return " ".join((kind.__doc__ or "").split())


def _groups(document: Schema) -> Iterator[NounOperations]:
    found: dict[str, list[Operation]] = {}
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            found.setdefault(operation["tags"][0], []).append(_operation(method, path, operation))
    for noun, of_noun in found.items():
        yield NounOperations(noun, tuple(of_noun))


def _operation(method: str, path: str, operation: Schema) -> Operation:
    body_type, described = _content(operation.get("requestBody", {}))
    return Operation(
        id=operation["operationId"],
        method=method.upper(),
        path=path,
        summary=operation["summary"],
        parameters=tuple(
            _field(one["name"], _as_sent(one["schema"]), place=one["in"], required=one["required"])
            for one in operation.get("parameters", ())
        ),
        body_type=body_type,
        body=_kind(described["schema"]) if described else (),
        answers=tuple(_answer(*item) for item in sorted(operation["responses"].items())),
    )


def _content(body: Schema) -> tuple[str, Schema]:
    """The media type of a body, and what is said of it; nothing of an empty one."""
    found: dict[str, Schema] = body.get("content", {})
    return next(iter(found.items()), ("", {}))


def _as_sent(schema: Schema) -> Schema:
    """A parameter that may be left out is described as nullable, though null cannot be sent."""
    branches = [one for one in schema.get("anyOf", ()) if one != {"type": "null"}]
    return {**schema, "anyOf": branches} if branches else schema


def _answer(status: str, answer: Schema) -> DocumentedAnswer:
    media_type, described = _content(answer)
    return DocumentedAnswer(
        status=status,
        says=answer["description"],
        headers=tuple(answer.get("headers", ())),
        kind=_kind(described["schema"]) if "schema" in described else (TextPiece(media_type),),
        is_problem=media_type == "application/problem+json",
    )


def _described(name: str, schema: Schema) -> Described:
    required = schema.get("required", ())
    return Described(
        name=name,
        says=schema.get("description", ""),
        fields=tuple(
            _field(field, described, required=field in required)
            for field, described in schema.get("properties", {}).items()  # a mapping has none
        ),
    )


def _field(name: str, schema: Schema, *, required: bool, place: str = "") -> Field:
    branches = [schema, *schema.get("anyOf", ()), schema.get("items", {})]
    limits = [
        words.format(branch[limit])
        for branch in branches
        for limit, words in LIMITS.items()
        if limit in branch
    ]
    if schema.get("default") not in (None, "", []):
        limits.append(f"{schema['default']} if left out")
    return Field(
        name=name,
        place=place,
        kind=_kind(schema),
        required=required,
        limits=tuple(limits),
        says=next((one["description"] for one in branches if "description" in one), ""),
        examples=tuple(next((one["examples"] for one in branches if "examples" in one), ())),
    )


def _kind(schema: Schema) -> tuple[TextPiece, ...]:
    """What sort of value a schema asks for, in words."""
    match schema:
        case {"$ref": str(target)}:
            name = target.rsplit("/", 1)[-1]
            return (TextPiece(name, name),)
        case {"anyOf": branches}:
            first, *others = (_kind(branch) for branch in branches)
            return sum(((TextPiece(" or "), *other) for other in others), first)
        case {"prefixItems": items}:
            return (TextPiece(f"list of {len(items)} numbers"),)
        case {"type": "array", "items": items}:
            return (TextPiece("list of "), *_kind(items))
        case {"enum": values}:
            return (TextPiece("one of " + ", ".join(map(str, values))),)
        case {"const": value}:
            return (TextPiece(f"“{value}”"),)
        case {"contentMediaType": _}:
            return (TextPiece("file"),)
        case {"format": str(form)} if form in FORMATS:
            return (TextPiece(FORMATS[form]),)
        case {"type": str(kind)}:
            return (TextPiece(KINDS.get(kind, kind)),)
        case _:
            return (TextPiece("anything"),)
