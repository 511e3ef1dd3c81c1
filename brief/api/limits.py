"""How often one address may do a thing: token buckets, kept in memory.

A bucket holds some tries and fills up evenly; a try beyond it is answered with 429 (RFC 6585, 4)
and Retry-After (RFC 9110, 10.2.3). What is kept is bounded: with too many addresses the one that
was longest quiet is forgotten.
"""

from __future__ import annotations

import ipaddress
import math
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from threading import Lock
from typing import Annotated

from fastapi import Depends, Request

from brief.errors import TooMany

MOST_BUCKETS = 4096
IPV6_PREFIX = 64  # the least a line is given, RFC 6177, 2; all of it is one client


@dataclass(frozen=True)
class Rate:
    """`tries` at once, and as many again in each `seconds`."""

    tries: int
    seconds: float


RATES: Mapping[str, Rate] = {
    "passphrase": Rate(10, 600),
    "token": Rate(20, 600),  # wrong ones of a link that was shared
    "comment": Rate(40, 600),  # of one guest
    "upload": Rate(300, 600),  # a roll of pictures is sent one by one
}


class RateLimits:
    """The buckets of all clients, one for each kind of thing.

    clock : seconds that only go forward.
    """

    def __init__(
        self, rates: Mapping[str, Rate] = RATES, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._rates = rates
        self._clock = clock
        self._buckets: OrderedDict[tuple[str, str], tuple[float, float]] = OrderedDict()
        self._lock = Lock()

    def check(self, kind: str, client: str) -> None:
        """Count one try. Raises TooMany if there is none left."""
        self._take(kind, client, 1)

    def look(self, kind: str, client: str) -> None:
        """Raises TooMany if there is no try left; counts nothing.

        For what only counts when it was wrong: look, then `check` where it was.
        """
        self._take(kind, client, 0)

    def give_back(self, kind: str, client: str) -> None:
        """Count the last try as none, since it was right."""
        with self._lock:
            left, now = self._left(kind, client)
            self._keep(kind, client, min(left + 1, self._rates[kind].tries), now)

    def _take(self, kind: str, client: str, tries: int) -> None:
        with self._lock:
            left, now = self._left(kind, client)
            if left < 1:
                rate = self._rates[kind]
                wait_s = max(1, math.ceil((1 - left) * rate.seconds / rate.tries))
                raise TooMany(
                    f"That was too often from your address. Try again in {_in_words(wait_s)}.",
                    retry_after_s=wait_s,
                )
            if tries:
                self._keep(kind, client, left - tries, now)

    def _left(self, kind: str, client: str) -> tuple[float, float]:
        """How many tries there are now, and what time it is."""
        rate, now = self._rates[kind], self._clock()
        left, at = self._buckets.get((kind, client), (rate.tries, now))
        return min(rate.tries, left + (now - at) * rate.tries / rate.seconds), now

    def _keep(self, kind: str, client: str, left: float, now: float) -> None:
        self._buckets[kind, client] = left, now
        self._buckets.move_to_end((kind, client))
        if len(self._buckets) > MOST_BUCKETS:
            self._buckets.popitem(last=False)


def client_of(request: Request) -> str:
    """Whose tries are counted together: an IPv4 address, or the network of an IPv6 one."""
    host = request.client.host if request.client else ""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:  # a test, or a proxy that writes no address
        return host[:60]
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
