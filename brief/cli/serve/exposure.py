"""To whom a server is opened: this computer, the network around it, or the world behind TLS."""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from brief.cli.serve.listening import Listener
from brief.errors import InputError, quoted
from brief.settings import Settings, settings_at

THIS_COMPUTER = "127.0.0.1,::1"
_LABEL = "[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?"  # RFC 1123, 2.1
_NAME = re.compile(rf"({_LABEL}\.)*{_LABEL}")

HOW_TO_PUBLISH = (
    "say under which name it is found, as in: brief serve --public briefs.example --behind-proxy"
)


@dataclass(frozen=True)
class Proxy:
    """A proxy that ends TLS before this server.

    origin : how browsers call it, "https://briefs.example". trusted : the proxy's own addresses or
    networks, between commas; what others say in X-Forwarded-For and -Proto is not heeded.
    """

    origin: str
    trusted: str

    @property
    def host(self) -> str:
        """The host name of its origin."""
        return urlsplit(self.origin).hostname or ""


def proxy_of(name: str | None, trusted: str | None) -> Proxy | None:
    """The proxy of `--public NAME` and `--behind-proxy ADDRESSES`; None if neither was said.

    name : "" stands for the first of BRIEF_HOSTS. Raises InputError if only one of them was said,
    or if one cannot be used.
    """
    if name is None and trusted is None:
        return None
    if trusted is None:
        raise InputError.at(
            "public",
            "open to the world, this would send your passphrase and your briefs in the clear, so "
            "it is not started. Put a proxy that handles https before it, and say so with "
            "--behind-proxy; on your own network, --lan is meant for that",
        )
    return Proxy(_origin(name or Settings().hosts.partition(",")[0].strip()), _checked(trusted))


def settings_of(home: Path | None, listener: Listener, proxy: Proxy | None) -> Settings:
    """The settings of a server that listens there."""
    settings = settings_at(home)
    named = [settings.hosts, *listener.hosts, *([proxy.host] if proxy else [])]
    return settings.model_copy(
        update={
            "hosts": ",".join(named),
            "locked": settings.locked or listener.is_open_to_others or proxy is not None,
            "tls_only": settings.tls_only or proxy is not None,
            "addresses": (f"{proxy.origin}/",) if proxy else listener.addresses_for_others,
        }
    )


def _origin(name: str) -> str:
    """ "briefs.example", with a port or https:// before it if that must be, as an origin."""
    if not name:
        raise InputError.at("public", HOW_TO_PUBLISH)
    try:
        parts = urlsplit(name if "://" in name else f"https://{name}")
        port = parts.port
    except ValueError:
        parts, port = urlsplit(""), None
    host = parts.hostname or ""
    extra = parts.path.strip("/") or parts.query or parts.fragment or parts.username
    if parts.scheme != "https" or extra or not (_is_address(host) or _NAME.fullmatch(host)):
        raise InputError.at("public", f"{quoted(name)} is no name of a host; {HOW_TO_PUBLISH}")
    shown = f"[{host}]" if ":" in host else host
    return f"https://{shown}" + (f":{port}" if port not in (None, 443) else "")


def _checked(trusted: str) -> str:
    for one in trusted.split(","):
        if not _is_network(one.strip()):
            raise InputError.at(
                "behind-proxy",
                f"{quoted(one.strip())} is no address of a proxy; give addresses or networks, "
                "such as 10.0.0.5,10.1.0.0/16, or nothing if the proxy runs on this computer",
            )
    return trusted


def _is_network(text: str) -> bool:
    """Whether it names some addresses, but not every address there is."""
    try:
        return ipaddress.ip_network(text, strict=False).prefixlen > 0
    except ValueError:
        return False


def _is_address(text: str) -> bool:
    try:
        ipaddress.ip_address(text)
    except ValueError:
        return False
    return True
