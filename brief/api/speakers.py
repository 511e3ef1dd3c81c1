"""Who says something by a link, so that what one guest says can be told from what many say.

Guests at a show share one address, so each browser is told by a random cookie. It names nobody,
opens nothing and ends with the browser. Whoever makes cookies up is held by the sums of `RATES`.
"""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from starlette.responses import Response

from brief.api.limits import Client

COOKIE = "brief_guest"
BROWSER_BYTES = 16
_BROWSER = re.compile(r"[A-Za-z0-9_-]{22}")  # so many bytes, as Base64 for addresses


@dataclass(frozen=True)
class _Speaker:
    """browser : what its cookie calls it; all at one address without one count together."""

    address: str
    browser: str

    def counted(self, share_id: str) -> dict[str, str]:
        """What is counted of a thing said by that link: a client of each kind of rate."""
        return {
            "comment": f"{self.browser} {share_id}",
            "link at address": f"{self.address} {share_id}",
            "address": self.address,
            "link": share_id,
        }


def _speaker(request: Request, client: Client) -> _Speaker:
    return _Speaker(client, _browser_of(request) or client)


Speaker = Annotated[_Speaker, Depends(_speaker)]


def tell_apart(request: Request, page: Response) -> None:
    """Give a browser its cookie with the page, unless it has one."""
    if _browser_of(request) is None:
        page.set_cookie(
            COOKIE,
            secrets.token_urlsafe(BROWSER_BYTES),
            path="/s/",
            secure=request.url.scheme == "https",
            httponly=True,
            samesite="lax",
        )


def _browser_of(request: Request) -> str | None:
    told = request.cookies.get(COOKIE, "")
    return told if _BROWSER.fullmatch(told) else None
