"""How often one client may do a thing: token buckets, on the slate of all processes of a home.

A bucket holds some tries and fills up evenly; a try beyond it is answered with 429 (RFC 6585, 4)
and Retry-After (RFC 9110, 10.2.3). What is kept is bounded: of too many clients of one kind the
one that was longest quiet is forgotten. One that is full again is not kept. Who it is, is kept as
a digest, since it may be an address or the mark of a browser.
"""

from __future__ import annotations

import hashlib
import ipaddress
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from sqlalchemy import ColumnElement, Connection, delete, func, insert, select, update

from brief.errors import TooMany
from brief.store.databases.slate import TRIES, Slate

MOST_BUCKETS = 4096  # of each kind, so that none can push out another
IPV6_PREFIX = 64  # the least a line is given, RFC 6177, 2; all of it is one client
NO_ADDRESS = "no address"


@dataclass(frozen=True)
class Rate:
    """`tries` at once, and as many again in each `seconds`; `refusal` is said beyond that."""

    tries: int
    seconds: float
    refusal: str = "Too many tries from your address."


RATES: Mapping[str, Rate] = {
    "passphrase": Rate(10, 600),
    "token": Rate(20, 600),  # wrong ones of a link that was shared
    "upload": Rate(300, 600),  # a roll of pictures is sent one by one
    "sheet": Rate(12, 600, "Too many sheets by this link."),  # seconds of work each
    # What guests say. A browser is told by a cookie that is cheaply forged, so the sums of a link
    # at one address (the wifi of a hall), of an address and of a link hold, too.
    "comment": Rate(40, 600, "Too many comments from this browser."),
    "link at address": Rate(1000, 600, "Too many comments by this link from your address."),
    "address": Rate(2000, 600, "Too many comments from your address."),
    "link": Rate(4000, 600, "Too many comments by this link."),
}


class RateLimits:
    """The buckets of all clients, one for each kind of thing.

    clock : seconds that only go forward; that of the slate if none is given. slate : says where
    they are now; if it is not given they are in memory, of this process alone.
    """

    def __init__(
        self,
        rates: Mapping[str, Rate] = RATES,
        clock: Callable[[], float] | None = None,
        slate: Callable[[], Slate] | None = None,
    ) -> None:
        self._rates = rates
        self._clock = clock
        own = Slate()  # opens nothing until it is looked at
        self._slate = slate or (lambda: own)

    def check(self, kind: str, client: str) -> None:
        """Count one try. Raises TooMany if there is none left."""
        self.check_all({kind: client})

    def check_all(self, clients: Mapping[str, str]) -> None:
        """Count one try of the client of each kind; none of them, with TooMany, if one of them
        has none left.
        """
        slate = self._slate()
        with slate.turn() as turn:
            now = self._now(slate, turn)
            found = {kind: self._left(turn, kind, client, now) for kind, client in clients.items()}
            waits = {kind: self._wait_s(kind, left) for kind, left in found.items()}
            longest = max(waits, key=lambda kind: waits[kind])
            if waits[longest]:
                raise TooMany(
                    f"{self._rates[longest].refusal} Try again in {_in_words(waits[longest])}.",
                    retry_after_s=waits[longest],
                )
            for kind, left in found.items():
                self._keep(turn, kind, clients[kind], left - 1, now)

    def give_back(self, kind: str, client: str) -> None:
        """Count the last try as none, since it was right."""
        slate = self._slate()
        with slate.turn() as turn:
            now = self._now(slate, turn)
            left = self._left(turn, kind, client, now) + 1
            self._keep(turn, kind, client, min(left, self._rates[kind].tries), now)

    def _now(self, slate: Slate, turn: Connection) -> float:
        return self._clock() if self._clock else slate.now_s(turn)

    def _wait_s(self, kind: str, left: float) -> int:
        """In how many seconds there is a try; 0 if there is one now."""
        rate = self._rates[kind]
        return 0 if left >= 1 else max(1, math.ceil((1 - left) * rate.seconds / rate.tries))

    def _left(self, turn: Connection, kind: str, client: str, now: float) -> float:
        """How many tries there are now."""
        rate = self._rates[kind]
        row = turn.execute(
            select(TRIES.c.tries_left, TRIES.c.at_s).where(*_of(kind, client))
        ).one_or_none()
        if row is None:
            return rate.tries
        tries_left, at_s = row
        passed = max(0.0, now - at_s)  # a clock that was put back gives nothing
        now_left: float = min(rate.tries, tries_left + passed * rate.tries / rate.seconds)
        return now_left

    def _keep(self, turn: Connection, kind: str, client: str, left: float, now: float) -> None:
        kept = {"tries_left": left, "at_s": now}
        if turn.execute(update(TRIES).where(*_of(kind, client)).values(kept)).rowcount:
            return
        turn.execute(insert(TRIES).values(kind=kind, client=_digest(client), **kept))
        full_again = now - self._rates[kind].seconds
        turn.execute(delete(TRIES).where(TRIES.c.kind == kind, TRIES.c.at_s < full_again))
        of_kind = select(func.count()).select_from(TRIES).where(TRIES.c.kind == kind)
        if (turn.scalar(of_kind) or 0) > MOST_BUCKETS:
            first = select(func.min(TRIES.c.at_s)).where(TRIES.c.kind == kind).scalar_subquery()
            turn.execute(delete(TRIES).where(TRIES.c.kind == kind, TRIES.c.at_s == first))


def _of(kind: str, client: str) -> tuple[ColumnElement[bool], ...]:
    return TRIES.c.kind == kind, TRIES.c.client == _digest(client)


def _digest(client: str) -> str:
    return hashlib.sha256(client.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def client_of(request: Request) -> str:
    """Whose tries are counted together: an IPv4 address, or the network of an IPv6 one.

    All that give no address are one client: behind a proxy that passes on what it was sent, anybody
    could make up another name for each try.
    """
    host = request.client.host if request.client else ""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return NO_ADDRESS
    if isinstance(address, ipaddress.IPv4Address):
        return str(address)
    if address.ipv4_mapped:
        return str(address.ipv4_mapped)
    return str(ipaddress.ip_network((int(address), IPV6_PREFIX), strict=False))


def _limits(request: Request) -> RateLimits:
    limits: RateLimits = request.app.state.limits
    return limits


Limits = Annotated[RateLimits, Depends(_limits)]
Client = Annotated[str, Depends(client_of)]


def _in_words(seconds: int) -> str:
    if seconds < 90:
        return f"{seconds} seconds" if seconds > 1 else "a second"
    return f"{math.ceil(seconds / 60)} minutes"
