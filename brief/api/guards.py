"""What stands before every route: who is asked, whose page writes, how much is sent, what a
browser may do."""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from brief.api.hosts import Hosts
from brief.api.problems import problem
from brief.errors import TooLarge

SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}
MAX_BODY_BYTES = 256 * 2**20
GUEST_BODY_BYTES = 64 * 2**10  # what somebody outside says is words alone
CONTENT_SECURITY_POLICY = (
    "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
SECURITY_HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    # No page asks a browser for any of these; a photograph is shot by the phone's own camera.
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), display-capture=(), "
    "payment=(), usb=(), serial=(), hid=(), midi=()",
}
HALF_A_YEAR = "max-age=15768000"
# Styles and scripts hold nothing of anybody's; for all else, no answer is kept that does not say
# that it may be.
KEPT = "/static/"


class Guards:
    """Refuse what is meant for another host, what a page of another site writes, and bodies beyond
    the limit.

    hosts : what this server goes by beside loopback; see `Hosts`.
    tls_only : refuse what comes without TLS, too.
    """

    def __init__(self, app: ASGIApp, hosts: str, *, tls_only: bool = False) -> None:
        self.app = app
        self.hosts = Hosts(hosts)
        self.tls_only = tls_only

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, with headers, what may pass; as ASGI asks."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                answered = MutableHeaders(scope=message)
                for name, value in SECURITY_HEADERS.items():
                    answered.setdefault(name, value)
                if self.tls_only and scope["scheme"] == "https":  # RFC 6797, 7.2
                    answered.setdefault("Strict-Transport-Security", HALF_A_YEAR)
                if not scope["path"].startswith(KEPT):
                    answered.setdefault("Cache-Control", "no-store")
            await send(message)

        refusal = _refusal(scope, self.hosts, tls_only=self.tls_only)
        if refusal is not None:
            await refusal(scope, receive, with_headers)
        else:
            await self.app(scope, counted(receive, _most(scope), _too_much(scope)), with_headers)


def counted(receive: Receive, most_bytes: int, too_much: str) -> Receive:
    """Like `receive`, but raises TooLarge with these words beyond so many bytes."""
    received = 0

    async def receive_counted() -> Message:
        nonlocal received
        message = await receive()
        received += len(message.get("body", b""))
        if received > most_bytes:
            raise TooLarge(too_much)
        return message

    return receive_counted


def _refusal(scope: Scope, hosts: Hosts, *, tls_only: bool) -> Response | None:
    """The answer to what can be refused by its headers alone."""
    headers = Headers(scope=scope)
    if tls_only and scope["scheme"] != "https":
        return problem(
            Request(scope),
            status=421,  # http is another origin, RFC 9110, 15.5.20
            code="needs_tls",
            detail="This is open over TLS only: begin the address with https. If it did, the "
            "proxy before it has to say so in X-Forwarded-Proto, and its address has to be named "
            "with --behind-proxy.",
        )
    if not all(map(hosts.include, headers.getlist("host") or [""])):
        return problem(
            Request(scope),
            status=421,
            code="unknown_host",
            detail="This is not the address that the program said it is open at. Use that one; "
            "another name for this computer has to be given with --host or BRIEF_HOSTS first.",
        )
    if scope["method"] not in SAFE_METHODS and _is_foreign(scope["scheme"], headers):
        return problem(
            Request(scope),
            status=403,
            code="foreign_page",
            detail="A page of another site cannot write here. Nothing was changed.",
        )
    if int(headers.get("content-length") or 0) > _most(scope):
        return problem(
            Request(scope), status=TooLarge.status, code=TooLarge.code, detail=_too_much(scope)
        )
    return None


def _is_guest(scope: Scope) -> bool:
    path: str = scope["path"]
    return path.startswith("/s/")


def _most(scope: Scope) -> int:
    return GUEST_BODY_BYTES if _is_guest(scope) else MAX_BODY_BYTES


def _too_much(scope: Scope) -> str:
    if _is_guest(scope):
        return (
            f"A comment is at most {GUEST_BODY_BYTES // 2**10} kB; say it in several. "
            "Nothing was saved."
        )
    return (
        f"That is more than {MAX_BODY_BYTES // 2**20} MB at once; send fewer or smaller files. "
        "Nothing was saved."
    )


def _is_foreign(scheme: str, headers: Headers) -> bool:
    origin = headers.get("origin")
    if origin is not None:
        return origin.lower() != f"{scheme}://{headers['host']}".lower()  # RFC 6454, 6.2
    return headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none")
