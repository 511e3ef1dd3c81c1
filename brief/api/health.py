"""Whether the program is alive, and whether it can serve: for a proxy or a service manager.

Open to all, so that they say nothing of what is kept; why it cannot serve is in the log alone.
"""

from __future__ import annotations

import logging
from typing import Literal

from fastapi import Request
from pydantic import BaseModel

from brief.api.problems import responses
from brief.api.routing import Router
from brief.errors import NotReady, StoreError
from brief.store.desk import Store

log = logging.getLogger(__name__)
router = Router(prefix="/api", tags=["health"])
ALIVE, READY = "/api/health", "/api/ready"


class Health(BaseModel):
    """An answer that says that all is well; there is another only where it is not."""

    status: Literal["alive", "ready"]


@router.get("/health", summary="Whether the program is alive")
async def health() -> Health:
    """Answers as long as the program does; the database is not asked."""
    return Health(status="alive")


@router.get("/ready", summary="Whether it can serve", responses=responses(503))
def ready(request: Request) -> Health:
    """Whether the database and the folder of pictures answer now."""
    store: Store = request.app.state.store
    try:
        store.ask()
    except StoreError as exc:
        log.error("Not ready: %s", exc)
        raise NotReady("The program runs, but what it keeps cannot be read now.") from exc
    return Health(status="ready")
