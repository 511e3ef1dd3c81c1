"""Signing in and out, where the server answers other devices."""

from datetime import datetime

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel, ConfigDict, Field

from brief.api.limits import Client, Limits
from brief.api.lock import cookie_name
from brief.api.problems import responses
from brief.errors import NotSignedIn
from brief.services import owner
from brief.store.desk import Store

router = APIRouter(prefix="/api/session", tags=["session"])


class Key(BaseModel):
    model_config = ConfigDict(extra="forbid")

    passphrase: str = Field("", max_length=1000)


class SignedIn(BaseModel):
    until: datetime = Field(description="Then the passphrase is asked for again")


@router.post(
    "",
    summary="Sign in with the owner’s passphrase",
    responses={
        200: {
            "headers": {
                "Set-Cookie": {
                    "description": "What to send from now on",
                    "schema": {"type": "string"},
                }
            }
        },
        **responses(400, 401, 403, 413, 422, 429, 507),
    },
)
def sign_in(
    request: Request, response: Response, key: Key, limits: Limits, client: Client
) -> SignedIn:
    limits.check("passphrase", client)
    store: Store = request.app.state.store
    with store.desk() as desk:  # it takes a while, and nobody is to wait for the write lock
        opened = owner.opened_by(desk, key.passphrase)
    if opened is None:
        raise NotSignedIn("That is not the passphrase.")
    limits.give_back("passphrase", client)
    with store.desk(writing=True) as desk:
        owner.sign_out(desk, request.cookies.get(cookie_name(request), ""))
        token, until = owner.sign_in(desk, opened)
    response.set_cookie(
        cookie_name(request),
        token,
        max_age=int(owner.LASTS.total_seconds()),
        secure=request.url.scheme == "https",
        httponly=True,
        samesite="lax",  # Strict would not be sent where a link in a letter is followed
    )
    return SignedIn(until=until)


@router.delete("", status_code=204, summary="Sign out", responses=responses(403, 507))
def sign_out(request: Request) -> Response:
    store: Store = request.app.state.store
    with store.desk(writing=True) as desk:
        owner.sign_out(desk, request.cookies.get(cookie_name(request), ""))
    gone = Response(status_code=204)
    secure = request.url.scheme == "https"
    gone.delete_cookie(cookie_name(request), secure=secure, httponly=True, samesite="lax")
    if secure:  # browsers take it over TLS only (W3C Clear Site Data, 3.1)
        gone.headers["Clear-Site-Data"] = '"cache"'
    return gone
