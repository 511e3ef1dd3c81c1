"""What every answer tells the browser that it may do."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from brief.api.app import create_app
from brief.settings import Settings
from tests.asking import TestClient


@pytest.fixture(scope="module")
def behind_tls(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    home = tmp_path_factory.mktemp("behind")
    settings = Settings(home=home, hosts="briefs.example", tls_only=True)
    with TestClient(create_app(settings), base_url="https://briefs.example") as client:
        yield client


AT = ["/", "/api/briefs", "/nothing", "/static/js/app.js", "/api/openapi.json", "/method"]


@pytest.mark.parametrize("at", AT)
def test_every_answer_shuts_what_is_not_needed(client, at) -> None:
    """The OWASP Secure Headers Project's list, without what is spent (X-XSS-Protection) or stands
    in the Content-Security-Policy (X-Frame-Options)."""
    told = client.get(at).headers
    assert told["x-content-type-options"] == "nosniff"
    assert told["referrer-policy"] == "same-origin"
    assert told["cross-origin-opener-policy"] == "same-origin"
    assert told["cross-origin-resource-policy"] == "same-origin"
    policy = dict(one.strip().split("=") for one in told["permissions-policy"].split(","))
    assert {"camera", "microphone", "geolocation"} <= set(policy)
    assert set(policy.values()) == {"()"}
    rules = dict(rule.split(None, 1) for rule in told["content-security-policy"].split("; "))
    assert rules["default-src"] == "'self'"  # and script-src and style-src with it
    assert not {"script-src", "style-src"} & set(rules)
    assert rules["object-src"] == rules["base-uri"] == rules["frame-ancestors"] == "'none'"
    assert "unsafe" not in told["content-security-policy"]
    assert "strict-transport-security" not in told


def test_nothing_of_the_owners_is_kept_where_others_may_find_it(client, one_of) -> None:
    """RFC 9111, 5.2.2.5 and 5.2.2.7: no-store, and private where a browser may keep it."""
    reference = one_of("references")
    brief = f"/briefs/{reference['brief_id']}"
    at = ["/", f"{brief}/theme", "/api/briefs", f"/api/references/{reference['id']}", "/nothing"]
    for page in at:
        assert client.get(page).headers["cache-control"] == "no-store", page
    for size in ("thumb", "original"):
        kept = client.get(reference["picture"][size]).headers["cache-control"].split(", ")
        assert "private" in kept
        assert "public" not in kept


def test_behind_tls_a_browser_comes_back_only_by_tls(behind_tls) -> None:
    """RFC 6797, 6.1: max-age; 7.2: never in an answer that did not come over TLS."""
    told = behind_tls.get("/api/briefs").headers["strict-transport-security"]
    assert int(told.removeprefix("max-age=")) > 180 * 86400
    plain = behind_tls.get("http://briefs.example/api/briefs")
    assert "strict-transport-security" not in plain.headers


def test_behind_tls_what_came_without_is_refused(behind_tls, refused) -> None:
    """421: RFC 9110, 15.5.20; http is another origin than https, 4.3.2."""
    answer = behind_tls.get("http://briefs.example/api/briefs")
    refused(answer, 421, "needs_tls", "begin the address with https.*X-Forwarded-Proto")
    page = behind_tls.get("http://briefs.example/", headers={"Accept": "text/html"})
    assert (page.status_code, "over TLS only" in page.text) == (421, True)
    assert behind_tls.get("/api/briefs").status_code == 200
    own = {"Origin": "https://briefs.example"}
    made = behind_tls.post("/api/briefs", json={"title": "Marsh"}, headers=own)
    assert made.status_code == 201
