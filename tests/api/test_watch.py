"""Watching it run: nothing private in any line or number, and the numbers as others read them.

The published format is OpenMetrics 1.0; it is read here by prometheus_client's own parser of it.
"""

from __future__ import annotations

import json
import logging
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from prometheus_client.openmetrics.parser import text_string_to_metric_families as read
from sqlalchemy import bindparam, select

from brief.api import guests, watch
from brief.api.app import create_app
from brief.cli import main
from brief.settings import Settings
from brief.store.desk import Desk
from brief.store.records import Brief
from tests.asking import TestClient

TOKEN = "tide-lamp-oar-heron"
WRITTEN = "secret-words"


def opened(home: Path, **more: object) -> TestClient:
    settings = Settings(home=home, hosts="testserver", **more)
    return TestClient(create_app(settings), follow_redirects=False)


@pytest.fixture
def lines() -> Iterator[list[dict[str, object]]]:
    """What is logged, line by line."""
    told: list[dict[str, object]] = []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            told.append(json.loads(watch._JsonLines().format(record)))

    handler, level = Kept(), watch.log.level
    watch.log.addHandler(handler)
    watch.log.setLevel(logging.INFO)
    yield told
    watch.log.removeHandler(handler)
    watch.log.setLevel(level)


def answers(text: str) -> dict[tuple[str, str, str], float]:
    """How many there were, by method, route and status."""
    (family,) = (one for one in read(text) if one.name == "brief_answer_seconds")
    return {
        (one.labels["method"], one.labels["route"], one.labels["status"]): one.value
        for one in family.samples
        if one.name.endswith("_count")
    }


def test_a_line_tells_the_route_and_nothing_of_anybody(tmp_path, lines) -> None:
    with opened(tmp_path / "home", log="json") as client:
        made = client.post("/api/briefs", json={"title": "Saltmarsh"})
        client.get(f"/api/briefs/{made.json()['id']}?after=secret-query")
        client.get("/s/secret-token", headers={"Cookie": "brief_session=secret-cookie"})
        client.get("/nowhere/secret-path")
        client.get("/static/css/secret.css")
        gone = client.get("/api/briefs/secret-id")
    assert [(one["method"], one["route"], one["status"]) for one in lines] == [
        ("POST", "/api/briefs", 201),
        ("GET", "/api/briefs/{record_id}", 200),
        ("GET", "/s/{token}", 404),
        ("GET", "(none)", 404),
        ("GET", "/static", 404),
        ("GET", "/api/briefs/{record_id}", 404),
    ]
    assert all(
        set(one)
        == {"time", "level", "process", "said", "method", "route", "status", "ms", "request"}
        for one in lines
    )
    assert "secret" not in json.dumps(lines)
    assert made.json()["id"] not in json.dumps(lines)
    assert "testclient" not in json.dumps(lines)
    assert lines[-1]["request"] == gone.headers["x-request-id"]


def test_what_goes_wrong_names_the_request_and_nothing_of_anybody(
    tmp_path, lines, monkeypatch
) -> None:
    def fails(desk: Desk, *_: object) -> None:
        asked = select(Brief.id).where(Brief.created_utc == bindparam("when"))
        desk.session.scalar(asked, {"when": WRITTEN})  # no time

    monkeypatch.setattr(guests, "known_share", fails)
    settings = Settings(home=tmp_path / "home", hosts="testserver", log="json")
    told = [logging.getLogger(one) for one in ("brief.api.problems", "brief.requests")]
    with TestClient(create_app(settings), raise_server_exceptions=False) as client:
        told[0].addHandler(told[1].handlers[-1])
        try:
            answer = client.get("/s/secret-token")
        finally:
            told[0].removeHandler(told[1].handlers[-1])
    assert answer.status_code == 500
    wrong = next(one for one in lines if "trace" in one)
    assert "SELECT briefs.id" in str(wrong["trace"])
    assert wrong["route"] == "/s/{token}"
    assert {one["request"] for one in lines} == {answer.headers["x-request-id"]}
    assert "secret" not in json.dumps(lines)


def test_without_being_asked_nothing_is_written_or_counted(tmp_path, lines) -> None:
    with opened(tmp_path / "home") as client:
        assert "x-request-id" not in client.get("/api/briefs").headers
        answer = client.get("/api/metrics")
    assert (answer.status_code, answer.json()["detail"]) == (
        404,
        "Nothing is counted here. To have it counted: brief serve --metrics.",
    )
    assert lines == []


def test_the_numbers_are_read_as_openmetrics(tmp_path) -> None:
    with opened(tmp_path / "home", metrics=True) as client:
        for _ in range(3):
            client.get("/api/briefs")
        client.get("/s/secret-token")
        client.request("WALTZ", "/api/briefs")
        answer = client.get("/api/metrics")
    assert answer.headers["content-type"].startswith("application/openmetrics-text; version=1.")
    assert answers(answer.text) == {
        ("GET", "/api/briefs", "200"): 3,
        ("GET", "/s/{token}", "404"): 1,
        ("other", "/api/briefs", "405"): 1,
    }
    assert "secret" not in answer.text
    families = {one.name: one for one in read(answer.text)}
    assert families["brief_answer_seconds"].type == "histogram"
    jobs = families["brief_studio_jobs"]
    assert {one.labels["state"]: one.value for one in jobs.samples} == {"waiting": 0, "working": 0}


def test_only_the_owner_and_the_token_for_them_see_the_numbers(tmp_path, refused) -> None:
    with opened(tmp_path / "home", locked=True, metrics=True, metrics_token=TOKEN) as client:
        plain = client.get("/api/metrics")
        assert plain.status_code == client.get("/api/briefs").status_code == 401
        for wrong in (f"Bearer {TOKEN}x", "Bearer ", f"Basic {TOKEN}", "Bearer ±"):
            given = {"Authorization": wrong.encode()}
            assert client.get("/api/metrics", headers=given).status_code == 401
        right = {"Authorization": f"Bearer {TOKEN}"}
        assert client.get("/api/metrics", headers=right).status_code == 200
        for shut in ("/api/briefs", "/api/metrics/", "/", "/api/docs"):
            assert client.get(shut, headers=right).status_code == 401


def test_without_the_package_it_says_how_to_get_it(tmp_path, monkeypatch, capsys) -> None:
    monkeypatch.setitem(sys.modules, "prometheus_client", None)
    words = ["serve", "--metrics", "--home", str(tmp_path), "--port", "0", "--no-browser"]
    assert main(words) == 2
    assert 'pip install "luthiers-brief[metrics]"' in capsys.readouterr().err
