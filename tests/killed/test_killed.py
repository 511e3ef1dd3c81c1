"""kill -9 at any moment: no write that was acknowledged is lost, and what is left is swept.

A few kills always; 200 with `-m long`.
"""

from __future__ import annotations

import io
import os
import random
import signal
import socket
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx2
import numpy as np
import pytest
from PIL import Image

from brief.services import nouns
from brief.services.photos.pictures import keep_picture
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.references import ReferenceFacts
from brief.services.transfer.zip_files import write_parcel
from brief.store.backup import restore
from brief.store.carrying import take_copy
from brief.store.check import check
from brief.store.databases.copies import DATABASE, Holding, holding
from brief.store.desk import Store
from tests.nursery import Nursery

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="forks, and kills by a signal"),
]
PATIENCE_S = 60
PARCELS = 6
RESTORED_EACH = 20  # rounds
MOST_DONE = 12  # before a kill
ANY = {"If-Match": "*"}
LEFTOVERS = {"unnamed", "half-written"}


@dataclass
class Done:
    """What was acknowledged, and so must be there for good."""

    records: set[tuple[str, str]] = field(default_factory=set)
    pictures: set[str] = field(default_factory=set)
    themes: list[str] = field(default_factory=list)  # sent, the last one perhaps not answered
    answered: int = 0  # how many of them were
    counts: Counter[str] = field(default_factory=Counter)


def photograph(rng: np.random.Generator) -> bytes:
    """A picture that no other is like."""
    levels = rng.integers(0, 255, (90, 120, 3), dtype=np.uint8)
    target = io.BytesIO()
    Image.fromarray(levels).save(target, "PNG")
    return target.getvalue()


@pytest.fixture(scope="module")
def parcels(tmp_path_factory) -> list[bytes]:
    """Briefs from elsewhere, each with a picture of its own."""
    store = Store(tmp_path_factory.mktemp("elsewhere"))
    rng, made = np.random.default_rng(5), []
    for place in range(PARCELS):
        target = io.BytesIO()
        with store.desk(writing=True) as desk:
            brief = nouns.briefs.add(desk, BriefDraft(title=f"From elsewhere {place}"))
            nouns.references.add_picture(desk, brief.id, "a.png", photograph(rng), ReferenceFacts())
            write_parcel(desk, brief.id, target)
        made.append(target.getvalue())
    store.close()
    return made


class Refused(Exception):
    """It said that nothing was saved, for the database cannot be reached."""


def acknowledged(answer: httpx2.Response, *statuses: int) -> None:
    if answer.status_code == 507:
        raise Refused
    assert answer.status_code in statuses, answer.text


class Workshop:
    """A home that is worked in by several at once, each until the server is gone."""

    def __init__(self, home: Path, parcels: list[bytes], seed: int, url: str | None = None) -> None:
        self.home, self.url, self.parcels = home, url, list(parcels)
        self.done, self.rng = Done(), np.random.default_rng(seed)
        store = Store(home, url)
        with store.desk(writing=True) as desk:
            self.brief_id = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh")).id
            keep_picture(desk, "first.png", photograph(self.rng))
        store.close()

    def jobs(self) -> tuple[Callable[[httpx2.Client], None], ...]:
        return self.upload, self.shoot, self.edit, self.freeze, self.bring_in

    def upload(self, client: httpx2.Client) -> None:
        self._pictures(client, "references", {"brief_id": self.brief_id})

    def shoot(self, client: httpx2.Client) -> None:
        self._pictures(client, "materials", {})

    def _pictures(self, client: httpx2.Client, noun: str, fields: dict[str, str]) -> None:
        files = [("files", (f"{n}.png", photograph(self.rng), "image/png")) for n in range(2)]
        answer = client.post(f"/api/{noun}/pictures", files=files, data=fields)
        acknowledged(answer, 201)
        for made in answer.json():
            self.done.records.add((noun, made["id"]))
            self.done.pictures.add(made["picture"]["sha256"])
        self.done.counts[noun] += 1

    def edit(self, client: httpx2.Client) -> None:
        self.done.themes.append(f"tide {len(self.done.themes)}")
        change = {"theme": self.done.themes[-1]}
        answer = client.patch(f"/api/briefs/{self.brief_id}", json=change, headers=ANY)
        acknowledged(answer, 200)
        self.done.answered = len(self.done.themes)
        self.done.counts["edits"] += 1

    def freeze(self, client: httpx2.Client) -> None:
        answer = client.post("/api/revisions", json={"brief_id": self.brief_id})
        if answer.status_code == 409:  # nobody else got anything done since the last one
            assert answer.json()["type"].endswith("-nothing_changed"), answer.text
            return
        acknowledged(answer, 201)
        self.done.records.add(("revisions", answer.json()["id"]))
        self.done.counts["freezes"] += 1

    def bring_in(self, client: httpx2.Client) -> None:
        # Removed, it is another brief to what comes in, which is then put beside it.
        data = self.parcels[self.done.counts["imports"] % len(self.parcels)]
        answer = client.post("/api/parcels", files={"file": ("a.zip", data)})
        acknowledged(answer, 200, 201)
        brief_id = answer.json()["brief_id"]
        self.done.records.add(("briefs", brief_id))
        client.delete(f"/api/briefs/{brief_id}", headers=ANY)
        self.done.counts["imports"] += 1


