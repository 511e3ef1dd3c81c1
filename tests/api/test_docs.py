"""The API's own description: the OpenAPI document, and the page made from it."""

from __future__ import annotations

import re
import shlex
from collections import Counter
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser
from typing import Any

import pytest

from brief import errors
from brief.api.docs import problem_kinds
from brief.services import nouns

Json = dict[str, Any]
METHODS = {"get", "put", "post", "delete", "patch"}
BY_THE_STUDIO = "/api/briefs/{brief_id}/studio"  # which takes minutes, and then keeps it


@pytest.fixture
def document(client) -> Json:
    answer = client.get("/api/openapi.json")
    assert answer.status_code == 200
    return answer.json()


def _walk(node: object) -> Iterator[Json]:
    if isinstance(node, dict):
        yield node
        for value in node.values():
            yield from _walk(value)
    elif isinstance(node, list):
        for value in node:
            yield from _walk(value)


def _operations(document: Json) -> Iterator[tuple[str, str, Json]]:
    for path, item in document["paths"].items():
        for method, operation in item.items():
            yield method, path, operation


# The document: OpenAPI Specification 3.1.0


def test_the_document_is_openapi_3_1(document) -> None:
    """Required by 4.8.1, 4.8.2, 4.8.10, 4.8.12, 4.8.16 and 4.8.17 of the specification."""
    assert re.fullmatch(r"3\.1\.\d+", document["openapi"])
    assert document["info"]["title"]
    assert document["info"]["version"]
    for method, path, operation in _operations(document):
        assert path.startswith("/")
        assert method in METHODS
        named = set(re.findall(r"{(\w+)}", path))
        parameters = operation.get("parameters", [])
        assert named == {one["name"] for one in parameters if one["in"] == "path"}
        assert all(one["required"] for one in parameters if one["in"] == "path")
        assert len({(one["in"], one["name"]) for one in parameters}) == len(parameters)
        assert operation["responses"]
        for status, response in operation["responses"].items():
            assert re.fullmatch(r"[1-5]\d\d", status)
            assert response["description"]


def test_what_is_read_is_described_as_answered_with_200(document) -> None:
    """RFC 9110, 15.3.1; and with 304 where the caller has it already, 15.4.5."""
    read = [(path, one) for method, path, one in _operations(document) if method == "get"]
    assert len(read) > 40
    for path, operation in read:
        told = {status for status in operation["responses"] if status < "400"}
        assert "200" in told, path
        assert told <= {"200", "304"}, path
    picture = document["paths"]["/api/briefs/{brief_id}/picture.{form}"]["get"]["responses"]["200"]
    assert {"image/svg+xml", "image/png", "application/pdf"} <= set(picture["content"])


def test_every_operation_has_its_own_id(document) -> None:
    ids = Counter(operation["operationId"] for _, _, operation in _operations(document))
    assert set(ids.values()) == {1}


def test_every_reference_leads_to_a_schema_and_every_schema_is_used(document) -> None:
    wanted = {node["$ref"] for node in _walk(document) if isinstance(node.get("$ref"), str)}
    there = {f"#/components/schemas/{name}" for name in document["components"]["schemas"]}
    assert wanted == there


def test_every_noun_can_be_listed_made_read_changed_removed_and_taken_back(document) -> None:
    found = {(method, path) for method, path, _ in _operations(document)}
    for noun in nouns.NOUNS:
        at = f"/api/{noun.many}"
        one = f"{at}/{{record_id}}"
        sent = at if noun.made_by_json else f"{at}/pictures"
        assert {
            ("get", at),
            # What only a file can make is made by sending files.
            ("post", BY_THE_STUDIO if noun is nouns.studio_pictures else sent),
            ("get", one),
            ("patch", one),
            ("delete", one),
            ("get", f"{one}/along"),
            ("post", f"{one}/take-back"),
        } <= found
        assert (("post", at) in found) == noun.made_by_json


def test_every_error_is_a_problem(document) -> None:
    """RFC 9457; FastAPI would describe its own 422 instead."""
    for _, path, operation in _operations(document):
        for status, response in operation["responses"].items():
            if status >= "400":
                assert response["content"] == {
                    "application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}
                }, path
    problem = document["components"]["schemas"]["Problem"]
    assert {"type", "title", "status", "detail", "instance"} <= set(problem["properties"])


def test_each_operation_says_what_can_go_wrong(document) -> None:
    found = list(_operations(document))
    assert found
    for method, path, operation in found:
        said = set(operation["responses"])
        if method != "get":
            assert {"403", "507"} <= said, path
        if "{" in path:
            assert "404" in said, path
        if "requestBody" in operation:
            assert {"400", "413", "422"} <= said, path
        if any(one["name"] == "if-match" for one in operation.get("parameters", ())):
            assert {"412", "428"} <= said, path


