"""The routes that all nouns have: list, make, read, change, remove, take back."""

import re
from typing import Annotated, Any, Generic, TypeVar

from fastapi import APIRouter, Depends, Header, Query, Request, Response
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, create_model

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.english import article
from brief.errors import InputError, PreconditionMissing
from brief.services import offcuts
from brief.services.common.noun import ENTITY_TAG, Noun

V = TypeVar("V", bound=BaseModel)


class Page(BaseModel, Generic[V]):
    """Part of a list, in the order of making."""

    items: list[V]
    next: str | None = Field(description="Send it as “after” for what follows; null at the end")


def _id(given: str) -> str:
    if not re.fullmatch("[0-7][0-9A-HJKMNP-TV-Z]{25}", given):  # a ULID, in Crockford's base 32
        raise InputError("“after” must be the “next” value of the previous page")
    return given


class ListWanted(BaseModel):
    """Which part of a list is asked for."""

    model_config = ConfigDict(extra="forbid")

    after: Annotated[str, AfterValidator(_id)] | None = Field(
        None, description="The “next” of the page before"
    )
    limit: int = Field(50, ge=1, le=200)


class Along(BaseModel):
    """What a removal would take along, and what it would leave behind."""

    along: list[str] = Field(examples=[["1 palette", "5 swatches"]])
    also: list[str] = Field(
        description="What stays, though it uses this or what goes along",
        examples=[["Top of Saltmarsh, first light"]],
    )


class Removed(Along):
    """What was put into the offcuts bin."""

    removed: str = Field(examples=["Reed bed, close"])
    take_back: str = Field(description="POST here to bring all of it back")


SentETags = Annotated[
    list[str] | None,
    Header(description="The ETag of what is to be changed, or *; 428 without it", examples=['"3"']),
]


def _if_match(if_match: SentETags = None) -> str:
    """The If-Match of a request, in one line even if it was sent in several."""
    sent = ", ".join(if_match or ()).strip()
    if not sent:
        raise PreconditionMissing(
            "Say which version you are changing: send its ETag as If-Match. Nothing was changed."
        )
    if sent != "*" and (not ENTITY_TAG.search(sent) or ENTITY_TAG.sub("", sent).strip(" \t,")):
        raise InputError.at(
            "if-match", 'If-Match is * or an ETag in its quotes, such as "3". Nothing was changed.'
        )
    return sent


IfMatch = Annotated[str, Depends(_if_match)]


# Described once for every answer that is one record.
ETAG: dict[str, Any] = {
    "headers": {
        "ETag": {
            "description": "The version; send it back as If-Match with a change",
            "schema": {"type": "string"},
            "example": '"3"',
        }
    }
}
LINK: dict[str, Any] = {
    "headers": {
        "Link": {
            "description": "Where what follows is, if anything does (RFC 8288, rel=next)",
            "schema": {"type": "string"},
        }
    }
}


def with_etag(response: Response, view: Any) -> Any:
    """The view, with its ETag set on the answer."""
    response.headers["ETag"] = view.etag
    return view


def noun_router(noun: Noun[Any, Any], *also: int, making: bool = True) -> APIRouter:
    """The router of one noun. also : with which further statuses making one can be refused;
    making : False where a module of its own makes it."""
    router = Router(prefix=f"/api/{noun.many}", tags=[noun.many])
    shown: Any = noun.view
    draft: Any = noun.draft
    change_model: Any = noun.change_model
    only: dict[str, Any] = {
        name: (str | None, Field(None, description="Only these")) for name in noun.filters
    }
    narrowed: Any = create_model(f"{noun.many.capitalize()}Wanted", __base__=ListWanted, **only)

    @router.get("", summary=f"List {noun.several}", responses={200: LINK, **responses(404, 422)})
    def list_page(
        request: Request,
        response: Response,
        desk: ReadingDesk,
        wanted: Annotated[narrowed, Query()],
    ) -> Page[shown]:
        filters = {name: getattr(wanted, name) for name in noun.filters}
        found = noun.page(desk, after=wanted.after, limit=wanted.limit + 1, **filters)
        items = found[: wanted.limit]
        following = items[-1].id if len(found) > wanted.limit else None
        if following:
            url = request.url.include_query_params(after=following)
            response.headers["Link"] = f'<{url.path}?{url.query}>; rel="next"'
        return Page(items=noun.show_all(desk, items), next=following)

    if making and noun.made_by_json:

        @router.post(
            "",
            status_code=201,
            summary=f"Make {article(noun.one)}",
            responses={201: ETAG, **responses(400, 403, *also, 413, 422, 507)},
        )
        def make(response: Response, desk: WritingDesk, draft: draft) -> shown:
            view = noun.show(desk, noun.add(desk, draft))
            response.headers["Location"] = f"/api/{noun.many}/{view.id}"
            return with_etag(response, view)

    @router.get(
        "/{record_id}", summary=f"Read {article(noun.one)}", responses={200: ETAG, **responses(404)}
    )
    def read(record_id: str, response: Response, desk: ReadingDesk) -> shown:
        return with_etag(response, noun.show(desk, noun.get(desk, record_id)))

    @router.patch(
        "/{record_id}",
        summary=f"Change {article(noun.one)}",
        responses={200: ETAG, **responses(400, 403, 404, 412, 413, 422, 428, 507)},
    )
    def change(
        record_id: str,
        response: Response,
        desk: WritingDesk,
        if_match: IfMatch,
        change: change_model,
    ) -> shown:
        return with_etag(response, noun.show(desk, noun.change(desk, record_id, if_match, change)))

    @router.get(
        "/{record_id}/along",
        summary="What removing it would take along",
        responses=responses(404),
    )
    def along(record_id: str, desk: ReadingDesk) -> Along:
        record = noun.get(desk, record_id)
        return Along(
            along=list(offcuts.along(desk, record)), also=list(offcuts.used_by(desk, record))
        )

    @router.delete(
        "/{record_id}",
        summary=f"Put {article(noun.one)} into the offcuts bin",
        responses=responses(403, 404, 412, 422, 428, 507),
    )
    def remove(record_id: str, desk: WritingDesk, if_match: IfMatch) -> Removed:
        removal = offcuts.remove(desk, noun, record_id, if_match)
        return Removed(
            removed=removal.removed,
            along=list(removal.along),
            also=list(removal.used_by),
            take_back=f"/api/{noun.many}/{record_id}/take-back",
        )

    @router.post(
        "/{record_id}/take-back",
        summary=f"Take {article(noun.one)} back out of the offcuts bin",
        responses={200: ETAG, **responses(403, 404, 422, 507)},
    )
    def take_back(record_id: str, response: Response, desk: WritingDesk) -> shown:
        return with_etag(response, noun.show(desk, offcuts.take_back(desk, noun, record_id)))

    return router
