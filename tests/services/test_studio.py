"""The studio's line: one after the other, cancelled, failed, closed; and what a picture is of."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from brief.errors import Conflict, InputError, RenderFailed, StoreError
from brief.services import nouns, offcuts
from brief.services.rack.piece_views import MaterialDraft
from brief.services.studio import jobs
from brief.services.studio import studio as at_work
from brief.services.studio.jobs import OPEN
from brief.services.studio.room import Room
from brief.services.studio.shots import Planned, StudioAsked, planned
from brief.services.studio.studio import Studio
from brief.store.desk import Store
from brief.store.records import Photograph
from brief.studio.shot import Progress
from tests.studio_at_once import GREY, AtOnce, at_once


class Slow(AtOnce):
    """Work that waits until it is told to go on, or to end."""

    def __init__(self) -> None:
        self.go_on, self.ended = threading.Event(), False

    def progress(self) -> Iterator[Progress]:
        yield Progress(0, 2, GREY)
        self.go_on.wait(10)
        if self.ended:
            raise RenderFailed("It was ended.")
        yield Progress(2, 2, GREY)

    def end(self) -> None:
        self.ended = True
        self.go_on.set()


@pytest.fixture
def brief_id(store: Store) -> str:
    with store.desk(writing=True) as desk:
        return nouns.briefs.add(desk, nouns.briefs.draft(title="Saltmarsh")).id


def plan(store: Store, brief_id: str, **asked: Any) -> Planned:
    with store.desk() as desk:
        return planned(desk, nouns.briefs.get(desk, brief_id), StudioAsked(**asked))


def until(said: Any) -> None:
    end = time.monotonic() + 60  # of a busy computer
    while not said():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_one_picture_at_a_time_in_the_order_they_were_asked_for(store, brief_id) -> None:
    slow = [Slow(), Slow()]
    waiting = iter(slow)

    @contextmanager
    def sit(*_: Any) -> Iterator[Slow]:
        yield next(waiting)

    studio = Studio(lambda: store, sit, str)
    first = studio.ask(plan(store, brief_id, view="front"))
    second = studio.ask(plan(store, brief_id, view="back"))
    assert studio.ask(plan(store, brief_id, view="back")) == second  # once, however often asked
    until(lambda: studio.get(first.id).seen)
    states = [one.state for one in studio.of(brief_id)]
    assert (states, studio.ahead(second)) == (["working", "waiting"], 1)
    slow[0].go_on.set()
    until(lambda: studio.get(second.id).state == "working")
    first = studio.get(first.id)
    assert first.state == "done"
    studio.close()
    assert studio.get(second.id).state == "waiting"  # for when it is started again
    with store.desk() as desk:
        (kept,) = nouns.studio_pictures.page(desk)
        assert kept.id == first.picture_id
        assert kept.private


def test_a_cancelled_picture_leaves_nothing(store, brief_id) -> None:
    slow = Slow()

    @contextmanager
    def sit(*_: Any) -> Iterator[Slow]:
        yield slow

    studio = Studio(lambda: store, sit, str)
    job = studio.ask(plan(store, brief_id))
    until(lambda: studio.get(job.id).seen)
    began = time.monotonic()
    studio.cancel(job.id)
    assert time.monotonic() - began < 1
    studio.close()
    job = studio.get(job.id)
    assert (job.state, job.seen, slow.ended) == ("cancelled", False, True)
    with store.desk() as desk:
        assert not nouns.studio_pictures.page(desk)


def test_a_picture_that_is_being_kept_is_not_cancelled_any_more(
    store, brief_id, monkeypatch
) -> None:
    kept, studio = at_work.studio_pictures.keep, Studio(lambda: store, at_once, str)

    def keep(desk: Any, of: Planned, png: bytes) -> Any:
        studio.cancel(job.id)
        return kept(desk, of, png)

    monkeypatch.setattr(at_work.studio_pictures, "keep", keep)
    job = studio.ask(plan(store, brief_id))
    until(lambda: studio.get(job.id).state not in OPEN)
    assert studio.get(job.id).state == "done"
    studio.close()


def test_nothing_is_kept_of_a_brief_that_was_removed_meanwhile(store, brief_id) -> None:
    gone = plan(store, brief_id)
    with store.desk(writing=True) as desk:
        offcuts.remove(desk, nouns.briefs, brief_id, "*")
    studio = Studio(lambda: store, at_once, str)
    job = studio.ask(gone)
    until(lambda: studio.get(job.id).state == "failed")
    job = studio.get(job.id)
    assert "brief was removed" in job.said
    studio.close()


def test_a_full_disk_is_said_and_keeps_nothing(store, brief_id, monkeypatch) -> None:
    def full(*_: object) -> str:
        raise StoreError("The disk is full, so nothing was saved. Free some space and try again.")

    monkeypatch.setattr(at_work.studio_pictures, "keep", full)
    studio = Studio(lambda: store, at_once, str)
    job = studio.ask(plan(store, brief_id))
    until(lambda: studio.get(job.id).state == "failed")
    assert "disk is full" in studio.get(job.id).said
    studio.close()


def test_without_the_renderer_it_says_how_to_get_it(store, brief_id) -> None:
    studio = Studio(lambda: store, at_once, lambda: "One more package is needed.")
    with pytest.raises(InputError, match="package"):
        studio.ask(plan(store, brief_id))


def test_too_many_are_refused(store, brief_id, monkeypatch) -> None:
    monkeypatch.setattr(jobs, "MOST_WAITING", 1)

    @contextmanager
    def sit(*_: Any) -> Iterator[Slow]:
        yield Slow()

    studio = Studio(lambda: store, sit, str)
    studio.ask(plan(store, brief_id, view="front"))
    with pytest.raises(Conflict, match="wait"):
        studio.ask(plan(store, brief_id, view="back"))
    studio.close()


@pytest.fixture
def two(store) -> Iterator[tuple[Studio, Studio, Slow]]:
    """Two studios of one home, as two processes have them; the first picture that the first of them
    takes is held, and whichever is sooner takes the next."""
    slow = Slow()
    held = iter([slow])

    @contextmanager
    def sit(*asked: Any) -> Iterator[AtOnce]:
        first = next(held, None)
        if first is not None:
            yield first
            return
        with at_once(*asked) as quick:
            yield quick

    one, other = Studio(lambda: store, sit, str), Studio(lambda: store, at_once, str)
    yield one, other, slow
    one.close()
    other.close()


def test_what_one_process_works_at_another_sees_and_cancels(store, brief_id, two) -> None:
    one, other, slow = two
    job = one.ask(plan(store, brief_id))
    until(lambda: other.get(job.id).seen)
    assert other.jobs.png(job.id) == GREY
    assert other.ask(plan(store, brief_id)).id == job.id
    waits = other.ask(plan(store, brief_id, view="back"))
    assert (one.ahead(waits), other.ahead(waits)) == (1, 1)
    assert [each.state for each in other.of(brief_id)] == ["working", "waiting"]
    other.cancel(job.id)
    until(lambda: slow.ended)
    until(lambda: one.get(waits.id).state == "done")  # one after the other, whoever is free
    assert one.get(job.id).state == "cancelled"


def test_the_workshops_of_one_process_wait_for_one_another(store, brief_id, tmp_path) -> None:
    """Each has a home and a slate of its own, and there is one computer."""
    slow, room = Slow(), Room()

    @contextmanager
    def sit(*_: Any) -> Iterator[Slow]:
        yield slow

    another = Store(tmp_path / "another")
    with another.desk(writing=True) as desk:
        theirs = nouns.briefs.add(desk, nouns.briefs.draft(title="Dunes")).id
    here = Studio(lambda: store, sit, str, room)
    there = Studio(lambda: another, at_once, str, room)
    mine = here.ask(plan(store, brief_id))
    until(lambda: here.get(mine.id).seen)
    job = there.ask(plan(another, theirs))
    time.sleep(0.1)
    assert there.get(job.id).state == "waiting"
    slow.go_on.set()
    until(lambda: there.get(job.id).state == "done")
    assert here.get(mine.id).state == "done"
    for studio in (here, there):
        studio.close()
    another.close()


def test_what_was_left_by_a_process_that_was_killed_is_taken_up(
    store, brief_id, two, monkeypatch
) -> None:
    one, other, slow = two
    job = one.ask(plan(store, brief_id))
    until(lambda: one.get(job.id).seen)
    monkeypatch.setattr(one.jobs, "report", lambda *_, **_told: True)  # nothing is heard of it
    monkeypatch.setattr(jobs, "SILENT_S", 0.2)
    until(lambda: other.get(job.id).state == "done")
    with store.desk() as desk:
        assert len(nouns.studio_pictures.page(desk)) == 1
    slow.end()


def test_what_ends_its_process_each_time_is_not_begun_for_ever(
    store, brief_id, monkeypatch
) -> None:
    monkeypatch.setattr(jobs, "SILENT_S", -1.0)
    studio = Studio(lambda: store, at_once, str)
    job = studio.jobs.add(plan(store, brief_id))
    assert [studio.jobs.take().id for _ in range(2)] == [job.id] * 2  # and killed each time
    assert studio.jobs.take() is None
    assert "stopped twice" in studio.get(job.id).said
    studio.close()


def test_a_thread_that_stumbled_does_not_end_the_studio(store, brief_id, monkeypatch) -> None:
    studio = Studio(lambda: store, at_once, str)
    take, stumbled = studio.jobs.take, threading.Event()

    def stumbles() -> None:
        stumbled.set()
        raise ZeroDivisionError

    monkeypatch.setattr(threading, "excepthook", lambda _: None)
    monkeypatch.setattr(studio.jobs, "take", stumbles)
    job = studio.ask(plan(store, brief_id))
    assert stumbled.wait(10)
    monkeypatch.setattr(studio.jobs, "take", take)
    until(lambda: studio.get(job.id).state == "done")
    studio.close()


def test_the_hash_changes_with_what_is_seen_and_with_nothing_else(store, brief_id) -> None:
    first = plan(store, brief_id)
    assert plan(store, brief_id).made_of == first.made_of
    assert plan(store, brief_id, light="A").made_of != first.made_of
    with store.desk(writing=True) as desk:
        piece = nouns.materials.add(
            desk, MaterialDraft(label="Mine, private name", reading="Lab 40 9 15")
        )
        part = next(one for one in nouns.parts.page(desk, brief_id=brief_id) if one.role == "top")
        nouns.parts.change(desk, part.id, "*", nouns.parts.change_model(material_id=piece.id))
    with_top = plan(store, brief_id)
    assert with_top.made_of != first.made_of
    said = " ".join(with_top.said)
    assert said.startswith("Computed, not photographed.")
    assert "measured: top" in said
    assert "Without a figure: top" in said
    assert "No piece chosen, so plain or as usual: back" in said
    assert "private name" not in said  # others may read it


def test_without_a_photograph_that_was_lost_no_picture_is_made(
    store, brief_id, picture, spoil
) -> None:
    with store.desk(writing=True) as desk:
        piece = nouns.materials.add(desk, MaterialDraft(label="Cedar"))
        shot = nouns.photographs.add_picture(desk, piece.id, "cedar.png", picture())
        part = next(one for one in nouns.parts.page(desk, brief_id=brief_id) if one.role == "top")
        nouns.parts.change(desk, part.id, "*", nouns.parts.change_model(material_id=piece.id))
    with store.desk() as desk:
        sha256 = desk.session.get_one(Photograph, shot.id).image_sha256
        assert plan(store, brief_id).shot(desk).looks["top"].picture
    spoil(store, sha256, Path.unlink)
    shutil.rmtree(store.images.renditions)
    studio = Studio(lambda: store, at_once, str)
    job = studio.ask(plan(store, brief_id))
    until(lambda: studio.get(job.id).state == "failed")
    assert "“cedar.png”" in studio.get(job.id).said
    studio.close()


def test_an_unknown_light_is_refused_in_words(store, brief_id) -> None:
    with pytest.raises(InputError, match="LED-B3"):
        plan(store, brief_id, light="candle")
