"""A hundred guests read and comment, and five makers, each in a workshop of their own, send
photographs of 12 megapixels, for a minute, to two processes: nothing is lost, nothing fails, and
pages come as before."""

from __future__ import annotations

import hashlib
import itertools
import json
import os
import random
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from io import BytesIO
from pathlib import Path
from urllib.parse import urlsplit

import numpy as np
import pytest
from PIL import Image

from brief.cli import main
from tests.cli.test_serving import PASSPHRASE, Running, running
from tests.postgres_server import served

SECONDS = float(os.environ.get("BRIEF_TEST_SECONDS", "60"))
GUESTS, UPLOADERS, PAUSE_S, PATIENCE_S = 100, 5, 10.0, 600
SAID_BEFORE = 150  # comments: about as many are there in the middle of the minute
IDLE_TIMES, MOST_TIMES_IDLE = 40, 3
BUSY = 1.0  # load average before: others would be measured
BOUNDARY = "a-boundary-that-no-picture-has"


def twelve_megapixels() -> bytes:
    """A photograph of something like wood, 4000 by 3000."""
    rng = np.random.default_rng(7)
    small = rng.normal(0, 14, (375, 500, 1)) + np.array([150, 111, 74])
    image = Image.fromarray(np.clip(small, 0, 255).astype(np.uint8)).resize((4000, 3000))
    target = BytesIO()
    image.save(target, "JPEG", quality=92)
    return target.getvalue()


class Line:
    """Somebody's browser, which connects anew after a pause; what went wrong is noted."""

    def __init__(self, address: str, wrong: list[object]) -> None:
        where = urlsplit(address)
        self._line = HTTPConnection(where.hostname or "", where.port, timeout=PATIENCE_S)
        self.cookie, self._wrong = "", wrong

    def ask(
        self, method: str, path: str, body: bytes | None = None, kind: str = "application/json"
    ) -> tuple[int, bytes]:
        headers = {"Content-Type": kind, "Cookie": self.cookie, "Accept": "*/*"}
        self._line.request(method, path, body, headers)
        answer = self._line.getresponse()
        said = answer.read()
        self._line.close()
        if answer.status >= 300:
            self._wrong.append((answer.status, method, path, said[:300]))
        for header in answer.msg.get_all("set-cookie") or ():
            pair = header.partition(";")[0]
            self.cookie = f"{self.cookie}; {pair}" if self.cookie else pair
        return answer.status, said

    def send(self, path: str, **fields: object) -> dict[str, object]:
        """Make something."""
        return dict(json.loads(self.ask("POST", path, json.dumps(fields).encode())[1]))

    def upload(self, material_id: str, picture: bytes) -> str | None:
        """Send a photograph of a piece; its id."""
        head = (
            f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="material_id"\r\n\r\n'
            f'{material_id}\r\n--{BOUNDARY}\r\nContent-Disposition: form-data; name="files"; '
            'filename="board.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'
        )
        body = head.encode() + picture + f"\r\n--{BOUNDARY}--\r\n".encode()
        kind = f"multipart/form-data; boundary={BOUNDARY}"
        status, said = self.ask("POST", "/api/photographs/pictures", body, kind)
        return str(json.loads(said)[0]["id"]) if status == 201 else None


def signed_in(address: str, wrong: list[object], name: str = "Ana") -> Line:
    line = Line(address, wrong)
    line.send("/api/session", name=name, passphrase=PASSPHRASE)
    return line


def joined(owner: Line, address: str, wrong: list[object], name: str) -> Line:
    """Another maker, invited by the owner, in a browser of theirs."""
    link = str(owner.send("/api/makers/invitations", name=name)["link"])
    token = link.partition("#")[2]
    Line(address, wrong).send("/api/makers/joining", token=token, passphrase=PASSPHRASE)
    return signed_in(address, wrong, name)


def ninety_fifth(times: list[float]) -> float:
    return float(np.percentile(times, 95))


@pytest.fixture(params=["a file", "a server"])
def url(request: pytest.FixtureRequest) -> Iterator[str]:
    """Of the database; nothing for a file."""
    if request.param == "a file":
        yield ""
        return
    with served(quick=False) as server:
        yield server.url(server.database())


@contextmanager
def two_processes(home: Path, url: str) -> Iterator[Running]:
    env = {"BRIEF_LOCKED": "1", "BRIEF_PASSPHRASE": PASSPHRASE, "BRIEF_HOME": str(home)}
    env |= {"BRIEF_DATABASE_URL": url} if url else {}
    with running("serve", "--processes", "2", patience_s=PATIENCE_S, **env) as two:
        yield two


