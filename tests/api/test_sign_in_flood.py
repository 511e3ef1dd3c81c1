"""The owner signs in while strangers try passphrases from as many addresses as they like."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Callable, Coroutine, Iterator
from contextlib import asynccontextmanager
from threading import Event, Lock

import argon2
import pytest
from httpx2 import ASGITransport, AsyncClient

from brief.api import lines
from brief.api.app import create_app
from brief.services.sharing import owner
from brief.settings import Settings

PASSPHRASE = "heron tide lamp oar"
HASHING_S = 0.01  # a hash of full strength takes some tenths of a second
STUCK_S = 60  # far longer than any machine needs; only a fault reaches it


class Hasher:
    """Takes its time, and knows how many were at it at once."""

    def __init__(self) -> None:
        self._quick = argon2.PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        self._lock = Lock()
        self._now = self.most_at_once = self.count = 0
        self.may_end = Event()  # a test may hold every hash until it has seen enough
        self.may_end.set()
        self.hash = self._quick.hash

    def verify(self, hashed: str, text: bytes) -> bool:
        with self._lock:
            self._now += 1
            self.count += 1
            self.most_at_once = max(self.most_at_once, self._now)
        try:
            time.sleep(HASHING_S)
            assert self.may_end.wait(STUCK_S)
            return self._quick.verify(hashed, text)
        finally:
            with self._lock:
                self._now -= 1


@pytest.fixture
def hasher(monkeypatch: pytest.MonkeyPatch) -> Iterator[Hasher]:
    made = Hasher()
    monkeypatch.setattr(owner, "_hasher", lambda: made)
    owner._nobodys.cache_clear()
    yield made
    owner._nobodys.cache_clear()


Browser = Callable[[str], AsyncClient]


@pytest.fixture
def run(hasher: Hasher, home) -> Callable[[Callable[[Browser], Coroutine]], None]:
    """Run a test in one loop with the app: `run(test)` calls `await test(browser)`."""

    def ran(test: Callable[[Browser], Coroutine]) -> None:
        app = create_app(Settings(home=home, hosts="testserver", locked=True))
        with app.state.store.desk(writing=True) as desk:
            owner.set_passphrase(desk, PASSPHRASE)

        def browser(host: str) -> AsyncClient:
            at = ASGITransport(app, client=(host, 50000))
            return AsyncClient(transport=at, base_url="http://testserver", timeout=60)

        try:
            asyncio.run(test(browser))
        finally:
            app.state.store.close()

    return ran


async def sign_in(browser: AsyncClient, passphrase: str = PASSPHRASE) -> int:
    answer = await browser.post("/api/session", json={"passphrase": passphrase})
    if answer.status_code == 429:
        assert int(answer.headers["retry-after"]) > 0
    return answer.status_code


@asynccontextmanager
async def flooded(browser: Browser, strangers: int) -> AsyncIterator[list[int]]:
    """So many strangers try at once, each time from another /64; yields what they are answered."""
    answers: list[int] = []

    async def flood(number: int) -> None:
        for turn in range(10_000):
            stranger = browser(f"2001:db8:{number:x}:{turn:x}::1")
            answers.append(await sign_in(stranger, "a wrong guess of it"))
            await asyncio.sleep(0)

    floods = [asyncio.create_task(flood(number)) for number in range(strangers)]
    while len(answers) < strangers // 4:
        await asyncio.sleep(0.01)
    yield answers
    for one in floods:
        one.cancel()
    await asyncio.gather(*floods, return_exceptions=True)


@pytest.mark.slow
def test_the_owner_comes_up_in_line_with_strangers_from_many_networks(run, hasher) -> None:
    """In a browser that has never signed in here, and with the right passphrase."""

    async def test(browser: Browser) -> None:
        async with flooded(browser, strangers=lines.MOST_WAITING // 2) as answers:
            for number in range(3):
                assert await sign_in(browser(f"192.0.2.{number}")) == 200
            assert await sign_in(browser("2001:db8:ffff:ffff::1")) == 200
        assert set(answers) == {401}

    run(test)
    assert hasher.most_at_once <= 2


@pytest.mark.slow
def test_where_the_owner_signed_in_before_no_flood_is_in_the_way(run, hasher) -> None:
    """More strangers than the line holds: it is full all the time."""

    async def test(browser: Browser) -> None:
        known = browser("192.0.2.1")
        assert await sign_in(known) == 200
        async with flooded(browser, strangers=lines.MOST_WAITING * 2) as answers:
            for _ in range(5):
                assert await sign_in(known) == 200
        assert {401, 429} == set(answers)

    run(test)
    assert hasher.most_at_once <= 2


def test_of_one_address_one_waits_and_what_was_not_looked_at_is_not_counted(run, hasher) -> None:
    async def test(browser: Browser) -> None:
        hasher.may_end.clear()
        tried = [
            asyncio.create_task(sign_in(browser("192.0.2.1"), "a wrong guess of it"))
            for _ in range(30)
        ]
        while sum(one.done() for one in tried) < 29:  # all but the one that is being hashed
            await asyncio.sleep(0.01)
        hasher.may_end.set()
        assert sorted(await asyncio.gather(*tried)) == [401] + [429] * 29
        assert await sign_in(browser("192.0.2.1")) == 200

    run(test)
    assert hasher.count == 2
    assert hasher.most_at_once == 1


def test_nobody_waits_for_ever(run, hasher, monkeypatch) -> None:
    monkeypatch.setattr(lines, "LONGEST_WAIT_S", 3 * HASHING_S)

    async def test(browser: Browser) -> None:
        tried = [sign_in(browser(f"192.0.2.{number}"), "a wrong guess") for number in range(40)]
        assert set(await asyncio.gather(*tried)) == {401, 429}
        assert await sign_in(browser("192.0.2.77")) == 200  # the line moves on

    run(test)
