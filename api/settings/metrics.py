"""What the service tells a Prometheus server about itself, at GET /metrics."""

import os
from pathlib import Path

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, generate_latest
from prometheus_client.exposition import CONTENT_TYPE_LATEST
from prometheus_client.multiprocess import MultiProcessCollector, mark_process_dead

from solver import Answer

_SECONDS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 30, 60, 300)
_KNOWN_METHODS = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"}
METRICS_TYPE = CONTENT_TYPE_LATEST
FOLDER = "PROMETHEUS_MULTIPROC_DIR"  # read by prometheus_client as it is imported


class Metrics:
    """The figures of one app."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self.requests = Histogram(
            "kitwright_request_seconds",
            "Seconds from a request to the end of its answer; status 499 = the caller hung up",
            ("method", "route", "status"),
            buckets=_SECONDS,
            registry=self.registry,
        )
        self.solves = Histogram(
            "kitwright_solve_seconds",
            "Seconds of work on an answer, all its solves together, without waiting",
            ("outcome",),
            buckets=_SECONDS,
            registry=self.registry,
        )
        self.considered = Counter(
            "kitwright_tools_considered", "Number of tools that a trip could choose from", registry=self.registry
        )
        self.set_aside = Counter(
            "kitwright_tools_set_aside",
            "Number of tools that reductions removed before a solve",
            registry=self.registry,
        )
        self.refused = Counter("kitwright_busy", "Requests refused because too many waited", registry=self.registry)
        self.recalled = Counter("kitwright_recalled", "Questions answered from memory", registry=self.registry)
        self.waiting = self.gauge("kitwright_solves_waiting", "Answers that wait to be worked on")
        self.running = self.gauge("kitwright_solves_running", "Answers that are worked on")

        self.jobs_running = self.gauge("kitwright_jobs_running", "Jobs that are worked on")
        self.jobs_queued = Gauge(
            "kitwright_jobs_queued",
            "Jobs in the store that wait for a worker",
            registry=self.registry,
            multiprocess_mode="livemostrecent",
        )
        self.jobs = Counter("kitwright_jobs", "Jobs ended, by how", ("state",), registry=self.registry)

    def gauge(self, name: str, meaning: str) -> Gauge:
        """Return a figure that goes up and down; that of all workers is their sum."""
        return Gauge(name, meaning, registry=self.registry, multiprocess_mode="livesum")

    def request(self, *, method: str, route: str, status: int, seconds: float) -> None:
        """Count a request; methods that nobody knows are one."""
        known = method if method in _KNOWN_METHODS else "other"
        self.requests.labels(known, route, str(status)).observe(seconds)

    def solve(self, found: object, *, seconds: float) -> None:
        """Count an answer by its outcome, and what the reductions did for it; an error is an outcome by its name."""
        outcome = found.__class__.__name__ if isinstance(found, BaseException) else getattr(found, "status", "answered")
        self.solves.labels(str(outcome)).observe(seconds)
        if isinstance(found, Answer):
            self.considered.inc(found.proof.tools_considered)
            self.set_aside.inc(found.proof.tools_set_aside)

    def text(self) -> bytes:
        """Return all figures in Prometheus's text format; with several workers, those of all."""
        folder = os.environ.get(FOLDER)
        if folder is None:
            return generate_latest(self.registry)
        for file in Path(folder).glob("gauge_live*_*.db"):
            if not _lives(worker := int(file.stem.rpartition("_")[2])):
                mark_process_dead(worker, folder)  # type: ignore[no-untyped-call]
        everyone = CollectorRegistry()
        MultiProcessCollector(everyone, folder)  # type: ignore[no-untyped-call]
        return generate_latest(everyone)


def _lives(process: int) -> bool:
    """Tell whether there is such a process."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True
