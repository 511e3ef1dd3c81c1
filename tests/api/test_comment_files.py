"""Comments as a file, through HTTP."""

from __future__ import annotations

import json

import pytest

from brief.services.feedback.annotations import iri_of

MAILED = {
    "id": "urn:uuid:6f6f9c3e-5d0f-4f77-8f7e-7d3f6f0f1a02",
    "type": "Annotation",
    "motivation": "commenting",
    "creator": {"type": "Person", "name": "a <b>boatbuilder</b>"},
    "created": "2026-01-02T08:00:00Z",
    "body": {"type": "TextualBody", "value": "<script>alert(1)</script>"},
}


@pytest.fixture
def at(brief):
    return f"/api/briefs/{brief['id']}/comment-file"


@pytest.fixture
def drop(client, at):
    def dropped(content, name="mailed.jsonld"):
        data = content if isinstance(content, bytes) else json.dumps(content).encode()
        return client.post(at, files={"file": (name, data, "application/ld+json")})

    return dropped


@pytest.fixture
def mailed(client, at, brief):
    return client.get(at).json() | {"items": [MAILED | {"target": iri_of(brief["id"])}]}


def test_comments_go_out_and_come_in(client, at, make, brief, mailed, drop):
    about = {"brief_id": brief["id"], "about_kind": "brief", "about_id": brief["id"]}
    make("comments", **about, text="too dark")
    out = client.get(at)
    assert out.headers["content-type"] == (
        'application/ld+json; profile="http://www.w3.org/ns/anno.jsonld"'
    )
    assert out.headers["content-disposition"] == 'attachment; filename="comments.jsonld"'
    answer = drop(mailed)
    assert answer.status_code == 201
    assert answer.json()["said"] == "1 comment added."
    again = drop(mailed).json()
    assert (again["comments"], again["known"]) == ([], 1)
    assert len(client.get(at).json()["items"]) == 2


def test_what_came_in_is_shown_as_text(client, brief, mailed, drop):
    drop(mailed)
    page = client.get(f"/briefs/{brief['id']}/comments").text
    assert "<script>alert" not in page
    assert "a &lt;b&gt;boatbuilder&lt;/b&gt;</bdi></b>, 2 January 2026 · from a file" in page


def test_a_file_that_cannot_be_used_changes_nothing(drop, mailed, make, on_disk, refused):
    other = make("briefs", title="Dune")
    altered = [mailed["items"][0], mailed["items"][0] | {"id": "urn:uuid:2", "more": 1}]
    ring = [{"id": f"urn:x:{at}", "target": f"urn:x:{1 - at}"} for at in range(2)]
    ring = [MAILED | one | {"motivation": "replying"} for one in ring]
    before = on_disk()
    for content, said in (
        (mailed | {"items": [*mailed["items"], *ring]}, "answer each other in a ring"),
        (b"dear maker", "it is not JSON"),
        (b"<!doctype html>" + b" " * 2**20, "ends in .jsonld"),  # the one that was sent out
        (b"{}", "no JSON-LD"),
        (mailed | {"items": altered}, "comment 2 of the file: “more” is not something"),
        (mailed | {"partOf": {"id": iri_of(other["id"])}}, "is about another brief"),
    ):
        refused(drop(content), 422, "bad_input", said, pointer="/file")
    for content in (b" " * (2**20 + 1), mailed | {"items": mailed["items"] * 1001}):
        refused(drop(content), 413, "too_large", "Nothing was taken in", pointer="/file")
    assert on_disk() == before


def test_a_file_for_a_brief_that_is_not_there(client, at, refused):
    gone = at.replace(at.split("/")[3], "01JD8Q5Z7M3K2V9X4T6R8W0Y1A")
    refused(client.get(gone), 404, "not_found")
    refused(client.post(gone, files={"file": ("a.jsonld", b"{}")}), 404, "not_found")


def test_words_quoted_are_marked_where_they_stand(client, make, brief):
    own = {"brief_id": brief["id"]}
    passage = make("references", **own, title="Ebb", passage="The tide is out.")
    about = {"about_kind": "reference", "about_id": passage["id"]}
    comment = make("comments", **own, **about, quote="tide", text="Which?")
    said = f"comments?at={comment['id']}#comment-{comment['id']}"
    mark = f'The <mark><a href="/briefs/{brief["id"]}/{said}">tide</a>'
    at = f"/briefs/{brief['id']}/references/{passage['id']}"
    assert mark in client.get(at).text
    assert "<q>tide</q>" in client.get(f"/briefs/{brief['id']}/comments").text