@contextmanager
def at_work(
    workshop: Workshop, port: int, until: int, over: threading.Event | None = None
) -> Iterator[None]:
    """Everybody at it, until the server is gone; entered once so many things got done, however
    busy this computer is.

    over : if it is given they go on until it is set, whatever they are answered."""
    failed: list[BaseException] = []

    def work(job: Callable[[httpx2.Client], None]) -> None:
        try:
            at = f"http://127.0.0.1:{port}"
            with httpx2.Client(base_url=at, timeout=PATIENCE_S, verify=False) as client:
                while True:
                    try:
                        job(client)
                    except (httpx2.TransportError, Refused):  # killed
                        if over is None or over.is_set():
                            return
                        time.sleep(0.02)
        except BaseException as exc:
            failed.append(exc)

    threads = [threading.Thread(target=work, args=[job]) for job in workshop.jobs()]
    done = workshop.done.counts.total() + until
    for thread in threads:
        thread.start()
    patient = time.monotonic() + PATIENCE_S
    while workshop.done.counts.total() < done and time.monotonic() < patient:
        time.sleep(0.005)
    try:
        yield
    finally:
        for thread in threads:
            thread.join(PATIENCE_S)
    assert not failed, failed[0]


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


def answers(port: int) -> None:
    """Wait until it does."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        try:
            assert httpx2.get(f"http://127.0.0.1:{port}/api/briefs", timeout=PATIENCE_S).is_success
        except httpx2.TransportError:
            time.sleep(0.02)
        else:
            return
    raise TimeoutError


def held_in(workshop: Workshop) -> Holding:
    if workshop.url is None:
        return holding(workshop.home / DATABASE)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / DATABASE
        take_copy(workshop.home, workshop.url, copy)
        return holding(copy)


def nothing_is_lost(workshop: Workshop) -> Counter[str]:
    """Look before anything is opened for writing, then sweep; what was left behind, by kind."""
    done, home = workshop.done, workshop.home
    report = check(home, url=workshop.url)
    assert {one.kind for one in report.findings} <= LEFTOVERS, report.findings
    held = held_in(workshop)
    assert done.records <= held.records
    assert done.pictures <= {*held.pictures}
    store = Store(home, workshop.url)
    with store.desk() as desk:
        theme = nouns.briefs.get(desk, workshop.brief_id).theme
    assert theme in ["", *done.themes]
    place = -1 if theme == "" else done.themes.index(theme)
    assert place + 1 >= done.answered
    for file in (home / "images").rglob("*"):  # two days later
        if file.is_file():
            os.utime(file, (time.time() - 2 * 24 * 3600,) * 2)
    store.sweep()
    store.close()
    assert check(home, url=workshop.url).findings == []
    return Counter(one.kind for one in report.findings)


def killed(nursery: Nursery, workshop: Workshop, stick: Path, rounds: int) -> Counter[str]:
    """Work, kill, look; `rounds` times. What was done, and what was left behind, in numbers."""
    moments, found = random.Random(rounds), Counter[str]()
    backed_up: frozenset[tuple[str, str]] = frozenset()
    for place in range(rounds):
        port = free_port()
        server = nursery.fork("tests.children:serve", str(workshop.home), port)
        answers(port)
        with at_work(workshop, port, moments.randint(0, MOST_DONE)), server:
            before = holding(workshop.home / DATABASE).records
            copying = nursery.fork("tests.children:back_up", str(workshop.home), str(stick))
            time.sleep(moments.uniform(0, 0.3))
        if place % 3:  # by turns let it come to its end
            copying.kill()
        ended = copying.wait(PATIENCE_S)
        assert ended in (0, -signal.SIGKILL)
        if ended == 0:
            backed_up = before
        found["backups made"] += ended == 0
        found["backups killed"] += ended != 0
        found += nothing_is_lost(workshop)
        if backed_up and (rounds < RESTORED_EACH or place % RESTORED_EACH == 0):
            again = stick.with_name(f"again {place}")
            made = restore(stick, again)
            assert (made.missing, made.damaged) == ([], [])
            assert backed_up <= holding(again / DATABASE).records
            assert check(again).findings == []
    return found + workshop.done.counts


@pytest.fixture
def workshop(tmp_path: Path, parcels: list[bytes]) -> Workshop:
    return Workshop(tmp_path / "home", parcels, seed=11)


def test_a_few_kills(nursery, workshop, tmp_path) -> None:
    killed(nursery, workshop, tmp_path / "stick", 5)


@pytest.mark.long
def test_200_kills(nursery, workshop, tmp_path, capsys) -> None:
    found = killed(nursery, workshop, tmp_path / "stick", 200)
    with capsys.disabled():
        print(f"\n200 kills: {dict(found)}")
    assert found["references"] > 100
    assert found["backups killed"] > 20


def test_a_home_that_nobody_killed_is_clean(workshop) -> None:
    assert nothing_is_lost(workshop) == Counter()


def test_a_lost_write_would_be_noticed(workshop) -> None:
    workshop.done.records.add(("briefs", "01M8HXTVBJ0X6JK89RNM5GDRA1"))
    with pytest.raises(AssertionError):
        nothing_is_lost(workshop)
