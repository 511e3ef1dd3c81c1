"""Files from an address that the owner typed, and from those that a listing there names.

A listing is somebody else's: it must not make this computer ask the machines around it. So each
address is looked up once, asked only if it is of the open internet or the very server that was
typed, and the connection goes to what was looked up (no second look-up could change it); a redirect
is an address like any other.
"""

from __future__ import annotations

import http.client
import ipaddress
import socket
import ssl
import time
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from threading import Event, Timer
from typing import IO
from urllib.parse import SplitResult, quote, urljoin, urlsplit

from brief import __version__
from brief.errors import InputError, quoted

SILENT_S = 20.0  # that a server may say nothing
MOST_REDIRECTS = 5
AT_ONCE = 2**16  # bytes
LATE = "it took too long"
_REDIRECTS = (301, 302, 303, 307, 308)  # RFC 9110, 15.4
_PORTS = {"https": 443, "http": 80}
_NAT64 = ipaddress.ip_network("64:ff9b::/96")  # RFC 6052, 2.1


class Unfetched(InputError):
    """A file that did not come, and why."""


@dataclass(frozen=True)
class WebPlace:
    """An address that may be asked for. at : its server, as (host, port)."""

    url: str
    scheme: str
    at: tuple[str, int]
    path: str

    @classmethod
    def of(cls, url: str) -> WebPlace:
        """Raises Unfetched for what is no https address, nor an http address of this computer."""
        try:
            parts = urlsplit(url.strip())
            host, port = (parts.hostname or "").rstrip("."), parts.port
        except ValueError:
            parts, host, port = SplitResult("", "", "", "", ""), "", None
        if parts.scheme not in _PORTS or not host or "@" in parts.netloc:
            # Not quoted whole: it could hold a password.
            raise Unfetched("it must be https://HOST/FILE, without a name or password")
        try:
            host = host.encode("idna").decode() if not host.isascii() else host
        except UnicodeError as exc:
            raise Unfetched(f"{quoted(host)} is no name of a server") from exc
        path = quote(parts.path or "/", safe="/%:@!$&'()*+,;=~")
        query = f"?{quote(parts.query, safe='/?%:@!$&()*+,;=~')}" if parts.query else ""
        at = (host, port or _PORTS[parts.scheme])
        return cls(parts._replace(fragment="").geturl(), parts.scheme, at, path + query)

    def joined(self, reference: str) -> WebPlace:
        """What an address in a file at this one means."""
        try:
            joined = urljoin(self.url, reference.strip())
        except ValueError as exc:
            raise Unfetched(f"{quoted(reference)} is no address") from exc
        return WebPlace.of(joined)


def fetch(
    place: WebPlace,
    file: IO[bytes],
    *,
    typed: WebPlace,
    most: int,
    within_s: float,
    stop: Event | None = None,
) -> WebPlace:
    """Write what is at an address into a file, and give where it was at last.

    typed : what the owner typed, whose server may be one of the owner's own. most : bytes.
    within_s : seconds for all of it. stop : ends it from another thread. Raises Unfetched; what was
    written by then is of no use.
    """
    until = time.monotonic() + within_s
    for _ in range(MOST_REDIRECTS + 1):
        further = _fetch(place, file, typed, most, until, stop or Event())
        if further is None:
            return place
        place = place.joined(further)
    raise Unfetched(f"it leads on more than {MOST_REDIRECTS} times")


def _fetch(
    place: WebPlace, file: IO[bytes], typed: WebPlace, most: int, until: float, stop: Event
) -> str | None:
    """Where it leads on to, or None if it came."""
    connection = _Pinned(place, _looked_up(place, typed))
    late = Timer(max(0.0, until - time.monotonic()), connection.cut)
    late.daemon = True
    late.start()
    try:
        with closing(connection):
            connection.request("GET", place.path, headers=_HEADERS)
            answer = connection.getresponse()
            if answer.status in _REDIRECTS:
                return answer.headers.get("Location") or ""
            _take(answer, file, most, stop)
        if connection.was_cut:  # which looks like its end where no length was told
            raise Unfetched(LATE)
        return None
    except Unfetched:
        raise
    except ssl.SSLCertVerificationError as exc:
        raise Unfetched(f"its certificate does not hold: {exc.verify_message}") from exc
    except (OSError, http.client.HTTPException, ValueError) as exc:
        if connection.was_cut:
            raise Unfetched(LATE) from exc
        raise Unfetched(f"the server does not answer as it should: {_plain(exc)}") from exc
    finally:
        late.cancel()


