"""How answers are sent: to HEAD without their body, and texts packed."""

from __future__ import annotations

from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send

PACKED_AT = 6  # of 9: the last levels take twice as long, and save 4 % of a page full of pictures


class Heads:
    """Answer HEAD as GET, with no body: RFC 9110, 9.3.2."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, as ASGI asks."""
        if scope["type"] != "http" or scope["method"] != "HEAD":
            await self.app(scope, receive, send)
            return

        async def without_body(message: Message) -> None:
            if message["type"] == "http.response.body":
                message = {**message, "body": b""}
            await send(message)

        await self.app({**scope, "method": "GET"}, receive, without_body)


class Gzipped(GZipMiddleware):
    """Pack pages, data, styles and scripts; pictures and zips are packed by their own format, and
    so is most of a GLB."""

    def __init__(self, app: ASGIApp) -> None:
        super().__init__(app, compresslevel=PACKED_AT)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, as ASGI asks."""
        if scope["type"] == "http" and (
            scope["path"].startswith("/images/") or scope["path"].endswith((".zip", ".glb"))
        ):
            await self.app(scope, receive, send)
        else:
            await super().__call__(scope, receive, send)
