"""A studio whose pictures are there at once, for tests of what goes on round the renderer."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from fastapi import FastAPI
from PIL import Image

from brief.services.studio.studio import Studio
from brief.studio.develop import as_png
from brief.studio.shot import Progress, Shot
from tests.asking import TestClient

GREY = as_png(Image.new("RGB", (90, 130), (126, 126, 126)))


class AtOnce:
    """Work that is done already."""

    def progress(self) -> Iterator[Progress]:
        yield Progress(0, 1, GREY)
        yield Progress(1, 1, GREY)

    def end(self) -> None:
        pass


@contextmanager
def at_once(_shot: Shot, _threads: int) -> Iterator[AtOnce]:
    yield AtOnce()


def studio_at_once(app: FastAPI) -> Studio:
    """Give an app such a studio."""
    app.state.studio = Studio(lambda: app.state.store, at_once, str)
    return app.state.studio


def taken(client: TestClient, brief_id: str, **asked: str) -> dict[str, Any]:
    """Have a studio picture taken by the API; the job when it has ended."""
    answer = client.post(f"/api/briefs/{brief_id}/studio", json=asked)
    assert answer.status_code == 202, answer.text
    job = answer.json()
    until = time.monotonic() + 30
    while job["state"] in ("waiting", "working"):
        assert time.monotonic() < until, job
        time.sleep(0.02)
        job = client.get(f"/api/studio-jobs/{job['id']}").json()
    return dict(job)
