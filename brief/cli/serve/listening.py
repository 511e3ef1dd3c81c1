"""The address a server listens at, taken before anything slow is begun."""

from __future__ import annotations

import errno
import ipaddress
import socket
from collections.abc import Sequence
from contextlib import ExitStack, closing
from dataclasses import dataclass

from brief.errors import InputError, quoted

FIRST_PORT = 8765
PORTS_TRIED = 20
LOOPBACK = "127.0.0.1"
Socket = socket.socket
SOME_OTHER_HOST = "192.0.2.1"  # kept free for examples (RFC 5737)


class PortTaken(InputError):
    """Another program listens there."""


@dataclass(frozen=True)
class Listener:
    """A socket that listens: a browser that is early waits until the app answers."""

    socket: Socket
    asked: str  # the host, as it was given
    moved: bool  # the usual port was taken
    around: tuple[Socket, ...] = ()  # on the networks around, the best for others first

    @classmethod
    def at(cls, host: str, port: int | None) -> Listener:
        """Listen at `host` and `port`; without a port at 8765, or the next one that is free.

        Raises InputError if that cannot be done.
        """
        return cls._at([host], port)

    @classmethod
    def on_lan(cls, port: int | None) -> Listener:
        """Listen for this computer, and at its addresses on the networks around it.

        Raises InputError if that cannot be done, or if it has no such address.
        """
        around = lan_addresses()
        if not around:
            raise InputError.at(
                "lan",
                "this computer has no address on a local network at this moment; join the "
                "network that the phone is on, and start again",
            )
        return cls._at([LOOPBACK, *around], port)

    @classmethod
    def _at(cls, hosts: Sequence[str], port: int | None) -> Listener:
        if port is not None:
            first, *others = _listen_at_each(hosts, port)
            return cls(first, hosts[0], moved=False, around=tuple(others))
        for tried in range(FIRST_PORT, FIRST_PORT + PORTS_TRIED):
            try:
                first, *others = _listen_at_each(hosts, tried)
            except PortTaken:
                continue
            return cls(first, hosts[0], moved=tried != FIRST_PORT, around=tuple(others))
        raise PortTaken.at(
            "port",
            f"the ports {FIRST_PORT} to {FIRST_PORT + PORTS_TRIED - 1} are all taken; "
            "choose another one with --port",
        )

    @property
    def sockets(self) -> list[Socket]:
        """All sockets it listens at."""
        return [self.socket, *self.around]

    def close(self) -> None:
        """Close all sockets."""
        for one in self.sockets:
            one.close()

    @property
    def port(self) -> int:
        """The port of its first socket."""
        port: int = self.socket.getsockname()[1]
        return port

    @property
    def is_open_to_others(self) -> bool:
        """Whether other devices can reach it."""
        return bool(self.around) or not _host(self.socket).is_loopback

    @property
    def address(self) -> str:
        """Where a browser on this computer finds it."""
        host = _host(self.socket)
        if host.is_unspecified:  # every address of this computer
            return self._url(LOOPBACK if host.version == 4 else "[::1]")
        return self._url(str(host) if host.version == 4 else f"[{host}]")

    @property
    def address_for_others(self) -> str:
        """Where another device on the network finds it."""
        if self.around:
            return self._url(str(_host(self.around[0])))
        return self._url(_own_address()) if _host(self.socket).is_unspecified else self.address

    @property
    def addresses_for_others(self) -> tuple[str, ...]:
        """All that are known, the best first; none where nothing listens for others."""
        if not self.is_open_to_others:
            return ()
        return self.address_for_others, *(self._url(str(_host(one))) for one in self.around[1:])

    @property
    def hosts(self) -> tuple[str, ...]:
        """What browsers may call it by: as it was asked for, or anything this computer goes by."""
        host = _host(self.socket)
        if not self.around and not host.is_unspecified:
            return self.asked, str(host)
        name = socket.gethostname()
        short = name.partition(".")[0]
        around = [str(_host(one)) for one in self.around] or [str(host)]
        return *around, name, short, f"{short}.local"  # multicast DNS, RFC 6762

    def _url(self, host: str) -> str:
        return f"http://{host}:{self.port}/"


def lan_addresses() -> list[str]:
    """The IPv4 addresses of this computer that cannot be reached from beyond its own networks.

    That of the way out comes first. What counts is kept in IANA's registry of special-purpose
    addresses (RFC 6890), which `ipaddress` follows: mostly those of RFC 1918.
    """
    import ifaddr

    found = {
        address
        for adapter in ifaddr.get_adapters()
        for one in adapter.ips
        if isinstance(one.ip, str)  # IPv6 comes with a scope; a phone on a LAN has IPv4, too
        and (address := ipaddress.IPv4Address(one.ip)).is_private
        and not address.is_loopback
    }
    out = _own_address()
    return [
        str(address)
        for address in sorted(found, key=lambda one: (str(one) != out, one.is_link_local, one))
    ]


def _host(one: Socket) -> ipaddress.IPv4Address | ipaddress.IPv6Address:
    return ipaddress.ip_address(one.getsockname()[0])


def _listen_at_each(hosts: Sequence[str], port: int) -> list[Socket]:
    """One socket for each host, all at one port; none if one of them cannot be had."""
    with ExitStack() as on_failure:
        sockets: list[Socket] = []
        for host in hosts:
            one = _listen(host, port)
            on_failure.enter_context(closing(one))
            sockets.append(one)
            port = one.getsockname()[1]  # of port 0, any that is free
        on_failure.pop_all()
    return sockets


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
            f"{quoted(host)} is not an address of this computer, so nothing can listen there; "
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