def test_guests_and_uploads_at_once(
    tmp_path: Path, url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    load = os.getloadavg()[0]
    home, picture, wrong = tmp_path / "home", twelve_megapixels(), []
    said: list[str] = []
    sent: dict[str, str] = {}  # SHA-256 of each photograph, by its id
    pages: list[float] = []
    monkeypatch.setenv("BRIEF_PASSPHRASE", PASSPHRASE)
    monkeypatch.setenv("BRIEF_HOME", str(home))
    if url:
        monkeypatch.setenv("BRIEF_DATABASE_URL", url)
    assert main(["makers", "--open", "Ana"]) == 0
    with two_processes(home, url) as two:
        owner = signed_in(two.address, wrong)
        brief = owner.send("/api/briefs", title="Saltmarsh", theme="Low water. " * 40)["id"]
        for name in ("curlew", "reed", "tide", "mud"):
            owner.send("/api/motifs", brief_id=brief, name=name, says="one quarter of an hour")
        links = [
            str(owner.send("/api/shares", brief_id=brief, name=f"guest {n}")["address"])
            for n in range(GUESTS)
        ]
        makers = [joined(owner, two.address, wrong, f"maker {n}") for n in range(UPLOADERS)]
        pieces = [str(one.send("/api/materials", label="a board")["id"]) for one in makers]
        about = {"about_kind": "brief", "about_id": brief, "author": "before"}
        said += [f"before, {n}" for n in range(SAID_BEFORE)]
        for text in said:
            owner.send("/api/comments", **about, brief_id=brief, text=text)
        for link in links[:10]:  # both processes have shown the page before
            _timed(Line(two.address, wrong), link)
        idle = [_timed(Line(two.address, wrong), links[n % GUESTS]) for n in range(IDLE_TIMES)]
        began = time.monotonic()

        def visit(number: int) -> None:
            line, rng = Line(two.address, wrong), random.Random(number)
            by = about | {"author": f"guest {number}"}
            time.sleep(rng.uniform(0, PAUSE_S))
            for turn in itertools.count():
                if time.monotonic() - began > SECONDS:
                    return
                pages.append(_timed(line, links[number]))
                time.sleep(rng.uniform(0, PAUSE_S))
                text = f"{number}, {turn}"
                body = json.dumps(by | {"text": text}).encode()
                if line.ask("POST", f"{links[number]}/comments", body)[0] == 201:
                    said.append(text)
                time.sleep(rng.uniform(0, PAUSE_S))

        def photograph(number: int) -> None:
            line = makers[number]
            for turn in itertools.count():
                if time.monotonic() - began > SECONDS:
                    return
                data = picture + f"{number}, {turn}".encode()  # another file, after its end
                photo_id = line.upload(pieces[number], data)
                if photo_id:
                    sent[photo_id] = hashlib.sha256(data).hexdigest()

        doing = [threading.Thread(target=visit, args=[n]) for n in range(GUESTS)]
        doing += [threading.Thread(target=photograph, args=[n]) for n in range(UPLOADERS)]
        for one in doing:
            one.start()
        for one in doing:
            one.join()
        assert wrong == []
        assert sorted(one["text"] for one in _all(owner, "/api/comments")) == sorted(said)
        photographs = [one for maker in makers for one in _all(maker, "/api/photographs")]
        kept = {str(one["id"]): one["picture"]["sha256"] for one in photographs}  # type: ignore[index]
        assert kept == sent
        for maker in makers:
            for one in _all(maker, "/api/photographs"):
                sha256 = sent[str(one["id"])]
                data = maker.ask("GET", f"/images/{sha256}/original")[1]
                assert hashlib.sha256(data).hexdigest() == sha256
    assert main(["check"]) == 0
    capsys.readouterr()
    before, under = ninety_fifth(idle), ninety_fifth(pages)
    with capsys.disabled():
        print(
            f"\n{len(said) - SAID_BEFORE} comments, {len(sent)} photographs of "
            f"{len(picture) / 1e6:.1f} MB, {len(pages)} pages; p95 {under:.2f} s, "
            f"idle {before:.2f} s, {under / before:.1f} times; load before {load:.1f}"
        )
    assert len(said) > SAID_BEFORE + GUESTS / 2
    assert len(sent) > UPLOADERS
    if load > BUSY:
        pytest.skip(f"nothing is lost; how quick it is cannot be judged on a busy computer: {load}")
    assert under < MOST_TIMES_IDLE * before


def _timed(line: Line, address: str) -> float:
    began = time.monotonic()
    line.ask("GET", address)
    return time.monotonic() - began


def _all(line: Line, path: str) -> list[dict[str, object]]:
    """All records of a noun, page by page."""
    found: list[dict[str, object]] = []
    after = ""
    while True:
        page = json.loads(line.ask("GET", f"{path}?limit=200{after}")[1])
        found += page["items"]
        if page["next"] is None:
            return found
        after = f"&after={page['next']}"
