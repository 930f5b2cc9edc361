"""Settings, each an environment variable KITWRIGHT_NAME."""

import os
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, SecretStr, StringConstraints, model_validator
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

_ORIGIN = r"^(\*|https?://([a-z0-9.-]+|\[[0-9a-f:.]+\])(:[0-9]{1,5})?)$"  # as browsers send it (RFC 6454, 6.1)


def _listed(value: Any) -> Any:
    """Return a text of origins, separated by commas or spaces, as a list."""
    return value.replace(",", " ").split() if isinstance(value, str) else value


_Origins = Annotated[tuple[Annotated[str, StringConstraints(pattern=_ORIGIN)], ...], NoDecode, BeforeValidator(_listed)]


def _own_database() -> SecretStr:
    """Return the address of this user's own store, a file in the data folder that XDG names."""
    folder = Path(os.environ.get("XDG_DATA_HOME") or "~/.local/share").expanduser()
    return SecretStr(f"sqlite:///{folder / 'kitwright' / 'kitwright.sqlite'}")


class Settings(BaseSettings):
    """Settings of the operator."""

    model_config = SettingsConfigDict(env_prefix="KITWRIGHT_", extra="ignore")

    host: str = "127.0.0.1"
    port: int = Field(8321, ge=0, le=65535)
    max_body_bytes: int = Field(16 * 1024 * 1024, ge=1024)
    most_held_bytes: int = Field(
        128 * 1024 * 1024, ge=1024, description="Bytes of all bodies that a worker receives at once."
    )
    workers: int = Field(1, ge=1, le=256, description="Processes that share the port.")
    solves: int = Field(0, ge=0, description="Solves at the same time in each worker; 0 = its share of the cores.")
    solve_niceness: int = Field(
        0, ge=0, le=19, description="How much nicer threads that solve are than the rest of a worker (Linux)."
    )
    solve_nodes: int = Field(200_000, ge=1)
    solve_seconds: float = Field(30.0, gt=0)
    solve_queue: int = Field(64, ge=0, description="Answers that may wait for a solve; one more gets a 503.")
    solve_wait_seconds: float = Field(60.0, gt=0, description="Longest wait for a solve [s].")
    answer_seconds: float = Field(300.0, gt=0, description="Longest time for one answer, all its solves together [s].")
    patience_seconds: float = Field(
        60.0,
        gt=0,
        description="Longest time for the header of a request, for its body, and for reading its answer [s].",
    )
    rate_limit: int = Field(0, ge=0, description="Requests that one client may make in a window; 0 = no limit.")
    rate_seconds: int = Field(60, ge=1, description="Length of the window [s].")
    drain_seconds: int = Field(60, ge=1, description="Longest wait for running answers when the service stops [s].")
    memory_bytes: int = Field(
        32 * 1024 * 1024,
        ge=0,
        description="Size of the answers that each worker keeps for equal requests [bytes]; 0 = none.",
    )
    solver: Literal["highs", "cbc"] | None = Field(
        None,
        description="Solver that proposes where an integer program starts; if set, no search over kits comes first.",
    )
    cors_origins: _Origins = Field((), description="Origins whose pages may read answers; * for any.")
    frame_ancestors: _Origins = Field((), description="Origins that may frame /embed/frame, besides its own.")

    one_user: bool = Field(
        False,
        description="Whether whoever asks from this machine may use stored catalogs while no key was made; "
        "`kitwright serve` sets it on a loopback address.",
    )
    database_url: SecretStr = Field(default_factory=_own_database)
    store_wait_s: float = Field(10.0, gt=0, le=300)
    most_catalogs: int = Field(200, ge=1)
    most_catalog_tools: int = Field(20_000, ge=1, le=20_000)
    most_revisions: int = Field(1000, ge=1)
    most_changes: int = Field(
        100_000, ge=1, description="Changes of one owner's catalogs that are kept for certain; older ones go."
    )
    most_trials: int = Field(10_000, ge=1)
    cached_tools: int = Field(
        60_000, ge=0, description="Rows of stored catalogs that each worker keeps, some 2 kB each."
    )

    jobs: int = Field(1, ge=0, le=256, description="Jobs that each worker works on at once; 0 = none.")
    job_seconds: float = Field(3600.0, gt=0, description="Longest time for a job [s]; never below `answer_seconds`.")
    job_nodes: int = Field(5_000_000, ge=1, description="Nodes of one solve of a job.")
    job_keep_seconds: float = Field(86_400.0, gt=0, description="Time after which a job is dropped [s].")
    job_lease_seconds: float = Field(
        30.0, ge=1, description="Silence of a worker after which another takes its job [s]."
    )
    job_attempts: int = Field(3, ge=1, le=100, description="Workers that may die over a job before it fails.")
    most_jobs: int = Field(1000, ge=1, description="Jobs that may wait or be worked on, of all owners.")
    most_owner_jobs: int = Field(100, ge=1, description="Jobs of one owner that may wait or be worked on.")
    most_kept_jobs: int = Field(1000, ge=1, description="Jobs of one owner that are kept, ended ones with them.")
    most_owner_job_bytes: int = Field(
        256 * 1024 * 1024, ge=1024, description="Bytes of the bodies and answers of one owner's jobs."
    )

    cluster: str | None = Field(
        None,
        pattern=r"^tls://[A-Za-z0-9.\-\[\]:]+:\d{1,5}$",
        description="Scheduler of a Dask cluster, as tls://host:8786, that settles the trips of jobs over many trips.",
    )
    cluster_ca: str | None = Field(None, description="File of the authority that signed the cluster's certificates.")
    cluster_certificate: str | None = Field(None, description="File of the service's own certificate there.")
    cluster_key: str | None = Field(None, description="File of the key of that certificate.")

    @model_validator(mode="after")
    def check_cluster(self) -> Self:
        """Refuse a cluster without what it is encrypted by.

        Raises:
            ValueError: a file is not named.
        """
        if self.cluster is not None and None in (self.cluster_ca, self.cluster_certificate, self.cluster_key):
            raise ValueError("cluster needs cluster_ca, cluster_certificate and cluster_key")
        return self

    @model_validator(mode="after")
    def share_cores(self) -> Self:
        """Give each worker its share of the cores."""
        self.solves = self.solves or max(1, (os.cpu_count() or 1) // self.workers)
        return self

    def of_jobs(self) -> "Settings":
        """Return the settings by which jobs are answered: longer, and in places of their own."""
        seconds = max(self.job_seconds, self.answer_seconds)
        return self.model_copy(
            update={
                "solves": max(1, self.jobs),
                "solve_nodes": max(self.job_nodes, self.solve_nodes),
                "solve_seconds": seconds,
                "answer_seconds": seconds,
                "solve_queue": max(1, self.solve_queue),
                "solve_wait_seconds": seconds,
            }
        )
