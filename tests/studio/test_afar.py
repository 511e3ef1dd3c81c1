"""A picture whose passes are shared out is the same picture, and can be cancelled."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from brief.crew.processes import Processes
from brief.errors import CrewLost, RenderFailed
from brief.instrument import preset
from brief.services.studio.afar import Afar, sitter, sitting_afar
from brief.studio.child import sitting
from brief.studio.looks import Look
from brief.studio.shot import Shot, taken
from tests.dask_site import Site

from .test_shot import WOOD, shot

pytestmark = [
    pytest.mark.slow,
    pytest.mark.studio,
    pytest.mark.skipif(sys.platform == "win32", reason="ends processes by a signal"),
]


@pytest.fixture(scope="module")
def here() -> list[bytes]:
    return [one.png for one in taken(shot(), 1)]


def test_each_pass_by_itself_gives_the_same_bytes(here: list[bytes]) -> None:
    apart: Any = Processes(2)
    assert [one.png for one in Afar(apart, shot()).progress()] == here
    assert len(here) == 1 + 2


def test_without_a_scheduler_it_is_computed_here() -> None:
    assert sitter("") is sitting


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    pytest.importorskip("distributed")
    with Site("tcp") as made:
        made.start().wait_for(2)
        yield made


def test_it_is_ended_before_it_is_done(site: Site) -> None:
    with sitting_afar(site.address, shot(passes=60), 1) as at_work:
        progress = at_work.progress()
        assert next(progress).done == 0
        at_work.end()
        with pytest.raises(CrewLost, match="ended before it was done"):
            list(progress)


def test_the_next_is_the_same_picture_as_here(site: Site, here: list[bytes]) -> None:
    with sitting_afar(site.address, shot(passes=60), 1) as at_work:
        next(at_work.progress())  # and nobody looks at it any more
    with sitter(site.address)(shot(), 1) as at_work:
        there = [*at_work.progress()]
    assert [one.png for one in there] == here
    assert [(one.done, one.of) for one in there] == [(0, 2), (1, 2), (2, 2)]


def test_what_goes_wrong_there_comes_back_in_words(site: Site) -> None:
    look = {"top": Look(WOOD, "wood", "bare", b"no")}
    broken = Shot(preset("classical"), {}, (), look, shot().order)
    with (
        sitting_afar(site.address, broken, 1) as at_work,
        pytest.raises(RenderFailed, match="photograph"),
    ):
        list(at_work.progress())


def test_a_cluster_that_is_not_there_is_said(tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    with (
        pytest.raises(CrewLost, match="Nothing answers"),
        sitting_afar("tcp://127.0.0.1:1", shot(), 1),
    ):
        pass
