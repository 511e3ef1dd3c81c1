"""The address a server listens at, taken before anything slow is begun."""

from __future__ import annotations

import errno
import ipaddress
import socket
from dataclasses import dataclass

from brief.errors import InputError

FIRST_PORT = 8765
PORTS_TRIED = 20
SOME_OTHER_HOST = "192.0.2.1"  # kept free for examples (RFC 5737)


class PortTaken(InputError):
    """Another program listens there."""


@dataclass(frozen=True)
class Listener:
    """A socket that listens: a browser that is early waits until the app answers."""

    socket: socket.socket
    asked: str  # the host, as it was given
    moved: bool  # the usual port was taken

    @classmethod
    def at(cls, host: str, port: int | None) -> Listener:
        """Listen at `host` and `port`; without a port at 8765, or the next one that is free.

        Raises InputError if that cannot be done.
        """
        if port is not None:
            return cls(_listen(host, port), host, moved=False)
        for tried in range(FIRST_PORT, FIRST_PORT + PORTS_TRIED):
            try:
                return cls(_listen(host, tried), host, moved=tried != FIRST_PORT)
            except PortTaken:
                continue
        raise PortTaken.at(
            "port",
            f"the ports {FIRST_PORT} to {FIRST_PORT + PORTS_TRIED - 1} are all taken; "
            "choose another one with --port",
        )

    @property
    def port(self) -> int:
        port: int = self.socket.getsockname()[1]
        return port

    @property
    def is_open_to_others(self) -> bool:
        return not self._host.is_loopback

    @property
    def address(self) -> str:
        """Where a browser on this computer finds it."""
        if self._host.is_unspecified:  # every address of this computer
            return self._url("127.0.0.1" if self._host.version == 4 else "[::1]")
        return self._url(str(self._host) if self._host.version == 4 else f"[{self._host}]")

    @property
    def address_for_others(self) -> str:
        """Where another device on the network finds it."""
        return self._url(_own_address()) if self._host.is_unspecified else self.address

    @property
    def hosts(self) -> tuple[str, ...]:
        """What browsers may call it by: as it was asked for, or anything this computer goes by."""
        if not self._host.is_unspecified:
            return self.asked, str(self._host)
        name = socket.gethostname()
        short = name.partition(".")[0]
        return str(self._host), name, short, f"{short}.local"  # multicast DNS, RFC 6762

    @property
    def _host(self) -> ipaddress.IPv4Address | ipaddress.IPv6Address:
        return ipaddress.ip_address(self.socket.getsockname()[0])

    def _url(self, host: str) -> str:
        return f"http://{host}:{self.port}/"


def _listen(host: str, port: int) -> socket.socket:
    try:
        family, *_, where = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        return socket.create_server(where, family=family)
    except (OSError, UnicodeError) as exc:
        if isinstance(exc, OSError) and exc.errno in (errno.EADDRINUSE, errno.EACCES):
            raise PortTaken.at(
                "port",
                f"port {port} is taken, by another program or by the system; "
                "stop that program, or choose another port with --port",
            ) from exc
        raise InputError.at(
            "host",
            f"{host!r} is not an address of this computer, so nothing can listen there; "
            "leave --host out, or give 0.0.0.0 for every address it has",
        ) from exc


def _own_address() -> str:
    """This computer's address on its network, or its name. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect((SOME_OTHER_HOST, 9))
        except OSError:
            return socket.gethostname()
        own: str = probe.getsockname()[0]
        return own
