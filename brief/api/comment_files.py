"""Comments as a file by the W3C Web Annotation Data Model, out and in."""

import json
from typing import Annotated, Literal

from fastapi import File, Query, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.uploads import contents, in_file
from brief.services import nouns
from brief.services.feedback.annotation_model import MEDIA_TYPE
from brief.services.feedback.annotations import comments_as_jsonld
from brief.services.feedback.taking_in import TakenIn, take_in
from brief.services.sharing.guest_view import open_to_others
from brief.services.sharing.share_scope import Scope

router = Router(prefix="/api/briefs/{brief_id}/comment-file", tags=["comments"])


class CommentsAsked(BaseModel):
    """What becomes of comments on what others never see."""

    model_config = ConfigDict(extra="forbid")

    leave_out: Literal["nothing", "private"] = Field(
        "nothing",
        description="“private” leaves out what was said of private references, of colours and of "
        "pieces of the rack, and questions that are not asked outside",
    )


@router.get(
    "",
    summary="A brief's comments as W3C Web Annotations",
    response_class=Response,
    responses={200: {"content": {"application/ld+json": {}}}, **responses(404, 422)},
)
def comments_out(
    brief_id: str, desk: ReadingDesk, asked: Annotated[CommentsAsked, Query()]
) -> Response:
    """The comments of a brief as a file."""
    brief = nouns.briefs.get(desk, brief_id)
    only = open_to_others(Scope.of(desk, brief)) if asked.leave_out == "private" else None
    page = comments_as_jsonld(desk, brief_id, only)
    return Response(
        json.dumps(page, ensure_ascii=False, indent=2),
        media_type=MEDIA_TYPE,
        headers={
            "Content-Disposition": 'attachment; filename="comments.jsonld"',
            "Cache-Control": "no-cache",
        },
    )


@router.post(
    "",
    status_code=201,
    summary="Take in comments from a file, each once however often it comes",
    responses=responses(400, 403, 404, 413, 422, 507),
)
def comments_in(brief_id: str, desk: WritingDesk, file: Annotated[UploadFile, File()]) -> TakenIn:
    """Take in a file of comments."""
    with in_file("/file"):
        _name, data = contents(file)
        return take_in(desk, brief_id, data)
