"""Watching it run, where that is asked for: a line for each request, and numbers for a program that
gathers them.

Neither has anything private: of an address its template alone (/s/{token}, /api/parts/{record_id}),
no query, no name, no address of anybody.
"""

from __future__ import annotations

import hmac
import json
import logging
import os
import sys
import time
from datetime import UTC, datetime
from typing import Any, Literal

from fastapi import Request
from fastapi.responses import Response
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from ulid import ULID

from brief.api.desks import visit_of
from brief.api.metrics import Metrics
from brief.api.routing import Router
from brief.errors import NotFound
from brief.services.sharing.owner import OWNER
from brief.services.studio.studio import Studio
from brief.settings import Settings

router = Router(include_in_schema=False)
METRICS = "/api/metrics"
NO_ROUTE = "(none)"
REQUEST = "request_name"
LogAs = Literal["", "json"]

log = logging.getLogger("brief.requests")


class Watch:
    """Write down what was answered, and count it. A HEAD counts as the GET that it is answered as.

    logged : whether lines are written. metrics : what counts; None where nothing does.
    """

    def __init__(self, app: ASGIApp, *, logged: bool, metrics: Metrics | None) -> None:
        self.app, self._logged, self._metrics = app, logged, metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, as ASGI asks."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status, name = time.perf_counter(), 500, str(ULID())
        scope.setdefault("state", {})[REQUEST] = name  # for what goes wrong further out

        async def told(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message)["X-Request-ID"] = name
            await send(message)

        try:
            await self.app(scope, receive, told)
        finally:
            seconds, route = time.perf_counter() - began, route_of(scope)
            if self._metrics:
                self._metrics.count(scope["method"], route, status, seconds)
            if self._logged:
                said = {"method": scope["method"], "route": route, "status": status}
                about = {**said, "ms": round(1000 * seconds, 1), "request": name}
                log.info("answered", extra={"about": about})


def route_of(scope: Scope) -> str:
    """The template of the address, so that what it names is told to nobody."""
    if scope["path"].startswith("/static/"):
        return "/static"
    route = scope.get("route")
    return str(getattr(route, "path", "") or NO_ROUTE)


def may_gather(request: Request) -> bool:
    """Whether it asks for the numbers with the token for them, which opens nothing else."""
    settings: Settings = request.app.state.settings
    token = settings.metrics_token
    kind, _, given = request.headers.get("authorization", "").partition(" ")
    return (
        request.url.path == METRICS
        and token is not None
        and kind.lower() == "bearer"
        and hmac.compare_digest(given.strip().encode(), token.get_secret_value().encode())
    )


@router.get(METRICS)
def metrics(request: Request) -> Response:
    """The numbers, as OpenMetrics 1.0 has them."""
    kept: Metrics | None = request.app.state.metrics
    visit = visit_of(request)
    if visit is not None and visit.maker != OWNER:
        raise NotFound("That is for the owner of the server alone.")
    if kept is None:
        raise NotFound("Nothing is counted here. To have it counted: brief serve --metrics")
    studio: Studio = request.app.state.studio
    open_jobs = [one.state for one in studio.jobs.open()]
    text, media_type = kept.text({"waiting": open_jobs.count("waiting"),
                                  "working": open_jobs.count("working")})  # fmt: skip
    return Response(text, media_type=media_type)


class _JsonLines(logging.Formatter):
    """One JSON object a line: RFC 8259; times as RFC 3339 has them."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "process": os.getpid(),
            "said": record.getMessage(),
            **getattr(record, "about", {}),
        }
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False)


def log_as_json() -> None:
    """Have this process write all that it logs as such lines, on standard error."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(_JsonLines())
    logging.basicConfig(handlers=[handler], level=logging.WARNING, force=True)
    log.setLevel(logging.INFO)
