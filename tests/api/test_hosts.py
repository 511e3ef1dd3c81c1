"""Whom a request is meant for: a site that points its own name at this computer gets nothing.

DNS rebinding: Jackson et al. (2007), "Protecting browsers from DNS rebinding attacks",
doi:10.1145/1315245.1315298, section 5.1, checking the Host header; from memory.
"""

from __future__ import annotations

import pytest

from brief.api.app import create_app
from brief.api.hosts import Hosts
from brief.settings import Settings
from tests.asking import TestClient

LOOPBACK = ["localhost", "LOCALHOST:8765", "localhost.", "127.0.0.1", "127.0.0.1:8765"]
LOOPBACK += ["127.8.9.10", "[::1]", "[::1]:8765", "[0:0:0:0:0:0:0:1]:8765"]
FOREIGN = ["elsewhere.example", "elsewhere.example:8765", "localhost.elsewhere.example", ""]
FOREIGN += ["127.0.0.1.elsewhere.example", "localhost@elsewhere.example", "elsewhere.example/"]
FOREIGN += ["[localhost]", "::1", "[::1", "localhost:8765:8765", "localhost\0", "0x7f.1"]
# Kept free for examples: RFC 5737 and RFC 3849.
ADDRESSES = ["192.0.2.7", "192.0.2.7:8765", "[2001:db8::7]:8765"]


@pytest.mark.parametrize("host", LOOPBACK)
def test_loopback_is_always_one_of_them(host: str) -> None:
    assert Hosts().include(host)
    assert Hosts("bench.example").include(host)


@pytest.mark.parametrize("host", [*FOREIGN, *ADDRESSES])
def test_nothing_else_is_unless_it_was_named(host: str) -> None:
    assert not Hosts().include(host)


@pytest.mark.parametrize("host", FOREIGN)
def test_listening_everywhere_lets_no_name_in(host: str) -> None:
    assert not Hosts("0.0.0.0").include(host)


@pytest.mark.parametrize("everywhere", ["0.0.0.0", "::", "bench.example, ::"])
@pytest.mark.parametrize("host", ADDRESSES)
def test_listening_everywhere_lets_every_address_in(everywhere: str, host: str) -> None:
    assert Hosts(everywhere).include(host)


def test_what_was_named_is_one_of_them() -> None:
    hosts = Hosts("Bench.example, 192.0.2.7,2001:db8:0::7")
    for host in ("bench.example", "BENCH.example.:80", *ADDRESSES):
        assert hosts.include(host)
    for host in ("192.0.2.8", "[2001:db8::8]", "other.example", "sub.bench.example"):
        assert not hosts.include(host)


READS = ["/", "/offcuts", "/api/briefs", "/api/docs", "/api/openapi.json", "/static/css/docs.css"]


@pytest.mark.parametrize("at", READS)
def test_a_foreign_name_reads_nothing(client, brief, refused, at: str) -> None:
    answer = client.get(at, headers={"Host": "elsewhere.example:8765"})
    refused(answer, 421, "unknown_host", "not the address that the program said")
    assert brief["title"] not in answer.text
    page = client.get(at, headers={"Host": "elsewhere.example", "Accept": "text/html"})
    assert page.status_code == 421
    assert brief["title"] not in page.text


def test_a_foreign_name_writes_nothing(client, on_disk, refused) -> None:
    before = on_disk()
    headers = {"Host": "elsewhere.example", "Origin": "http://elsewhere.example"}
    answer = client.post("/api/briefs", json={"title": "Marsh"}, headers=headers)
    refused(answer, 421, "unknown_host")
    assert on_disk() == before


def test_the_app_answers_to_the_hosts_of_its_settings(home) -> None:
    settings = Settings(home=home, hosts="bench.example,192.0.2.7")
    with TestClient(create_app(settings)) as client:
        for host in ("bench.example", "192.0.2.7:8765", "localhost"):
            assert client.get("/api/briefs", headers={"Host": host}).status_code == 200
        assert client.get("/api/briefs").status_code == 421  # "testserver" was not named
