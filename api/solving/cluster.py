"""Work for a cluster of machines: Dask distributed, the extra `cluster`."""

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import version
from time import sleep
from typing import Any, TypeVar

from api.settings.refused import Refused

_Job = TypeVar("_Job")
_Found = TypeVar("_Found")
_AT_ONCE = 128  # measured: jobs that a worker takes at a time; a task costs scheduler and client some milliseconds
_SHARES = 8  # judged: a worker takes at most this part of its share of what is left, so that all end alike
_RETRIES = 5  # judged: workers that may die over some jobs before the run gives up
_WAIT_S = 30  # judged: for the scheduler to answer, and for a first worker
_LOOK_S = 0.02  # judged: between two looks at what has come


@dataclass(frozen=True)
class Cluster:
    """Where a cluster is, and what this side shows of itself.

    Attributes:
        address: of its scheduler, as tls://host:8786, or tcp://host:8786 on a network that nobody else is on.
        ca: file of the authority that signed its certificates; None = as Dask's own settings say.
        certificate: file of this side's certificate.
        key: file of this side's key.
    """

    address: str
    ca: str | None = None
    certificate: str | None = None
    key: str | None = None

    def security(self, engine: Any) -> Any:
        """Return what the engine encrypts by; None where its own settings say it."""
        if self.ca is None:
            return None
        return engine.Security(
            tls_ca_file=self.ca, tls_client_cert=self.certificate, tls_client_key=self.key, require_encryption=True
        )


def done_by_cluster(
    work: Callable[[Any, _Job], _Found],
    shared: Any,
    jobs: Sequence[_Job],
    *,
    cluster: Cluster,
    look: Callable[[], None] | None = None,
) -> Generator[_Found]:
    """Yield what each job comes to, as they come. Jobs of a worker that dies go to another.

    Whoever stops this loop takes back what is left.

    Args:
        work: a function at the top of a module, of what all jobs share and of a job.
        shared: what all jobs share.
        jobs: the jobs.
        cluster: where they go.
        look: called while nothing has come; what it raises ends the loop.

    Raises:
        Refused: the extra is not installed, nobody answers at the address, a worker has another release, or too many
            workers died.
    """
    try:
        engine = import_module("distributed")  # late: an extra, and only this needs it
    except ImportError as error:
        raise Refused("a cluster needs Dask distributed\ninstall kitwright[cluster]") from error
    try:
        client = engine.Client(
            cluster.address, security=cluster.security(engine), timeout=_WAIT_S, set_as_default=False
        )
    except (OSError, ValueError, TypeError, ImportError) as error:
        raise Refused(f"no cluster answers at {cluster.address}: {error}") from error
    with client:
        try:
            client.wait_for_workers(1, timeout=_WAIT_S)
        except TimeoutError as error:
            raise Refused(f"the cluster at {cluster.address} has no workers") from error
        # A task of its own, so that it is made again where the worker that holds it dies.
        held = client.submit(_kept, shared, pure=False, retries=_RETRIES)
        batches = _batches(jobs, workers=sum(client.nthreads().values()))
        tasks = [client.submit(_worked, work, held, batch, pure=False, retries=_RETRIES) for batch in batches]
        try:
            coming = engine.as_completed(tasks, loop=client.loop, with_results=True)
            while not coming.is_empty():
                if look is not None:
                    look()
                if not coming.has_ready():
                    sleep(_LOOK_S)
                    continue
                _, (release, found) = next(coming)
                _check_release(release, cluster)
                yield from found
        except engine.KilledWorker as error:
            raise Refused(f"{cluster.address}: too many workers died over the same trips") from error
        finally:
            client.cancel(tasks)


def _batches(jobs: Sequence[_Job], *, workers: int) -> list[Sequence[_Job]]:
    """Return jobs in batches, smaller and smaller towards the end."""
    batches: list[Sequence[_Job]] = []
    first = 0
    while first < len(jobs):
        size = min(_AT_ONCE, max(1, (len(jobs) - first) // (_SHARES * max(1, workers))))
        batches.append(jobs[first : first + size])
        first += size
    return batches


def _check_release(release: str, cluster: Cluster) -> None:
    """Refuse what a worker of another release has found.

    Raises:
        Refused: it is of another.
    """
    if release != version("kitwright"):
        raise Refused(f"a worker of {cluster.address} has release {release}, not {version('kitwright')}")


def _kept(shared: Any) -> Any:
    """Return what all jobs share, once it is on a worker."""
    return shared


def _worked(work: Callable[[Any, Any], Any], shared: Any, batch: Sequence[Any]) -> tuple[str, list[Any]]:
    """Return the release of a worker, and what each of some jobs comes to there."""
    return version("kitwright"), [work(shared, job) for job in batch]
