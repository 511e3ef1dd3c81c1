"""How answers are sent, whatever is in them."""

from __future__ import annotations

import pytest

KEPT = ("content-type", "content-length", "etag", "cache-control", "content-security-policy")


@pytest.fixture
def places(one_of, make) -> list[str]:
    """Pages, records, lists, pictures, files, and what is not there."""
    reference = one_of("references")
    at = f"/briefs/{reference['brief_id']}"
    here = ["/", "/offcuts", f"{at}/theme", f"{at}/references", "/api/docs", "/api/openapi.json"]
    here += ["/api/references?limit=1", f"/api/references/{reference['id']}", "/api/offcuts"]
    here += [reference["picture"][size] for size in ("thumb", "original")]
    return [*here, "/static/css/docs.css", "/nothing", "/api/motifs/nowhere"]


def test_head_is_answered_as_get_is_without_a_body(client, places) -> None:
    """RFC 9110, 9.3.2."""
    for at in places:
        got, head = client.get(at), client.head(at)
        assert head.status_code == got.status_code, at
        assert head.content == b"", at
        for name in KEPT:
            assert head.headers.get(name) == got.headers.get(name), (at, name)


def test_head_of_what_cannot_be_read_is_refused(client) -> None:
    answer = client.head("/api/motifs/x/take-back")
    assert answer.status_code == 405
    assert answer.headers["allow"] == "POST"
