"""How often one address may do a thing."""

from __future__ import annotations

import pytest
from fastapi import Request

from brief.api import limits as module
from brief.api.limits import RATES, Rate, RateLimits, client_of
from brief.errors import TooMany


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def limits(clock: Clock) -> RateLimits:
    return RateLimits({"guess": Rate(3, 60), "comment": Rate(1, 60)}, clock)


def spent(limits: RateLimits, kind: str, client: str) -> int | None:
    """In how many seconds it may be tried again; None if it may be now."""
    try:
        limits.look(kind, client)
    except TooMany as exc:
        return exc.retry_after_s
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
    limits.check("comment", "b")
    limits.check("guess", "a")


def test_looking_counts_nothing_and_what_was_right_is_given_back(limits) -> None:
    for _ in range(10):
        limits.look("comment", "a")
    for _ in range(10):
        limits.check("comment", "a")
        limits.give_back("comment", "a")
    limits.give_back("comment", "a")
    limits.check("comment", "a")
    assert spent(limits, "comment", "a") == 60


def test_what_is_kept_is_bounded(limits, monkeypatch) -> None:
    monkeypatch.setattr(module, "MOST_BUCKETS", 100)
    limits.check("comment", "first")
    limits.check("comment", "second")
    limits.check("guess", "second")
    for number in range(98):
        limits.check("comment", f"n{number}")
    assert len(limits._buckets) == 100
    assert spent(limits, "comment", "first") is None  # the one that was longest quiet
    assert spent(limits, "comment", "second") == 60


@pytest.mark.parametrize(
    ("host", "client"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        # A line is given 64 bits or fewer of its own (RFC 6177, 2): all of them are one client.
        ("2001:db8:1:2::1", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff:ffff:ffff:ffff", "2001:db8:1:2::/64"),
        ("2001:db8:1:3::1", "2001:db8:1:3::/64"),
        ("testclient", "testclient"),
        ("x" * 1000, "x" * 60),
    ],
)
def test_whose_tries_are_counted_together(host, client) -> None:
    assert client_of(Request({"type": "http", "client": (host, 1)})) == client


def test_an_address_that_is_not_known_is_one_client() -> None:
    assert client_of(Request({"type": "http", "client": None})) == ""


def test_guessing_a_passphrase_of_three_plain_words_takes_longer_than_anybody_lives() -> None:
    """Words from a list of 7776 (five dice, common practice, no source), from 1000 addresses."""
    a_year = 1000 * RATES["passphrase"].tries / RATES["passphrase"].seconds * 365 * 86400
    assert 7776**3 / 2 / a_year > 400
