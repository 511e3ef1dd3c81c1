"""To whom a server is opened, and what is asked for then."""

from __future__ import annotations

from contextlib import closing

import pytest

from brief.cli.serve.exposure import THIS_COMPUTER, Proxy, proxy_of, settings_of
from brief.cli.serve.listening import Listener
from brief.errors import InputError


@pytest.mark.parametrize(
    ("name", "origin", "host"),
    [
        ("briefs.example", "https://briefs.example", "briefs.example"),
        ("Briefs.Example:8443", "https://briefs.example:8443", "briefs.example"),
        ("https://briefs.example/", "https://briefs.example", "briefs.example"),
        ("https://briefs.example:443", "https://briefs.example", "briefs.example"),
        ("192.0.2.7", "https://192.0.2.7", "192.0.2.7"),
        ("[2001:db8::7]", "https://[2001:db8::7]", "2001:db8::7"),
    ],
)
def test_a_public_name_is_an_origin(name, origin, host):
    """As browsers write it: RFC 6454, 6.2."""
    proxy = proxy_of(name, THIS_COMPUTER)
    assert (proxy.origin, proxy.host) == (origin, host)


@pytest.mark.parametrize(
    "name",
    [
        "http://briefs.example",
        "briefs.example/x",
        "briefs.example?x",
        "briefs.example:port",
        "me@briefs.example",
        "https://",
        "a b",
        "-x.example",
        "x..example",
        "x_y.example",
        "[2001:db8::7",
    ],
)
def test_what_is_no_name_is_refused_with_an_example(name):
    with pytest.raises(InputError, match=r"is no name of a host; .*--public briefs\.example"):
        proxy_of(name, THIS_COMPUTER)


def test_without_a_name_it_is_the_first_that_the_server_goes_by(monkeypatch):
    monkeypatch.setenv("BRIEF_HOSTS", "briefs.example, other.example")
    assert proxy_of("", THIS_COMPUTER) == Proxy("https://briefs.example", THIS_COMPUTER)
    assert proxy_of(None, "10.0.0.5") == Proxy("https://briefs.example", "10.0.0.5")
    assert proxy_of(None, None) is None


@pytest.mark.parametrize(
    "trusted", ["*", "proxy.example", "", "10.0.0.5,", "0.0.0.0/33", "0.0.0.0/0", "10.0.0.5,::/0"]
)
def test_a_proxy_is_trusted_by_its_address_only(trusted):
    with pytest.raises(InputError, match="is no address of a proxy"):
        proxy_of("briefs.example", trusted)


def test_on_loopback_nothing_is_asked_and_nothing_shown(tmp_path):
    with closing(Listener.at("127.0.0.1", 0)) as listener:
        settings = settings_of(tmp_path, listener, None)
    assert (settings.locked, settings.tls_only, settings.addresses) == (False, False, ())


@pytest.mark.parametrize("host", ["0.0.0.0", "::"])
def test_listening_further_always_locks(tmp_path, host, monkeypatch):
    monkeypatch.setenv("BRIEF_LOCKED", "false")  # it cannot be wished away
    try:
        listener = Listener.at(host, 0)
    except InputError:
        pytest.skip("this computer has no IPv6")
    with closing(listener):
        settings = settings_of(tmp_path, listener, None)
        assert settings.addresses == listener.addresses_for_others
    assert (settings.locked, settings.tls_only) == (True, False)


def test_behind_a_proxy_it_is_locked_and_found_by_the_public_name(tmp_path):
    with closing(Listener.at("127.0.0.1", 0)) as listener:
        settings = settings_of(tmp_path, listener, proxy_of("briefs.example:8443", THIS_COMPUTER))
    assert (settings.locked, settings.tls_only) == (True, True)
    assert settings.addresses == ("https://briefs.example:8443/",)
    assert "briefs.example" in settings.hosts.split(",")