def _take(answer: http.client.HTTPResponse, file: IO[bytes], most: int, stop: Event) -> None:
    if answer.status != 200:
        raise Unfetched(f"the server answers {answer.status} {answer.reason}".rstrip())
    packed = answer.headers.get("Content-Encoding", "identity")
    if packed != "identity":
        raise Unfetched(f"the server sends it packed ({packed[:20]}), which it was asked not to")
    told, came = answer.length, 0
    while some := answer.read(AT_ONCE):
        if stop.is_set():
            raise Unfetched("it was stopped")
        came += len(some)
        if came > most:
            break
        file.write(some)
    if came > most:
        raise Unfetched(f"it is larger than {most / 2**20:.0f} MB")
    if told is not None and came != told:
        raise Unfetched(f"it broke off after {came:,} of {told:,} bytes")


def _looked_up(place: WebPlace, typed: WebPlace) -> str:
    """The one internet address to connect to."""
    host, port = place.at
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as exc:
        raise Unfetched(f"there is no server {quoted(host)}") from exc
    addresses = [str(one[4][0]) for one in found]
    is_here = all(ipaddress.ip_address(_bare(one)).is_loopback for one in addresses)
    if place.scheme == "http" and not is_here:
        raise Unfetched("it is not encrypted; only https is asked")
    if place.at != typed.at and not all(is_open(one) for one in addresses):
        raise Unfetched("it leads to a machine that is not on the open internet")
    return addresses[0]


def is_open(address: str) -> bool:
    """Whether an address is one of the open internet, and none within it that means another.

    >>> [is_open(one) for one in ("93.184.216.34", "10.0.0.1", "::ffff:127.0.0.1", "fe80::1%eth0")]
    [True, False, False, False]
    """
    found = ipaddress.ip_address(_bare(address))
    if isinstance(found, ipaddress.IPv6Address):
        inner = found.ipv4_mapped or found.sixtofour
        if found in _NAT64:
            inner = ipaddress.IPv4Address(int(found) & 0xFFFFFFFF)
        if found.teredo:
            return False
        found = inner or found
    return found.is_global and not found.is_multicast


def _bare(address: str) -> str:
    return address.partition("%")[0]


class _Pinned(http.client.HTTPConnection):
    """A connection to one internet address, whatever its name may come to mean meanwhile."""

    def __init__(self, place: WebPlace, address: str) -> None:
        super().__init__(*place.at, timeout=SILENT_S)
        self.default_port = _PORTS[place.scheme]
        self._address, self._scheme = address, place.scheme
        self._open: socket.socket | None = None  # `sock` is given up once the answer begins
        self.was_cut = False

    def connect(self) -> None:
        """Connect to it, and see over https that it has the name's certificate."""
        self._open = socket.create_connection((self._address, self.port), SILENT_S)
        if self._scheme == "https":
            self._open = _trusted().wrap_socket(self._open, server_hostname=self.host)
        if self.was_cut:  # before there was anything to cut
            self._open.close()
            raise TimeoutError(LATE)
        self.sock = self._open

    def cut(self) -> None:
        """End it from another thread, whatever it waits for."""
        self.was_cut = True
        try:
            if self._open is not None:
                socket.socket.shutdown(self._open, socket.SHUT_RDWR)
        except OSError:
            pass  # it has ended by itself


@cache
def _trusted() -> ssl.SSLContext:
    return ssl.create_default_context()


_HEADERS = {
    "User-Agent": f"luthiers-brief/{__version__}",
    "Accept-Encoding": "identity",
    "Connection": "close",
}


def _plain(exc: Exception) -> str:
    said = getattr(exc, "strerror", None) or str(exc) or type(exc).__name__
    return " ".join(str(said).split())[:200]
