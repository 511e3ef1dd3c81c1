"""A client of an app, as Starlette's, that goes to the app's thread once for a request.

Starlette's goes there seven times, so that an answer can be read while it is written; more than
half of a short request in a test was that. What is about reading one piece by piece, or about a
client that goes away meanwhile, needs Starlette's own.
"""

from __future__ import annotations

from typing import Any

from httpx2 import ASGITransport, AsyncByteStream, BaseTransport, ByteStream, Request, Response
from starlette import testclient


class TestClient(testclient.TestClient):
    __test__ = False  # no test of its own

    def __init__(self, *app: Any, **more: Any) -> None:
        super().__init__(*app, **more)
        self._transport = _AtOnce(self._transport)


class _AtOnce(BaseTransport):
    """Asks, and has the whole answer at once."""

    def __init__(self, piecemeal: Any) -> None:
        self._piecemeal = piecemeal
        self._asgi = ASGITransport(
            piecemeal.app, piecemeal.raise_server_exceptions, client=piecemeal.client
        )

    def handle_request(self, request: Request) -> Response:
        if not isinstance(request.stream, AsyncByteStream):  # a body made while it is sent
            return self._piecemeal.handle_request(request)
        with self._piecemeal.portal_factory() as portal:
            return portal.call(self._asked, request)

    async def _asked(self, request: Request) -> Response:
        answer = await self._asgi.handle_async_request(request)
        body = b"".join([part async for part in answer.stream])  # type: ignore[union-attr]
        return Response(answer.status_code, headers=answer.headers.raw, stream=ByteStream(body))

    def close(self) -> None:
        self._piecemeal.close()
