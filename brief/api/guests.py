"""What somebody outside gets by a link: the page, its pictures, and a way to say something."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, Response
from pydantic import BaseModel, ConfigDict, Field

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.mailed import file_name, mailed_file
from brief.api.pages import pages_of
from brief.api.problems import responses
from brief.errors import InputError
from brief.services import nouns
from brief.services.comments import CommentDraft
from brief.services.fields import Draft, Id, Line, RegionText, SomeText
from brief.services.outside import outside, outside_picture, readdressed, things
from brief.services.pointers import AboutKind
from brief.services.shares import USUALLY_SHOWN, Sheets, opened
from brief.store.records import Brief, Share

router = APIRouter(prefix="/s/{token}", tags=["guests"])
# The address is the secret: it goes to no other site, into no index, into no shared cache.
UNTOLD = {"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex", "Cache-Control": "no-store"}
SHORTLY = UNTOLD | {"Cache-Control": "private, max-age=300"}  # withdrawn, it is gone soon


def _open(token: str, desk: ReadingDesk) -> Share:
    return opened(desk, token)


Opened = Annotated[Share, Depends(_open)]


@router.get("", include_in_schema=False, response_class=HTMLResponse)
def page(request: Request, token: str, desk: ReadingDesk, share: Opened) -> Response:
    seen = outside(desk, desk.session.get_one(Brief, share.brief_id), share.sheets)
    text = pages_of(request).text(
        "guest.html", seen=seen, share=share, inlined=None, at=f"/s/{token}"
    )
    return HTMLResponse(
        readdressed(text, lambda address: f"/s/{token}/seen{address}"), headers=UNTOLD
    )


@router.get("/seen/{address:path}", include_in_schema=False)
def picture(request: Request, address: str, desk: ReadingDesk, share: Opened) -> Response:
    query = f"?{request.url.query}" if request.url.query else ""
    brief = desk.session.get_one(Brief, share.brief_id)
    data, media_type = outside_picture(desk, brief, share.sheets, f"/{address}{query}")
    return Response(data, media_type=media_type, headers=SHORTLY)


class GuestComment(Draft):
    """What a guest says; their first name is all that is asked of them."""

    about_kind: AboutKind
    about_id: Id
    region: RegionText | None = Field(None, description="A spot on the picture it is about")
    author: Line = Field(description="Their first name", examples=["Ines"])
    text: SomeText


class Mailed(BaseModel):
    """What goes into a file by mail."""

    model_config = ConfigDict(extra="forbid")

    sheets: Sheets = list(USUALLY_SHOWN)


class Taken(BaseModel):
    """A comment as it was written down."""

    author: str
    text: str
    about_label: str


@router.post(
    "/comments",
    status_code=201,
    summary="Say something about the brief, or about one thing in it",
    responses=responses(400, 403, 404, 413, 422, 507),
)
def say(token: str, desk: WritingDesk, said: GuestComment) -> Taken:
    share = opened(desk, token)
    if not share.may_comment:
        raise InputError("This link is for reading alone. Ask whoever sent it for another one.")
    if not said.author:
        raise InputError.at("author", "Say your first name, so that the maker knows who it was.")
    brief = desk.session.get_one(Brief, share.brief_id)
    named = things(desk, brief, share.sheets).get(said.about_id)
    if named is None or named.kind != said.about_kind:
        raise InputError.at("about_id", "What this is about is not shown here any more.")
    nouns.comments.add(desk, CommentDraft(brief_id=share.brief_id, **dict(said)))
    return Taken(author=said.author, text=said.text, about_label=named.label)


mail_router = APIRouter(prefix="/api/briefs/{brief_id}", tags=["guests"])


@mail_router.get(
    "/for-comment.html",
    summary="The brief as one file to send by mail, in which its reader can comment",
    response_class=Response,
    responses={200: {"content": {"text/html": {}}}, **responses(404, 413, 422)},
)
def for_comment(
    request: Request, brief_id: str, desk: ReadingDesk, shown: Annotated[Mailed, Query()]
) -> Response:
    brief = nouns.briefs.get(desk, brief_id)
    return Response(
        mailed_file(pages_of(request), desk, brief, shown.sheets),
        media_type="text/html",
        headers={
            "Content-Disposition": f"attachment; filename*=UTF-8''{quote(file_name(brief))}",
            "Cache-Control": "no-store",
        },
    )
