"""That a path which a router passes by could not have been one of its own."""

from __future__ import annotations

import re

import pytest

from brief.api.routing import Router
from tests.asking import TestClient


def test_whatever_a_route_takes_has_the_words_that_its_router_looks_for(served: TestClient) -> None:
    routes = served.app.router.routes  # type: ignore[attr-defined]
    routers = [one.original_router for one in routes if hasattr(one, "original_router")]
    if not routers:
        pytest.skip("this FastAPI copies routes, and asks no router")
    checked = 0
    for router in routers:
        assert isinstance(router, Router)
        words = router.prefix.partition("{")[0]
        for route in router.routes:
            assert words in re.sub("{[^}]*}", "", route.path)  # type: ignore[attr-defined]
            checked += 1
    assert checked > 200
