"""A new link is told with the address that others can open. Addresses kept free for examples: RFC
5737 (192.0.2.0/24), RFC 2606 (.example)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from brief.api.app import create_app
from brief.services import nouns
from brief.services.theme.briefs import BriefDraft
from brief.settings import Settings
from tests.asking import TestClient


@pytest.fixture
def link(tmp_path: Path) -> Iterator[Callable[[str, tuple[str, ...]], str]]:
    """The link that is told to a maker who came by `origin` to a server found at `addresses`."""
    open_apps = []

    def told(origin: str, addresses: tuple[str, ...]) -> str:
        hosts = "0.0.0.0,bench.example"
        settings = Settings(home=tmp_path / "home", hosts=hosts, addresses=addresses)
        client = TestClient(create_app(settings), base_url=origin).__enter__()
        open_apps.append(client)
        with client.app.state.store.desk(writing=True) as desk:
            brief_id = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh")).id
        asked = {"brief_id": brief_id, "name": "the bird counter"}
        answer = client.post("/api/shares", json=asked)
        assert answer.status_code == 201
        share = answer.json()
        read = client.get(answer.headers["location"])
        assert read.json()["link"] is None  # told once
        assert answer.headers["etag"] == read.headers["etag"]
        assert client.get(share["address"]).status_code == 200
        assert share["link"].endswith(share["address"])
        return share["link"].removesuffix(share["address"])

    yield told
    for client in open_apps:
        client.__exit__(None, None, None)


LAN = ("http://192.0.2.7:8765/", "http://192.0.2.8:8765/")


@pytest.mark.parametrize(
    ("origin", "addresses", "told"),
    [
        # The program opens its own browser on loopback, where nobody else is.
        ("http://127.0.0.1:8765", LAN, "http://192.0.2.7:8765"),
        ("http://localhost:8765", LAN, "http://192.0.2.7:8765"),
        ("http://[::1]:8765", LAN, "http://192.0.2.7:8765"),
        ("http://127.0.0.1:8765", ("https://briefs.example/",), "https://briefs.example"),
        # By any other name the maker has come as others can.
        ("http://192.0.2.8:8765", LAN, "http://192.0.2.8:8765"),
        ("http://bench.example:8765", LAN, "http://bench.example:8765"),
        # Where nobody else is answered there is no better one; the page says so.
        ("http://127.0.0.1:8765", (), "http://127.0.0.1:8765"),
    ],
)
def test_a_link_carries_the_address_that_others_can_open(link, origin, addresses, told) -> None:
    assert link(origin, addresses) == told