def test_limits_are_written_in_the_words_of_json_schema(document) -> None:
    """JSON Schema Validation 2020-12, sections 6.1 to 6.5 and 9."""
    known = {"type", "enum", "const", "maximum", "exclusiveMaximum", "minimum", "exclusiveMinimum"}
    known |= {"maxLength", "minLength", "pattern", "maxItems", "minItems", "required", "format"}
    known |= {"title", "description", "default", "examples", "$ref", "anyOf", "items", "properties"}
    known |= {"prefixItems", "additionalProperties", "contentMediaType"}
    schemas = document["components"]["schemas"]
    fields = [field for one in schemas.values() for field in one.get("properties", {}).values()]
    for node in (*schemas.values(), *fields, *(b for f in fields for b in f.get("anyOf", ()))):
        assert set(node) <= known, node
    limits = schemas["MaterialDraft"]["properties"]["length_mm"]["anyOf"][0]
    assert (limits["minimum"], limits["maximum"]) == (0.0001, 10_000)


def test_every_body_that_is_sent_has_an_example_and_each_fits_its_limits(document) -> None:
    schemas = document["components"]["schemas"]
    for noun in nouns.NOUNS:
        sent = schemas[(noun.draft if noun.made_by_json else noun.change_model).__name__]
        shown = [field for node in _walk(sent["properties"]) for field in [node.get("examples")]]
        assert any(shown), noun.one
    for node in _walk(schemas):
        for example in node.get("examples", ()) if isinstance(node.get("examples"), list) else ():
            if isinstance(example, str):
                assert len(example) <= node.get("maxLength", len(example))
                assert node.get("type", "string") == "string" or "anyOf" in node


def test_private_promises_what_it_keeps(client, make, brief, document) -> None:
    schemas = document["components"]["schemas"]
    for name in ("PassageDraft", "PicturesForm", "ReferenceChange"):
        said = next(
            node["description"]
            for node in _walk(schemas[name]["properties"]["private"])
            if "description" in node
        )
        assert said == "Kept from whoever the brief is shared with"  # tests/api/test_guests.py
    made = make("references", brief_id=brief["id"], title="Verse", passage="x", private=True)
    assert made in client.get("/api/references").json()["items"]


# The page


class _Anchors(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: Counter[str] = Counter()
        self.links: set[str] = set()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        found = dict(attributes)
        self.tags.append((tag, found))
        if found.get("id"):
            self.ids[str(found["id"])] += 1
        if tag == "a":
            self.links.add(str(found["href"]))


@pytest.fixture
def page(client) -> str:
    answer = client.get("/api/docs")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/html")
    return answer.text


def test_the_page_shows_every_operation_and_every_schema(page, document) -> None:
    anchors = _Anchors(page)
    wanted = {operation["operationId"] for _, _, operation in _operations(document)}
    wanted |= {f"schema-{name}" for name in document["components"]["schemas"]}
    assert wanted <= set(anchors.ids)
    for _, path, operation in _operations(document):
        assert f"<code>{path}</code>" in page
        assert operation["summary"] in unescape(page)
    for name in ("title", "wanted_by", "limit", "after", "if-match", "thickness_mm"):
        assert f"<code>{name}</code>" in page


def test_its_links_lead_somewhere(client, page) -> None:
    anchors = _Anchors(page)
    assert set(anchors.ids.values()) == {1}
    within = {link[1:] for link in anchors.links if link.startswith("#")}
    assert within <= set(anchors.ids)
    for link in anchors.links:
        if link.startswith("/"):
            assert client.get(link).status_code == 200


def test_it_has_no_style_or_script_of_its_own(page) -> None:
    found = list(_Anchors(page).tags)
    assert found
    for tag, attributes in found:
        assert tag != "style"
        assert "style" not in attributes
        assert not [name for name in attributes if name.startswith("on")]
        if tag == "script":
            assert str(attributes["src"]).startswith("/static/")


def test_it_describes_every_problem_that_is_answered(page) -> None:
    anchors = _Anchors(page)
    kinds = {kind.code: kind for kind in problem_kinds()}
    assert len(kinds) == len(problem_kinds())
    waiting = errors.BriefError.__subclasses__()
    while waiting:
        error = waiting.pop()
        waiting += error.__subclasses__()
        assert kinds[error.code].status == error.status
    for code in [*kinds, "foreign_page", "method_not_allowed", "bad_request", "unexpected"]:
        assert anchors.ids[f"problem-{code}"] == 1
        assert kinds[code].says.endswith(".")


def test_its_examples_are_calls_that_the_api_knows(page, document) -> None:
    examples = re.findall(r"<pre[^>]*><code>(.*?)</code></pre>", page, re.DOTALL)
    calls = [
        shlex.split(call)
        for text in examples
        for call in unescape(text).replace("\\\n", " ").splitlines()
    ]
    assert len(calls) >= 6
    for call in calls:
        known = [
            operation
            for method, path, operation in _operations(document)
            if (method, path) == (_method(call), _template(_path(call)))
        ]
        assert len(known) == 1, call
        needs_match = any(one["name"] == "if-match" for one in known[0].get("parameters", ()))
        assert needs_match == any(part.startswith("If-Match: ") for part in call), call


def _method(call: list[str]) -> str:
    if "-X" in call:
        return call[call.index("-X") + 1].lower()
    return "post" if {"--json", "-F"} & set(call) else "get"


def _template(path: str) -> str:
    return re.sub(r"/\w{26}", "/{record_id}", path)


def _path(call: list[str]) -> str:
    (address,) = (part for part in call if part.startswith("http://127.0.0.1:"))
    return re.sub(r"^http://[^/]+|\?.*$", "", address)
