"""Whether the program is alive and can serve, as a proxy asks.

503 where it cannot for now: RFC 9110, 15.6.4. That being alive asks nothing else, so that a
database that is away has nobody start the program again: common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from brief.api.app import create_app
from brief.settings import Settings
from brief.store.databases.copies import DATABASE
from tests.asking import TestClient


@pytest.fixture(params=[False, True], ids=["this computer", "behind a passphrase"])
def stranger(request, tmp_path: Path):
    settings = Settings(home=tmp_path / "home", hosts="testserver", locked=request.param)
    with TestClient(create_app(settings), follow_redirects=False) as client:
        yield client


def test_it_is_alive_and_ready_and_tells_a_stranger_nothing_else(stranger):
    for path, status in (("/api/health", "alive"), ("/api/ready", "ready")):
        answer = stranger.get(path, headers={"Accept": "text/html"})
        assert (answer.status_code, answer.json()) == (200, {"status": status})
        assert stranger.head(path).status_code == 200


@pytest.mark.sqlite
def test_without_its_database_it_is_alive_and_not_ready(stranger, refused, caplog):
    database = stranger.app.state.settings.home / DATABASE
    stranger.app.state.store.close()
    for beside in ("-wal", "-shm"):
        database.with_name(database.name + beside).unlink(missing_ok=True)
    kept = database.read_bytes()
    database.write_bytes(b"not a database" * 1000)
    assert stranger.get("/api/health").status_code == 200
    answer = stranger.get("/api/ready")
    refused(answer, 503, "not_ready", "cannot be read now")
    assert str(database.parent) not in answer.text
    assert "Not ready" in caplog.text
    database.write_bytes(kept)
    stranger.app.state.store.close()
    assert stranger.get("/api/ready").status_code == 200  # ready again without a new start


def test_without_its_folder_it_is_not_ready(stranger, refused):
    home = stranger.app.state.settings.home
    away = home.rename(home.with_name("unplugged"))
    refused(stranger.get("/api/ready"), 503, "not_ready")
    away.rename(home)
    assert stranger.get("/api/ready").status_code == 200
