"""A Dask cluster does the same work with the same results, and says what is wrong with it."""

from __future__ import annotations

import io
import os
import signal
import socket
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

pytest.importorskip("distributed")

import trustme
from dask import config

from brief.crew.cluster import cluster, safe_address
from brief.crew.crew import WorkDone, WorkPiece, results
from brief.crew.processes import Processes
from brief.errors import BriefError, CrewLost
from brief.services.stock.filling.board_photo import look_at_board
from tests.dask_site import PATIENCE_S, Site, free_port

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="kills by a signal"),
]


@pytest.fixture(scope="module")
def by_tcp() -> Iterator[Site]:
    with Site("tcp") as site:
        # What ends a worker is not tried on three more.
        site.start(DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES="0").wait_for(2)
        yield site


def _answers(address: str) -> None:
    """Until it is listened there."""
    host, port = safe_address(address)
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        try:
            return socket.create_connection((host, port), 1).close()
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"nothing listens at {address}")


def refused(address: str, said: str) -> None:
    with pytest.raises(BriefError) as told, cluster(address):
        pass
    assert said in str(told.value)


def drawn(count: int) -> list[WorkPiece]:
    # NumPy, NEP 19: the stream of a seed sequence is the same everywhere.
    said = "__import__('numpy').random.default_rng(({}, 7)).normal(size=50).tobytes()"
    return [WorkPiece(str(number), (said.format(number),)) for number in range(count)]


def by_name(done: Iterator[WorkDone]) -> dict[str, Any]:
    return {one.name: "died" if one.died else one.result for one in done}


def test_the_same_comes_of_it_and_what_kills_its_worker_fails_alone(by_tcp: Site) -> None:
    pieces = drawn(8)
    given = [*pieces[:3], WorkPiece("dies", ("__import__('os')._exit(3)",)), *pieces[3:]]
    alone = {piece.name: eval(*piece.given) for piece in pieces}
    with cluster(by_tcp.address) as crew:
        done = by_name(results(crew, eval, given))
    assert done.pop("dies") == "died"
    assert done == alone == by_name(results(Processes(1), eval, pieces))


def test_photographs_are_measured_there_as_here_to_the_last_bit(by_tcp: Site) -> None:
    rng = np.random.default_rng(3)
    pieces = []
    for number, colour in enumerate(((92, 64, 44), (220, 194, 154))):
        streaks = np.repeat(colour + rng.normal(0, 3, (80, 1, 3)), 120, axis=1)
        taken = io.BytesIO()
        Image.fromarray(np.clip(streaks, 0, 255).astype(np.uint8)).save(taken, "PNG")
        data = taken.getvalue()
        pieces.append(WorkPiece(f"{number}.png", (f"{number}.png", "", data, bool(number))))
    here = by_name(results(Processes(1), look_at_board, pieces))
    with cluster(by_tcp.address) as crew:
        assert by_name(results(crew, look_at_board, pieces)) == here
    assert all(one.measured and not one.reason for one in here.values())


def test_a_worker_that_is_killed_loses_nothing(by_tcp: Site) -> None:
    with cluster(by_tcp.address) as crew:
        done = set()
        for one in results(
            crew, eval, [WorkPiece("pid", ("__import__('os').getpid()",)), *drawn(10)]
        ):
            done.add(one.name)
            assert not one.died
            if one.name == "pid":
                os.kill(one.result, signal.SIGKILL)
    assert len(done) == 11


def test_who_stops_listening_cancels_the_rest(by_tcp: Site, tmp_path: Path) -> None:
    begun = [
        WorkPiece(str(n), (f"open({str(tmp_path / str(n))!r}, 'w').close()",)) for n in range(50)
    ]
    with cluster(by_tcp.address) as crew:
        coming = results(crew, eval, begun)
        next(coming)
        coming.close()
    with cluster(by_tcp.address) as crew:  # and the next has its own
        assert by_name(results(crew, eval, drawn(2))).keys() == {"0", "1"}
    assert len([*tmp_path.iterdir()]) < 10


def test_by_tls_with_certificates(tmp_path: Path) -> None:
    ca = trustme.CA()
    issued, words = ca.issue_cert("127.0.0.1"), []
    ca.cert_pem.write_to_path(tmp_path / "ca.pem")
    issued.private_key_pem.write_to_path(tmp_path / "key.pem")
    for one in issued.cert_chain_pems:
        one.write_to_path(tmp_path / "cert.pem", append=True)
    told = {"ca-file": "ca.pem", "client.cert": "cert.pem", "client.key": "key.pem"}
    for flag, name in (("ca-file", "ca"), ("cert", "cert"), ("key", "key")):
        words += [f"--tls-{flag}", str(tmp_path / f"{name}.pem")]
    with Site("tls", words) as site:
        site.start(workers=1)
        refused(site.address, "tls:// needs certificates: DASK_DISTR")
        with config.set({f"distributed.comm.tls.{key}": str(tmp_path / told[key]) for key in told}):
            site.wait_for(1)
            with cluster(site.address) as crew:
                assert by_name(results(crew, eval, drawn(3))) == {
                    piece.name: eval(*piece.given) for piece in drawn(3)
                }
            refused(site.address.replace("tls", "tcp"), "no scheduler that speaks without TLS")
        trustme.CA().cert_pem.write_to_path(tmp_path / "another.pem")
        told["ca-file"] = "another.pem"
        with config.set({f"distributed.comm.tls.{key}": str(tmp_path / told[key]) for key in told}):
            refused(site.address, "who signed the certificates")


def test_a_scheduler_that_goes_is_said(tmp_path: Path) -> None:
    with Site("tcp") as site:
        site.start(workers=1).wait_for(1)
        with cluster(site.address) as crew:
            coming = results(crew, eval, drawn(40))
            next(coming)
            assert site.scheduler is not None
            site.scheduler.kill()
            with pytest.raises(CrewLost, match="does not answer any more"):
                list(coming)


def test_who_lacks_this_program_or_has_another_is_refused(tmp_path: Path, monkeypatch) -> None:
    with Site("tcp") as site:
        # A package of that name which is another: as an earlier release is.
        (tmp_path / "brief").mkdir()
        (tmp_path / "brief" / "__init__.py").write_text("")
        site.start(workers=0)
        _answers(site.address)
        monkeypatch.setattr("brief.crew.cluster.PATIENCE_S", 2.0)
        refused(site.address, "has no workers. Start one: dask worker")
        monkeypatch.undo()
        lacking = site.worker(PYTHONPATH=str(tmp_path))
        site.wait_for(1)
        refused(site.address, " does not have this program")
        lacking.terminate()
        lacking.wait()
        site.worker()
        site.wait_for(1)
        monkeypatch.setattr("brief.__version__", "99")
        refused(site.address, " (here 99 ")


def test_a_worker_that_comes_later_with_another_version_is_refused(by_tcp: Site) -> None:
    with cluster(by_tcp.address) as crew:
        crew._here = {**crew._here, "numpy": "0.1"}
        with pytest.raises(CrewLost, match=r"numpy .* \(here 0.1\)"):
            [*results(crew, eval, drawn(2))]


def test_a_scheduler_that_is_not_there_is_said() -> None:
    refused(f"tcp://127.0.0.1:{free_port()}", "Nothing answers at tcp://127.0.0.1")
