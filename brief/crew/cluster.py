"""A Dask cluster: https://distributed.dask.org, BSD-3, an extra that only this module asks for.

A scheduler unpickles what it is sent, which is to run it, and asks nobody who they are: it is
reached by TLS, where both sides show a certificate, or on this computer.
"""

from __future__ import annotations

import logging
import socket
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from importlib.util import find_spec
from ipaddress import ip_address
from threading import Event
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from brief.crew.same import another_version, carried_out, differences, runs
from brief.errors import CrewLost, InputError, quoted

if TYPE_CHECKING:
    from distributed import Client

INSTALL = f'{sys.executable} -m pip install "distributed>=2024.12"'
LIBRARIES = ("distributed", "numpy", "scipy", "contourpy", "shapely", "pillow", "pillow-heif")
"""What measures, and what carries it there."""
PATIENCE_S = 10.0  # for a scheduler to answer
COUNTED_S = 5.0  # between two counts of the workers
ALONE_S = 60.0  # without a worker: one whose process ended is begun anew within seconds
CERTIFICATES = {
    "ca-file": "DASK_DISTRIBUTED__COMM__TLS__CA_FILE",
    "client.cert": "DASK_DISTRIBUTED__COMM__TLS__CLIENT__CERT",
    "client.key": "DASK_DISTRIBUTED__COMM__TLS__CLIENT__KEY",
}
"""As Dask itself reads them, by the name that each has in its configuration."""


class Cluster:
    """A crew (see `Crew`): the workers of one scheduler. here : what they must run, too."""

    def __init__(self, address: str, client: Client, here: dict[str, str]) -> None:
        self._address, self._client, self._here = address, client, here
        # Never taken for an earlier piece: what was cancelled has the same name until it is gone.
        self._executor = client.get_executor(pure=False)
        self._hands, self._counted_s = 0, 0.0
        self._seen_s = time.monotonic()
        self._ended = Event()

    def hands(self) -> int:
        """See `Crew.hands`."""
        if time.monotonic() - self._counted_s > COUNTED_S:
            self._count()
        return max(self._hands, 1)

    def begin(self, does: Callable[..., Any], given: tuple[Any, ...]) -> Future[Any]:
        """See `Crew.begin`."""
        self._heed_end()  # here, too: nobody looks while one piece after the other is done soon
        future: Future[Any] = self._executor.submit(carried_out, self._here, does, given)
        return future

    def died(self, exc: BaseException | None) -> bool:
        """See `Crew.died`: Dask has tried it on several workers."""
        from distributed import KilledWorker

        return isinstance(exc, KilledWorker)

    def rest(self) -> None:
        """See `Crew.rest`; workers that ended are begun anew by whoever watches them."""

    def look(self) -> None:
        """See `Crew.look`."""
        self._heed_end()
        if self._client.status != "running":
            raise self.lost()
        self._count()
        if time.monotonic() - self._seen_s > ALONE_S:
            raise CrewLost(f"No worker is left at {self._address}. Start one, then try again.")

    def lost(self) -> Exception:
        """See `Crew.lost`."""
        return CrewLost(
            f"The scheduler at {self._address} does not answer any more. Start it again, then try "
            "again."
        )

    def end(self) -> None:
        """Have nothing more begun, and `look` say that nobody is there; from any thread."""
        self._ended.set()

    def _heed_end(self) -> None:
        if self._ended.is_set():
            raise CrewLost("It was ended before it was done.")

    def check(self) -> None:
        """Raises CrewLost unless there is a worker, and all that takes part runs the same."""
        from distributed import TimeoutError as TooLate

        try:
            self._client.wait_for_workers(1, timeout=PATIENCE_S)
        except TooLate as exc:
            raise CrewLost(
                f"The scheduler at {self._address} has no workers. Start one: dask worker "
                f"{self._address}"
            ) from exc
        there = {"The scheduler": _asked(self._client.run_on_scheduler, self._here)}
        by_worker = self._client.run(runs, list(self._here)[2:], on_error="return")
        there |= {f"The worker {who}": told for who, told in by_worker.items()}
        for who, told in there.items():
            if not isinstance(told, dict):
                raise CrewLost(
                    f"{who} does not have this program, or cannot start it. Install the same "
                    "there as here, then start it again."
                )
            if said := differences(self._here, told):
                raise CrewLost(another_version(who, said))

    def _count(self) -> None:
        from distributed import TimeoutError as TooLate

        scheduler: Any = self._client.scheduler
        try:
            threads = self._client.sync(scheduler.ncores, callback_timeout=PATIENCE_S)
        except (OSError, TooLate) as exc:
            raise self.lost() from exc
        self._hands, self._counted_s = sum(threads.values()), time.monotonic()
        if self._hands:
            self._seen_s = self._counted_s


