"""Where the server listens, and what is said when it cannot."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import closing

import pytest

from brief.cli import listening
from brief.cli.listening import Listener, PortTaken
from brief.errors import InputError

LOOPBACK = "127.0.0.1"


@pytest.fixture
def taken() -> Iterator[int]:
    """A port that another program listens at."""
    with socket.create_server((LOOPBACK, 0)) as other:
        yield other.getsockname()[1]


def test_a_port_that_was_asked_for_is_that_port_or_refused(taken):
    with pytest.raises(PortTaken, match=rf"port {taken} is taken.*choose another port") as caught:
        Listener.at(LOOPBACK, taken)
    assert caught.value.faults[0].pointer == "/port"


def test_without_a_wish_the_next_free_port_is_taken(taken, monkeypatch):
    monkeypatch.setattr(listening, "FIRST_PORT", taken)
    listener = Listener.at(LOOPBACK, None)
    with closing(listener.socket):
        assert taken < listener.port < taken + listening.PORTS_TRIED
        assert listener.moved


def test_when_none_is_free_the_ports_tried_are_named(taken, monkeypatch):
    monkeypatch.setattr(listening, "FIRST_PORT", taken)
    monkeypatch.setattr(listening, "PORTS_TRIED", 1)
    with pytest.raises(PortTaken, match=rf"the ports {taken} to {taken} are all taken.*--port"):
        Listener.at(LOOPBACK, None)


def test_port_0_is_any_port_that_is_free():
    listener = Listener.at(LOOPBACK, 0)
    with closing(listener.socket):
        assert listener.port > 0
        assert not listener.moved
        assert listener.address == f"http://127.0.0.1:{listener.port}/"
        assert listener.address_for_others == listener.address
        assert not listener.is_open_to_others


def test_a_browser_that_is_early_is_kept_waiting():
    listener = Listener.at(LOOPBACK, 0)
    with closing(listener.socket), socket.create_connection((LOOPBACK, listener.port), timeout=5):
        pass


def test_every_address_of_this_computer_is_open_to_others():
    listener = Listener.at("0.0.0.0", 0)
    with closing(listener.socket):
        assert listener.is_open_to_others
        assert listener.address == f"http://127.0.0.1:{listener.port}/"
        assert listener.address_for_others.endswith(f":{listener.port}/")
        assert "0.0.0.0" not in listener.address_for_others


def test_an_ipv6_address_is_written_in_brackets():
    """RFC 3986, 3.2.2."""
    try:
        listener = Listener.at("::1", 0)
    except InputError:
        pytest.skip("this computer has no IPv6")
    with closing(listener.socket):
        assert listener.address == f"http://[::1]:{listener.port}/"
        assert not listener.is_open_to_others


# 192.0.2.0/24 is kept free for examples (RFC 5737); 256 is no part of an address; an empty label
# is no part of a name.
@pytest.mark.parametrize("host", ["192.0.2.77", "256.1.1.1", "a..b", ""])
def test_an_address_of_another_computer_is_refused(host):
    with pytest.raises(
        InputError, match=rf"'{host}' is not an address of this computer.*0\.0\.0\.0"
    ):
        Listener.at(host, 0)


def test_it_goes_by_the_name_it_was_asked_for():
    listener = Listener.at("localhost", 0)
    with closing(listener.socket):
        assert listener.hosts == ("localhost", listener.socket.getsockname()[0])


def test_everywhere_it_goes_by_every_address_and_this_computers_names(monkeypatch):
    monkeypatch.setattr("socket.gethostname", lambda: "bench.workshop.example")
    listener = Listener.at("0.0.0.0", 0)
    with closing(listener.socket):
        assert listener.hosts == ("0.0.0.0", "bench.workshop.example", "bench", "bench.local")
