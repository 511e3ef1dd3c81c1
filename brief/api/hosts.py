"""The names this server goes by: what a request is meant for must be one of them.

Any site can point a name of its own at this computer (DNS rebinding); its pages would then count
as ours in a browser, and could read and write everything. It cannot do that to an address, nor to
a name that is not its own.
"""

from __future__ import annotations

import ipaddress
import re

_HOST = re.compile(r"(?:\[([^\[\]]+)\]|([^\[\]:]+))(?::\d*)?")  # RFC 9110, 7.2; RFC 3986, 3.2.2

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


class Hosts:
    """This computer's own loopback names, and `others`: names and addresses between commas.

    With 0.0.0.0 or :: among the others, which stand for every address, any address is one.
    """

    def __init__(self, others: str = "") -> None:
        named = {name.strip().lower() for name in others.split(",")} - {""}
        self._addresses = {address for name in named if (address := _address(name))}
        self._names = {"localhost"} | {name for name in named if not _address(name)}
        self._any_address = any(address.is_unspecified for address in self._addresses)

    def include(self, host: str) -> bool:
        """Whether `host`, as a Host header has it, is one of these."""
        parts = _HOST.fullmatch(host)
        if parts is None:
            return False
        in_brackets, name = parts.groups()
        address = _address(in_brackets or name)
        if address is None:
            return in_brackets is None and name.lower().removesuffix(".") in self._names
        return address.is_loopback or self._any_address or address in self._addresses


def _address(text: str) -> Address | None:
    try:
        return ipaddress.ip_address(text)
    except ValueError:
        return None
