"""How often one client may do a thing."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import Iterator

import pytest
from fastapi import Request
from sqlalchemy import func, select
from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware

from brief.api import limits as module
from brief.api.limits import NO_ADDRESS, RATES, Rate, RateLimits, client_of
from brief.errors import TooMany
from brief.store.databases.slate import TRIES, Slate


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def slate() -> Iterator[Slate]:
    made = Slate()
    yield made
    made.close()


@pytest.fixture
def limits(clock: Clock, slate: Slate) -> RateLimits:
    return RateLimits({"guess": Rate(3, 60), "comment": Rate(1, 60)}, clock, lambda: slate)


def spent(limits: RateLimits, kind: str, client: str) -> int | None:
    """In how many seconds it may be tried again; None if it may be now, which counts nothing."""
    try:
        limits.check(kind, client)
    except TooMany as exc:
        return exc.retry_after_s
    limits.give_back(kind, client)
    return None


def test_so_many_at_once_and_then_evenly(limits, clock) -> None:
    for _ in range(3):
        limits.check("guess", "192.0.2.1")
    with pytest.raises(TooMany, match=r"Try again in 20 seconds\.") as caught:
        limits.check("guess", "192.0.2.1")
    assert (caught.value.status, caught.value.retry_after_s) == (429, 20)
    clock.now += 19.9
    assert spent(limits, "guess", "192.0.2.1") == 1
    clock.now += 0.2
    limits.check("guess", "192.0.2.1")
    assert spent(limits, "guess", "192.0.2.1") == 20
    clock.now += 3600
    for _ in range(3):  # no more are saved up than a bucket holds
        limits.check("guess", "192.0.2.1")
    assert spent(limits, "guess", "192.0.2.1") == 20


def test_a_refused_try_does_not_put_off_the_next(limits, clock) -> None:
    limits.check("comment", "a")
    for _ in range(50):
        assert spent(limits, "comment", "a") == 60
        with pytest.raises(TooMany):
            limits.check("comment", "a")
    clock.now += 60
    limits.check("comment", "a")


def test_others_and_other_things_are_counted_apart(limits) -> None:
    limits.check("comment", "a")
    assert spent(limits, "comment", "a") == 60
    assert spent(limits, "comment", "b") is None
    limits.check("comment", "b")
    assert spent(limits, "comment", "b") == 60
    assert spent(limits, "guess", "a") is None


def test_what_was_right_is_given_back(limits) -> None:
    for _ in range(10):
        limits.check("comment", "a")
        limits.give_back("comment", "a")
    limits.give_back("comment", "a")  # no more than a bucket holds
    limits.check("comment", "a")
    assert spent(limits, "comment", "a") == 60


def test_of_several_sums_all_are_counted_or_none(limits) -> None:
    """The wait that is said is the longest; what was refused is taken from no sum."""
    both = {"comment": "browser", "guess": "link"}
    limits.check_all(both)
    for _ in range(5):
        with pytest.raises(TooMany) as caught:
            limits.check_all(both)
        assert caught.value.retry_after_s == 60
    for other in ("b", "c"):
        limits.check_all({"comment": other, "guess": "link"})
    with pytest.raises(TooMany, match="Try again in 20 seconds"):
        limits.check_all({"comment": "d", "guess": "link"})
    assert spent(limits, "comment", "d") is None


def test_what_is_kept_is_bounded_for_each_kind(limits, clock, slate, monkeypatch) -> None:
    monkeypatch.setattr(module, "MOST_BUCKETS", 100)
    limits.check("comment", "first")
    clock.now += 0.001
    limits.check("comment", "second")
    for _ in range(3):
        limits.check("guess", "first")
    for number in range(99):
        clock.now += 0.001
        limits.check("comment", f"n{number}")
    with slate.turn() as turn:
        kept = Counter(turn.scalars(select(TRIES.c.kind)))
    assert kept == {"comment": 100, "guess": 1}
    assert spent(limits, "guess", "first") == 20  # made-up names of one kind push out no other
    assert spent(limits, "comment", "second") == 60
    assert spent(limits, "comment", "first") is None  # the one that was longest quiet


def test_a_bucket_that_is_full_again_is_not_kept(limits, clock, slate) -> None:
    limits.check("guess", "first")
    clock.now += 61
    limits.check("guess", "second")
    with slate.turn() as turn:
        assert turn.scalar(select(func.count()).select_from(TRIES)) == 1
        (kept,) = turn.scalars(select(TRIES.c.client))
    assert kept != "second"  # nobody's address or mark is written down


def test_a_clock_that_was_put_back_gives_no_try(limits, clock) -> None:
    limits.check("comment", "a")
    clock.now -= 3600
    assert spent(limits, "comment", "a") == 60


@pytest.mark.parametrize(
    ("host", "client"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        # A line is given 64 bits or fewer of its own (RFC 6177, 2): all of them are one client.
        ("2001:db8:1:2::1", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff:ffff:ffff:ffff", "2001:db8:1:2::/64"),
        ("2001:db8:1:3::1", "2001:db8:1:3::/64"),
        # What is no address could be made up anew for each try.
        *(
            (made_up, NO_ADDRESS)
            for made_up in ("unknown1", "_hidden", "9.9.9.999", "", "x" * 1000)
        ),
    ],
)
def test_whose_tries_are_counted_together(host, client) -> None:
    assert client_of(Request({"type": "http", "client": (host, 1)})) == client


def test_an_address_that_is_not_known_is_one_client() -> None:
    assert client_of(Request({"type": "http", "client": None})) == NO_ADDRESS


@pytest.mark.parametrize(
    ("said", "client"),
    [
        ([b"192.0.2.7"], "192.0.2.7"),
        # Each hop appends whom it heard it from, so what stands further left is hearsay.
        ([b"198.51.100.1, 192.0.2.7"], "192.0.2.7"),
        ([b"198.51.100.1", b"192.0.2.7"], "192.0.2.7"),
        ([b"192.0.2.7, 10.0.0.5"], "192.0.2.7"),  # by two proxies of ours
        ([b"198.51.100.1, unknown"], NO_ADDRESS),
        ([b"unknown3"], NO_ADDRESS),
        ([b"[2001:db8:1:2::1]:4711"], "2001:db8:1:2::/64"),
        ([b"192.0.2.7:4711"], "192.0.2.7"),
    ],
)
def test_behind_a_proxy_the_rightmost_address_that_is_not_its_own_counts(
    said: list[bytes], client: str
) -> None:
    """As `brief serve --behind-proxy` runs it; RFC 7239, 5.2 on the order and on “unknown”."""
    found: list[str] = []

    async def app(scope, receive, send) -> None:
        found.append(client_of(Request(scope)))

    headers = [(b"x-forwarded-for", value) for value in said]
    scope = {"type": "http", "client": ("10.0.0.5", 1), "scheme": "http", "headers": headers}
    asyncio.run(ProxyHeadersMiddleware(app, "10.0.0.0/24")(scope, None, None))
    assert found == [client]


def test_guessing_a_passphrase_of_three_plain_words_takes_longer_than_anybody_lives() -> None:
    """Words from a list of 7776 (five dice, common practice, no source), from 1000 addresses."""
    a_year = 1000 * RATES["passphrase"].tries / RATES["passphrase"].seconds * 365 * 86400
    assert 7776**3 / 2 / a_year > 400
