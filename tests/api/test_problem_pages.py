"""A browser that opens an address of the API itself gets what went wrong as a page."""

from __future__ import annotations

from html import unescape

import pytest

MARKUP = '"><script>alert(1)</script>'
# What Chromium and Firefox send when an address is opened or a plain form is sent.
BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}


def test_a_plain_form_is_answered_in_words_with_a_way_back(client, brief) -> None:
    sheet = f"http://testserver/briefs/{brief['id']}/drawing?see=all"
    answer = client.post(
        f"/api/briefs/{brief['id']}/numbers",
        data={"scale_mm": "640"},
        headers={**BROWSER, "Referer": sheet},
    )
    assert answer.status_code == 405
    assert answer.headers["content-type"].startswith("text/html")
    assert "PATCH" in answer.headers["allow"]  # RFC 9110, 15.5.6
    assert 'name="viewport"' in answer.text
    assert f'href="/briefs/{brief["id"]}/drawing?see=all"' in answer.text
    assert "{" not in answer.text.split("<main")[1].split("</main>")[0]


def test_each_field_at_fault_is_named_on_the_page(client, brief) -> None:
    at = f"/api/briefs/{brief['id']}/booklet.pdf?paper=A9&comments=perhaps"
    sent = client.get(at).json()
    page = client.get(at, headers=BROWSER)
    assert (page.status_code, len(sent["errors"])) == (422, 2)
    assert all(fault["detail"] in unescape(page.text) for fault in sent["errors"])


@pytest.mark.parametrize(
    "accept",
    ["*/*", "application/json", "application/problem+json", "text/html, application/json"],
)
def test_programs_get_the_problem_itself(client, accept: str) -> None:
    answer = client.get("/api/briefs/nowhere", headers={"Accept": accept})
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == 404


@pytest.mark.parametrize(
    "referer",
    [
        "http://elsewhere.example/briefs",
        "http://testserver//elsewhere.example/",
        "javascript:alert(1)",
        "http://testserver/api/briefs/nowhere",  # it would lead back to the problem itself
        f"http://testserver/briefs/{MARKUP}",
    ],
)
def test_the_way_back_leads_to_a_page_of_this_server_alone(client, referer: str) -> None:
    headers = {**BROWSER, "Referer": referer}
    answer = client.get("/api/briefs/nowhere", headers=headers)
    assert answer.status_code == 404
    assert "elsewhere.example" not in answer.text
    assert "javascript:" not in answer.text
    assert "<script>alert" not in answer.text
    assert 'href="/api/briefs/nowhere"' not in answer.text