def _asked(run: Callable[..., Any], here: dict[str, str]) -> Any:
    try:
        return run(runs, list(here)[2:])
    except Exception as exc:  # whatever it says where the program is not there
        return exc


@contextmanager
def cluster(address: str, libraries: Iterable[str] = LIBRARIES) -> Iterator[Cluster]:
    """The workers of the scheduler at that address, such as tls://cluster.example:8786.

    libraries : whose versions must be the same. With TLS, Dask’s own configuration says where the
    certificates are (`CERTIFICATES`).

    Raises InputError for an address that is none or that is not safe, or where Dask is not
    installed; CrewLost if nobody answers there, has no workers, or runs another program.
    """
    client = _client(address)
    try:
        crew = Cluster(address, client, runs(libraries))
        crew.check()
        yield crew
    finally:
        client.close(timeout=PATIENCE_S)


def safe_address(address: str) -> tuple[str, int]:
    """Host and port. Raises InputError unless it is reached by TLS, or on this computer, and where
    Dask is not installed.
    """
    try:
        parts = urlsplit(address)
        host, port = parts.hostname, parts.port
    except ValueError:
        parts, host, port = urlsplit(""), None, None
    if parts.scheme not in ("tls", "tcp") or not host or not port or parts.path.strip("/"):
        raise InputError(
            "a scheduler has an address such as tls://cluster.example:8786; got " + quoted(address)
        )
    if parts.scheme == "tcp" and not _is_loopback(host):
        raise InputError(
            f"{address} is not encrypted, and whoever reaches that scheduler can run what they "
            f"like on it. Start it with certificates and use tls://{parts.netloc}; tcp:// is only "
            "for this computer, as tcp://127.0.0.1:8786"
        )
    if find_spec("distributed") is None:
        raise InputError(f"A cluster needs one more package. Install it: {INSTALL}")
    return host, port


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _client(address: str) -> Client:
    host, port = safe_address(address)
    import dask

    # Photographs go with the work: no disk is shared.
    dask.config.set({"distributed.admin.large-graph-warning-threshold": "1 GiB"})
    from distributed import Client, Security

    _hush()
    by_tls = address.startswith("tls:")
    if by_tls:
        _need_certificates()
    try:
        socket.create_connection((host, port), PATIENCE_S).close()
    except OSError as exc:
        raise CrewLost(
            f"Nothing answers at {address} ({exc.strerror or exc}). Start the scheduler, or look "
            "at its address."
        ) from exc
    try:
        security = Security(require_encryption=by_tls)
        return Client(address, security=security, timeout=PATIENCE_S, set_as_default=False)
    except (OSError, ValueError, RuntimeError) as exc:
        speaks = "by TLS with these certificates" if by_tls else "without TLS"
        raise CrewLost(
            f"What answers at {address} is no scheduler that speaks {speaks}. Look at the address, "
            "at how the scheduler was started, and at who signed the certificates."
        ) from exc


def _need_certificates() -> None:
    import dask

    for key, variable in CERTIFICATES.items():
        path = dask.config.get(f"distributed.comm.tls.{key}", None)
        if not path:
            raise InputError(f"tls:// needs certificates: {variable} must name a file (PEM)")
        try:
            open(path, "rb").close()
        except OSError as exc:
            raise InputError(f"{variable}: {path} cannot be read ({exc.strerror or exc})") from exc


def _hush() -> None:
    """What Dask logs, the errors raised here say in other words."""
    for name in list(logging.root.manager.loggerDict):
        if name.partition(".")[0] in ("distributed", "tornado"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
