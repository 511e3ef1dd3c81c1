"""Who may come in where the server answers other devices: the owner, signed in.

All is shut but a few addresses, so that what is added later is shut, too.
"""

from __future__ import annotations

import re
from urllib.parse import quote

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from brief.api import health
from brief.api.guards import SAFE_METHODS, counted
from brief.api.limits import RateLimits, client_of
from brief.api.problems import problem_of
from brief.api.watch import may_gather
from brief.errors import BriefError, NotSignedIn, TooLarge
from brief.services.sharing.owner import is_signed_in
from brief.store.desk import Desk, Store

SIGN_IN = "/sign-in"
OPEN = {SIGN_IN, "/api/session", health.ALIVE, health.READY}
# Styles and scripts; and what the owner has shared, whose own token opens it.
OPEN_BELOW = ("/static/", "/s/")
OPEN_BODY_BYTES = 256 * 2**10  # of who is not signed in: a passphrase, a long comment
# The prefix makes a browser hold it to this host and to TLS (RFC 6265bis, 4.1.3.2).
COOKIES = {"http": "brief_session", "https": "__Host-brief_session"}
PAGES_OF_THE_API = {"/api/docs"}

_TOO_MUCH = f"That is more than {OPEN_BODY_BYTES // 2**10} KB. Nothing was saved."


class Lock:
    """Answer only the owner; another gets 401, or the page to sign in at where a page was asked
    for."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, as ASGI asks."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
        elif scope["path"] in OPEN or scope["path"].startswith(OPEN_BELOW):
            await self._let_in_a_stranger(scope, receive, send)
        else:
            refusal = await run_in_threadpool(_refusal, Request(scope))
            await (refusal or self.app)(scope, receive, _kept_nowhere(scope, send))

    async def _let_in_a_stranger(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope)
        if int(request.headers.get("content-length") or 0) > OPEN_BODY_BYTES:
            await problem_of(request, TooLarge(_TOO_MUCH))(scope, receive, send)
        else:
            await self.app(scope, counted(receive, OPEN_BODY_BYTES, _TOO_MUCH), send)


def _kept_nowhere(scope: Scope, send: Send) -> Send:
    """Over plain HTTP no browser can be told to forget when the owner signs out, so that it may
    keep nothing: Clear-Site-Data is for TLS alone (W3C Clear Site Data, 3.1).
    """
    if scope["scheme"] == "https":
        return send

    async def send_it(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message)["Cache-Control"] = "no-store"
        await send(message)

    return send_it


def _refusal(request: Request) -> Response | None:
    """The answer to who is not signed in, or sends more pictures than anybody shoots."""
    if may_gather(request):
        return None
    store: Store = request.app.state.store
    limits: RateLimits = request.app.state.limits
    try:
        with store.desk() as desk:
            signed_in = is_owner(desk, request)
        if signed_in and _is_upload(request):
            limits.check("upload", client_of(request))
    except BriefError as exc:
        return problem_of(request, exc)
    if signed_in:
        return None
    if _asks_for_page(request):
        return RedirectResponse(f"{SIGN_IN}?then={quote(_address(request), safe='')}", 303)
    return problem_of(
        request, NotSignedIn("Sign in first, with the owner’s passphrase. Nothing was changed.")
    )


def is_owner(desk: Desk, request: Request) -> bool:
    """Whether the request comes from a browser in which the owner is signed in."""
    token = request.cookies.get(cookie_name(request))
    return token is not None and is_signed_in(desk, token)


def cookie_name(request: Request) -> str:
    """The name of the cookie that keeps a browser signed in, by the scheme of the request."""
    return COOKIES[request.url.scheme]


def own_address(text: str) -> str:
    """`text` if it is an address of this server, without its host; otherwise that of the shelf.

    Browsers read "//" and "/\\" at the beginning as the beginning of a host.
    """
    if not re.fullmatch(r"/(?![/\\])[^\\\x00-\x20\x7f]*", text) or text.startswith(SIGN_IN):
        return "/"
    # In the address that a form goes to, braces stand for what was answered.
    return text.replace("{", "%7B").replace("}", "%7D")


def _address(request: Request) -> str:
    return request.url.path + (f"?{request.url.query}" if request.url.query else "")


def _asks_for_page(request: Request) -> bool:
    path = request.url.path
    return (
        request.method in SAFE_METHODS
        and "text/html" in request.headers.get("accept", "")
        and (not path.startswith("/api/") or path in PAGES_OF_THE_API)
    )


def _is_upload(request: Request) -> bool:
    return request.headers.get("content-type", "").startswith("multipart/")
