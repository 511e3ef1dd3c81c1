"""What somebody outside gets by a link: the page, its pictures, and a way to say something."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from fastapi import Depends, Query, Request
from fastapi.responses import HTMLResponse, Response
from pydantic import BaseModel, ConfigDict, Field

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.html_file import as_download, file_name
from brief.api.limits import Client, Limits, RateLimits
from brief.api.mailed import mailed_file
from brief.api.pictures import NAMES_LOST, naming_lost
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.speakers import Speaker, tell_apart
from brief.api.templates import pages_of
from brief.errors import InputError, NotFound
from brief.paper.contents import StrandPaper
from brief.services import nouns
from brief.services.common.field_types import (
    Draft,
    Id,
    Line,
    Quoted,
    RegionText,
    SomeText,
    Text,
    not_boolean,
)
from brief.services.common.foreign_keys import AboutKind
from brief.services.common.paging import Leaf
from brief.services.feedback.comments import MAKER, CommentDraft
from brief.services.outputs.strand_sheets import STRAND_MEDIA, StrandForm, strand_sheet
from brief.services.sharing.guest_pictures import outside_picture, readdressed
from brief.services.sharing.guest_view import Leaves, outside
from brief.services.sharing.guest_writing import add_by_link
from brief.services.sharing.share_scope import Scope, scope_of
from brief.services.sharing.shares import USUALLY_SHOWN, Sheets, opened
from brief.store.desk import Desk
from brief.store.records import Brief, Share

router = Router(prefix="/s/{token}", tags=["guests"])
# The address is the secret: it goes to no other site, into no index, into no shared cache.
UNTOLD = {"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex", "Cache-Control": "no-store"}
SHORTLY = UNTOLD | {"Cache-Control": "private, max-age=300"}  # withdrawn, it is gone soon


def known_share(desk: Desk, token: str, limits: RateLimits, client: str) -> Share:
    """The share of that secret. Who tries many wrong ones is made to wait; a right one never."""
    try:
        return opened(desk, token)
    except NotFound:
        limits.check("token", client)
        raise


def _open(
    token: str, desk: ReadingDesk, limits: Limits, client: Client
) -> Iterator[tuple[Share, Scope]]:
    share = known_share(desk, token, limits, client)
    with scope_of(desk, share) as scope:
        yield share, scope


Opened = Annotated[tuple[Share, Scope], Depends(_open, scope="function")]


@router.get("", include_in_schema=False, response_class=HTMLResponse)
def page(
    request: Request,
    token: str,
    desk: ReadingDesk,
    at: Opened,
    pictures: int = 1,
    picture: str = "",
    pairings: int = 1,
) -> Response:
    """The page behind a link; `picture` is the id of what its page of pictures is to have."""
    share, scope = at
    leaves = Leaves(Leaf(pictures, picture), Leaf(pairings))
    text = pages_of(request).text(
        "guest.html",
        seen=outside(scope, leaves),
        share=share,
        revision=nouns.shares.show(desk, share).revision,
        inlined=None,
        at=f"/s/{token}",
    )
    shown = HTMLResponse(
        readdressed(text, lambda address: f"/s/{token}/seen{address}"), headers=UNTOLD
    )
    tell_apart(request, shown)
    return shown


@router.get("/seen/{address:path}", include_in_schema=False)
def picture(request: Request, address: str, at: Opened) -> Response:
    """A picture on the page behind a link."""
    query = f"?{request.url.query}" if request.url.query else ""
    data, media_type = outside_picture(at[1], f"/{address}{query}")
    return Response(data, media_type=media_type, headers=SHORTLY)


@router.get(
    "/strands.{form}",
    summary="The strands of the theme as one sheet, PDF or PNG",
    response_class=Response,
    responses={
        200: {"content": {kind: {} for kind in STRAND_MEDIA.values()}},
        **responses(404, 422, 429, 507),
    },
)
def strands(
    form: StrandForm, at: Opened, limits: Limits, paper: Annotated[StrandPaper, Query()] = "A3"
) -> Response:
    """The strands as a file, as far as the link shows them."""
    share, scope = at
    if "theme" not in scope.sheets:
        raise NotFound("This link does not show the theme.")
    limits.check("sheet", share.id)
    made = strand_sheet(scope, form, paper)
    kept = {"Content-Disposition": f'attachment; filename="{made.name}"'}
    return Response(made.data, media_type=made.media_type, headers=UNTOLD | kept)


class GuestComment(Draft):
    """What a guest says; their first name is all that is asked of them."""

    about_kind: AboutKind
    about_id: Id
    region: RegionText | None = Field(None, description="A spot on the picture it is about")
    quote: Quoted = Field("", description="Words of its text that it is about")
    quote_prefix: Quoted = ""
    quote_suffix: Quoted = ""
    author: Line = Field(description="Their first name", examples=["Ines"])
    text: SomeText


class GuestAnswer(Draft):
    """What a guest chose, this or that."""

    question_id: Id
    choice: Annotated[int, Field(ge=0, description="Its place, from 0"), not_boolean]
    author: Line = Field(description="Their first name", examples=["Ines"])
    why: Text = ""


class Mailed(BaseModel):
    """What goes into a file by mail."""

    model_config = ConfigDict(extra="forbid")

    sheets: Sheets = list(USUALLY_SHOWN)


class Taken(BaseModel):
    """What was written down, in words."""

    said: str


@router.post(
    "/comments",
    status_code=201,
    summary="Say something about the brief, or about one thing in it",
    responses=responses(400, 403, 404, 413, 422, 429, 507),
)
def say(token: str, desk: WritingDesk, said: GuestComment, limits: Limits, by: Speaker) -> Taken:
    """Comment by a link."""
    share = _may_speak(desk, token, said.author, limits, by)
    named = add_by_link(desk, share, CommentDraft(brief_id=share.brief_id, **dict(said)))
    return Taken(said=f"{said.author} on {named.label}: {said.text}")


@router.post(
    "/answers",
    status_code=201,
    summary="Choose between the things of a question",
    responses=responses(400, 403, 404, 413, 422, 429, 507),
)
def choose(
    token: str, desk: WritingDesk, chosen: GuestAnswer, limits: Limits, by: Speaker
) -> Taken:
    """Answer a question by a link."""
    share = _may_speak(desk, token, chosen.author, limits, by)
    brief = desk.session.get_one(Brief, share.brief_id)
    shown = Scope.of(desk, brief, share.sheets).questions
    if chosen.question_id not in [one.id for one in shown]:
        raise InputError.at("question_id", "This question is not asked here any more.")
    answered = nouns.answers.answer(
        desk, chosen.question_id, chosen.choice, chosen.why, chosen.author
    )
    return Taken(said=answered.said)


def _may_speak(desk: Desk, token: str, author: str, limits: RateLimits, by: Speaker) -> Share:
    share = known_share(desk, token, limits, by.address)
    if not share.may_comment:
        raise InputError("This link is for reading alone. Ask whoever sent it for another one.")
    if not author:
        raise InputError.at("author", "Say your first name, so that the maker knows who it was.")
    if " ".join(author.split()).casefold() == MAKER:
        raise InputError.at("author", "That name belongs to the maker. Use your own.")
    limits.check_all(by.counted(share.id))
    return share


mail_router = Router(prefix="/api/briefs/{brief_id}", tags=["guests"])


@mail_router.get(
    "/for-comment.html",
    summary="The brief as one file to send by mail, in which its reader can comment",
    response_class=Response,
    responses={200: {"content": {"text/html": {}}} | NAMES_LOST, **responses(404, 413, 422)},
)
def for_comment(
    request: Request, brief_id: str, desk: ReadingDesk, shown: Annotated[Mailed, Query()]
) -> Response:
    """The brief as one HTML file to mail."""
    brief = nouns.briefs.get(desk, brief_id)
    data = mailed_file(pages_of(request), Scope.of(desk, brief, shown.sheets))
    answer = as_download(data, file_name(brief, "to-comment.html"))
    answer.headers.update(naming_lost(desk, brief.id))
    return answer
