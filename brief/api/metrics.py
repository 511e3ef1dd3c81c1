"""What is counted of requests, as OpenMetrics 1.0 writes it (openmetrics.io), by prometheus_client.

With PROMETHEUS_MULTIPROC_DIR, which `brief serve --processes` sets, all processes count together:
whichever is asked answers for all. It is loaded only where it is asked for.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from brief.errors import InputError

if TYPE_CHECKING:
    from prometheus_client.metrics_core import Metric

SHARED = "PROMETHEUS_MULTIPROC_DIR"
INSTALL = 'pip install "luthiers-brief[metrics]"'
BOUNDS_S = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)


class Metrics:
    """The numbers of this process, or of all. Raises InputError where the package is missing."""

    def __init__(self) -> None:
        try:
            from prometheus_client import CollectorRegistry, Histogram
            from prometheus_client.multiprocess import MultiProcessCollector
        except ImportError as exc:
            raise InputError(
                f"counting requests needs one more package, which is not installed: {INSTALL}"
            ) from exc
        own = CollectorRegistry()
        self._answers = Histogram(
            "brief_answer_seconds",
            "How long an answer took, by method, template of the address and status.",
            ["method", "route", "status"],
            buckets=BOUNDS_S,
            registry=own,
        )
        self._registry = own
        if SHARED in os.environ:
            self._registry = CollectorRegistry()
            MultiProcessCollector(self._registry)  # type: ignore[no-untyped-call]

    def count(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count one answer. A method that nobody knows is not written down: it could be any."""
        known = method if method in _METHODS else "other"
        self._answers.labels(known, route, str(status)).observe(seconds)

    def text(self, jobs: Mapping[str, int]) -> tuple[str, str]:
        """All numbers, and the media type they are written in. jobs : of the studio, by state."""
        from prometheus_client import CollectorRegistry
        from prometheus_client.metrics_core import GaugeMetricFamily
        from prometheus_client.openmetrics.exposition import (
            CONTENT_TYPE_LATEST,
            generate_latest,
        )

        class Jobs:
            def collect(self) -> Iterable[Metric]:
                """The studio's jobs now."""
                now = GaugeMetricFamily(
                    "brief_studio_jobs", "Studio pictures under way.", labels=["state"]
                )
                for state, count in jobs.items():
                    now.add_metric([state], count)
                yield now

        whole = CollectorRegistry()
        whole.register(self._registry)
        whole.register(Jobs())
        written: bytes = generate_latest(whole)  # type: ignore[no-untyped-call]
        return written.decode(), CONTENT_TYPE_LATEST


_METHODS = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"}
