"""Where the server listens, and what is said when it cannot."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import closing
from types import SimpleNamespace

import pytest

from brief.cli.serve import listening
from brief.cli.serve.listening import Listener, PortTaken
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
    """Its request is there when the server comes to it; a socket that did not listen would refuse
    the connection."""
    listener = Listener.at(LOOPBACK, 0)
    with (
        closing(listener.socket),
        socket.create_connection((LOOPBACK, listener.port), timeout=5) as browser,
    ):
        browser.sendall(b"GET / HTTP/1.1")
        listener.socket.settimeout(5)
        server, _ = listener.socket.accept()
        with closing(server):
            assert server.recv(100) == b"GET / HTTP/1.1"


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
        InputError, match=rf"“{host}” is not an address of this computer.*0\.0\.0\.0"
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


@pytest.fixture
def two_networks(monkeypatch):
    """Two addresses that stand for those of networks: of 127/8 (RFC 1122, 3.2.1.3)."""
    around = ["127.0.0.2", "127.0.0.3"]
    monkeypatch.setattr(listening, "lan_addresses", lambda: around)
    try:
        socket.create_server((around[0], 0)).close()
    except OSError:
        pytest.skip("this system has one loopback address")
    return around


def test_on_the_networks_around_it_has_one_port_for_all(two_networks, monkeypatch):
    monkeypatch.setattr("socket.gethostname", lambda: "bench.workshop.example")
    listener = Listener.on_lan(0)
    with closing(listener):
        port = listener.port
        bound = [one.getsockname() for one in listener.sockets]
        assert bound == [(host, port) for host in (LOOPBACK, *two_networks)]
        assert listener.is_open_to_others
        assert listener.address == f"http://127.0.0.1:{port}/"
        others = tuple(f"http://{host}:{port}/" for host in two_networks)
        assert listener.addresses_for_others == others
        assert listener.address_for_others == others[0]
        names = ("bench.workshop.example", "bench", "bench.local")
        assert listener.hosts == (*two_networks, *names)
    with closing(Listener.at(LOOPBACK, port)):  # all were closed
        pass


def test_a_port_that_is_taken_at_one_of_them_is_taken(two_networks, monkeypatch):
    with socket.create_server((two_networks[1], 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(PortTaken):
            Listener.on_lan(port)
        Listener.at(two_networks[0], port).close()  # what was had before that was let go
        monkeypatch.setattr(listening, "FIRST_PORT", port)
        with closing(Listener.on_lan(None)) as listener:
            assert (listener.port > port, listener.moved) == (True, True)


def test_without_a_network_there_is_nothing_to_listen_at(monkeypatch):
    monkeypatch.setattr(listening, "lan_addresses", lambda: [])
    with pytest.raises(InputError, match=r"no address on a local network.*join the network"):
        Listener.on_lan(0)


def test_only_addresses_of_networks_around_count(monkeypatch):
    """Private: RFC 1918; link-local: RFC 3927. Shared by a provider's lines: RFC 6598."""
    ips = ["203.0.114.9", "100.64.0.9", "127.0.0.1", "169.254.3.4", "192.168.1.9", "10.0.0.5"]
    ips += ["172.32.0.1", "172.31.0.1", ("fd00::2", 0, 0), "172.17.0.1"]
    found = [SimpleNamespace(ips=[SimpleNamespace(ip=ip)]) for ip in ips]
    monkeypatch.setattr("ifaddr.get_adapters", lambda: found)
    monkeypatch.setattr(listening, "_own_address", lambda: "192.168.1.9")
    private = ["192.168.1.9", "10.0.0.5", "172.17.0.1", "172.31.0.1", "169.254.3.4"]
    assert listening.lan_addresses() == private


def test_for_this_computer_alone_there_is_no_address_for_others():
    with closing(Listener.at(LOOPBACK, 0)) as listener:
        assert listener.addresses_for_others == ()
