"""Who may come in where the server answers other devices: the owner, signed in; or, where several
makers share it, each of them, into a workshop of theirs.

All is shut but a few addresses, so that what is added later is shut, too.
"""

from __future__ import annotations

import re
from dataclasses import replace
from urllib.parse import quote

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from brief.api import health
from brief.api.guards import SAFE_METHODS, counted
from brief.api.house import HERE, VISIT, House, Visit
from brief.api.limits import RateLimits, client_of
from brief.api.problems import problem_of
from brief.api.watch import may_gather
from brief.errors import BriefError, Conflict, NotSignedIn, TooLarge
from brief.services.makers.register import is_here, maker, may_enter
from brief.services.sharing.owner import Signed, signed_in
from brief.store.desk import Desk, Store
from brief.store.register import Workshop

SIGN_IN = "/sign-in"
JOIN = "/join"
OPEN = {SIGN_IN, "/api/session", health.ALIVE, health.READY, JOIN, "/api/makers/joining"}
# Styles and scripts; and what the owner has shared, whose own token opens it.
OPEN_BELOW = ("/static/", "/s/")
OPEN_BODY_BYTES = 256 * 2**10  # of who is not signed in: a passphrase, a long comment
# The prefix makes a browser hold it to this host and to TLS (RFC 6265bis, 4.1.3.2).
COOKIES = {"http": "brief_session", "https": "__Host-brief_session"}
PAGES_OF_THE_API = {"/api/docs"}

WORKSHOP_HEADER = "x-workshop"  # of which workshop the page is that something is sent from
_TOO_MUCH = f"That is more than {OPEN_BODY_BYTES // 2**10} KB. Nothing was saved."


class Lock:
    """Answer only who is signed in; another gets 401, or the page to sign in at where a page was
    asked for."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, as ASGI asks."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
        elif scope["path"] in OPEN or scope["path"].startswith(OPEN_BELOW):
            await self._let_in_a_stranger(scope, receive, send)
        else:
            app = await run_in_threadpool(_refusal, Request(scope)) or self._let_in
            await app(scope, receive, _kept_nowhere(scope, send))

    async def _let_in(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Into the workshop where they are, if several makers share the server."""
        visit: Visit | None = scope.get(VISIT)
        if visit is None:
            await self.app(scope, receive, send)
            return
        house: House = scope["app"].state.house
        try:
            async with house.at(visit.workshop_id) as workshop:
                scope[VISIT] = visit = replace(visit, workshop=workshop)
                token = HERE.set(visit)
                try:
                    await self.app(scope, receive, send)
                finally:
                    HERE.reset(token)
        except BriefError as exc:  # the workshop could not be opened; the app says its own
            await problem_of(Request(scope), exc)(scope, receive, send)

    async def _let_in_a_stranger(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope)
        if int(request.headers.get("content-length") or 0) > OPEN_BODY_BYTES:
            await problem_of(request, TooLarge(_TOO_MUCH))(scope, receive, send)
            return
        house: House | None = scope["app"].state.house
        bounded = counted(receive, OPEN_BODY_BYTES, _TOO_MUCH)
        if house is None:
            await self.app(scope, bounded, send)
            return
        try:
            async with house.led_to(scope["path"]) as (workshop_id, workshop):
                if workshop is not None:
                    scope[VISIT] = Visit(workshop_id, workshop=workshop)
                await self.app(scope, bounded, send)
        except BriefError as exc:
            await problem_of(request, exc)(scope, receive, send)


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
    shared = request.app.state.house is not None
    try:
        with store.desk() as desk:
            who = signed_in_there(desk, request)
            if who is not None and shared:
                request.scope[VISIT] = visit = _visit(desk, who)
                _must_be_there(request, visit)
        if who is not None and _is_upload(request):
            limits.check("upload", client_of(request))
    except BriefError as exc:
        return problem_of(request, exc)
    if who is not None:
        return None
    if _asks_for_page(request):
        return RedirectResponse(f"{SIGN_IN}?then={quote(_address(request), safe='')}", 303)
    whose = "your name and passphrase" if shared else "the owner’s passphrase"
    return problem_of(request, NotSignedIn(f"Sign in first, with {whose}. Nothing was changed."))


def signed_in_there(desk: Desk, request: Request) -> Signed | None:
    """Who is signed in in the browser that a request comes from; None if nobody is."""
    token = request.cookies.get(cookie_name(request))
    who = None if token is None else signed_in(desk, token)
    if who is not None and request.app.state.house is not None and not is_here(desk, who.maker):
        return None
    return who


def _visit(desk: Desk, who: Signed) -> Visit:
    """At the workshop that the browser went to; at their own, where they may enter that no more."""
    record = maker(desk, who.maker)
    there = who.workshop_id
    if there is None or not may_enter(desk, who.maker, there):
        there = record.workshop_id
    joint = there != record.workshop_id
    title = desk.session.get_one(Workshop, there).title
    return Visit(there, record.number, record.name, title, by=record.name if joint else "")


def _must_be_there(request: Request, visit: Visit) -> None:
    """Raise Conflict where a page of one workshop would write into another: its maker has gone
    there in another window meanwhile."""
    said = request.headers.get(WORKSHOP_HEADER)
    if said is not None and said != visit.workshop_id:
        raise Conflict(
            "You went to another workshop in another window, so nothing was saved. Go back to this "
            "one there (Makers here), then send it again."
        )


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
