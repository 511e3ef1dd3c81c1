"""How answers are sent, whatever is in them."""

from __future__ import annotations

import gzip

import pytest
from httpx2 import Response

from tests.asking import TestClient

KEPT = (
    "content-type",
    "content-length",
    "content-encoding",
    "vary",
    "etag",
    "cache-control",
    "content-security-policy",
)


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
    assert places
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


def _as_sent(client: TestClient, at: str, accepted: str) -> tuple[Response, bytes]:
    """The answer, and its bytes before anything is unpacked."""
    with client.stream("GET", at, headers={"Accept-Encoding": accepted}) as answer:
        return answer, b"".join(answer.iter_raw())


def test_texts_are_packed_for_who_can_unpack_them(client, places) -> None:
    """Content-Encoding: RFC 9110, 8.4.1.3 and 12.5.5; unpacked by Python's own gzip (RFC 1952)."""
    assert places
    for at in places:
        if at.startswith("/images/"):
            continue
        plain, whole = _as_sent(client, at, "identity")
        assert "content-encoding" not in plain.headers, at
        packed, data = _as_sent(client, at, "gzip, br")
        if len(whole) < 500:
            assert data == whole
            continue
        assert packed.headers["content-encoding"] == "gzip", at
        assert packed.headers["content-length"] == str(len(data)), at
        assert packed.headers["vary"] == plain.headers["vary"] == "Accept-Encoding", at
        assert gzip.decompress(data) == whole, at
        assert len(data) < 0.6 * len(whole), at


def test_pictures_are_sent_as_they_are(client, places) -> None:
    assert places
    for at in places:
        if at.startswith("/images/"):
            answer, data = _as_sent(client, at, "gzip")
            assert "content-encoding" not in answer.headers
            assert answer.headers["content-length"] == str(len(data))


def test_an_original_that_would_pack_well_is_sent_as_it_was_given(client, send, picture) -> None:
    data = picture(kind="TIFF", size=(300, 200))
    at = send(("wall.tif", data)).json()[0]["picture"]["original"]
    answer, sent = _as_sent(client, at, "gzip")
    assert answer.headers["content-type"] == "image/tiff"
    assert sent == data
