"""Signing in and out, where the server answers other devices."""

from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import Depends, Request, Response
from pydantic import BaseModel, ConfigDict, Field

from brief.api.limits import Client, Limits
from brief.api.lines import WaitingLine
from brief.api.lock import cookie_name
from brief.api.problems import responses
from brief.api.routing import Router
from brief.errors import NotSignedIn, TooMany
from brief.services.makers import register
from brief.services.sharing import owner
from brief.store.desk import Desk, Store

router = Router(prefix="/api/session", tags=["session"])
# The cookie of a browser that has signed in before; it stays there after signing out.
KNOWN = {"http": "brief_known", "https": "__Host-brief_known"}
KNOWN_FOR = timedelta(days=400)  # no browser keeps one longer: RFC 6265bis, 5.5


class Key(BaseModel):
    """The passphrase as it is sent."""

    model_config = ConfigDict(extra="forbid")

    passphrase: str = Field("", max_length=1000)
    name: str = Field("", max_length=1000, description="Whose, where several makers share a server")


class SignedIn(BaseModel):
    """Until when a browser is signed in."""

    until: datetime = Field(description="Then the passphrase is asked for again")


@dataclass(frozen=True)
class Caller:
    """Who tries a passphrase. known : whether whoever they say they are has signed in before in
    this browser; it then has a line and tries of its own, whatever strangers do.
    """

    name: str
    known: bool


def _number(request: Request, desk: Desk, key: Key) -> int | None:
    """Whose passphrase it is to be; None if nobody is called so."""
    shared = request.app.state.house is not None
    return register.numbered(desk, key.name) if shared else owner.OWNER


def _caller(request: Request, client: Client, key: Key) -> Caller:
    mark = request.cookies.get(KNOWN[request.url.scheme])
    store: Store = request.app.state.store
    if mark is not None:
        with store.desk() as desk:
            if owner.is_known(desk, mark, _number(request, desk, key)):
                return Caller(mark, known=True)
    return Caller(client, known=False)


async def _in_turn(
    request: Request, limits: Limits, caller: Annotated[Caller, Depends(_caller)]
) -> AsyncIterator[Caller]:
    limits.check("passphrase", caller.name)
    lines: dict[bool, WaitingLine] = request.app.state.sign_in_lines
    try:
        async with lines[caller.known].turn(caller.name):
            yield caller
    except TooMany:
        limits.give_back("passphrase", caller.name)  # it was not looked at
        raise


InTurn = Annotated[Caller, Depends(_in_turn, scope="function")]


@router.post(
    "",
    summary="Sign in with a passphrase",
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
    request: Request, response: Response, key: Key, limits: Limits, caller: InTurn
) -> SignedIn:
    """Sign in."""
    store: Store = request.app.state.store
    shared = request.app.state.house is not None
    with store.desk() as desk:  # it takes a while, and nobody is to wait for the write lock
        opened = owner.opened_by(desk, key.passphrase, _number(request, desk, key))
    if opened is None:
        what = "a name and passphrase of anybody here" if shared else "the passphrase"
        raise NotSignedIn(f"That is not {what}.")
    limits.give_back("passphrase", caller.name)
    with store.desk(writing=True) as desk:
        owner.sign_out(desk, request.cookies.get(cookie_name(request), ""))
        token, until = owner.sign_in(desk, opened)
    secure = request.url.scheme == "https"
    response.set_cookie(
        cookie_name(request),
        token,
        max_age=int(owner.LASTS.total_seconds()),
        secure=secure,
        httponly=True,
        samesite="lax",  # Strict would not be sent where a link in a letter is followed
    )
    response.set_cookie(
        KNOWN[request.url.scheme],
        owner.mark_of_browser(opened),
        max_age=int(KNOWN_FOR.total_seconds()),
        secure=secure,
        httponly=True,
        samesite="strict",
    )
    return SignedIn(until=until)


@router.delete("", status_code=204, summary="Sign out", responses=responses(403, 507))
def sign_out(request: Request) -> Response:
    """Sign out."""
    store: Store = request.app.state.store
    with store.desk(writing=True) as desk:
        owner.sign_out(desk, request.cookies.get(cookie_name(request), ""))
    gone = Response(status_code=204)
    secure = request.url.scheme == "https"
    gone.delete_cookie(cookie_name(request), secure=secure, httponly=True, samesite="lax")
    if secure:  # browsers take it over TLS only (W3C Clear Site Data, 3.1)
        gone.headers["Clear-Site-Data"] = '"cache"'
    return gone
