"""Which workshops are open, while others are being opened."""

from __future__ import annotations

from pathlib import Path
from threading import Event
from unittest.mock import MagicMock

import anyio
import pytest

from brief.api.house import House, OpenWorkshop
from brief.store.workshops import HomePlace

HERE, SLOW = "a" * 10, "b" * 10


def test_who_comes_to_an_open_workshop_waits_for_none_that_is_being_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, answers, opened = Event(), Event(), []

    def open_it(_self: House, workshop_id: str) -> OpenWorkshop:
        opened.append(workshop_id)
        if workshop_id == SLOW:
            begun.set()
            assert answers.wait(30)
        return OpenWorkshop(MagicMock(), MagicMock(is_idle=True))

    monkeypatch.setattr(House, "_opened", open_it)
    served = House(HomePlace(tmp_path), MagicMock(), MagicMock())

    async def visit(workshop_id: str) -> None:
        async with served.at(workshop_id) as found:
            assert found is not None
            assert found.users

    async def all_of_it() -> None:
        await visit(HERE)
        async with anyio.create_task_group() as visits:
            for _ in range(3):
                visits.start_soon(visit, SLOW)
            try:
                assert await anyio.to_thread.run_sync(begun.wait, 30)
                with anyio.fail_after(20):
                    await visit(HERE)
            finally:
                answers.set()

    anyio.run(all_of_it)
    assert opened == [HERE, SLOW]
