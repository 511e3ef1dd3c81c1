"""Routers that are soon past what is not theirs."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.routing import Match
from starlette.types import Scope


class Router(APIRouter):
    """One that compares a path with its routes only where it has the words that all of them have:
    with some 300 routes, comparing takes longer than many an answer."""

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """As FastAPI's."""
        if self.prefix.partition("{")[0] not in scope["path"]:
            return Match.NONE, {}
        return super().matches(scope)
