"""Jobs as those who ask see them: kept, found, listed, called off.

A backup leaves their table out: whoever restores asks again.
"""

import json
import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from secrets import token_hex
from typing import Any, Literal

from sqlalchemy import (
    Column,
    Connection,
    Float,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    and_,
    delete,
    func,
    select,
    text,
)

from api.settings.settings import Settings
from api.store.key import now_text, utc_text

_jobs = MetaData()

# What is large stands last, so that a list of jobs reads none of it.
job_table = Table(
    "answer_job",
    _jobs,
    Column("id", String(32), primary_key=True),
    Column("owner", String(80), nullable=False),
    Column("key", String(16), nullable=True),
    Column("state", String(9), nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("started_at", String(32), nullable=True),
    Column("ended_at", String(32), nullable=True),
    Column("expires_at", String(32), nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("taken_by", String(32), nullable=True),
    Column("lease_until", String(32), nullable=True),
    Column("solves", Integer, nullable=False),
    Column("worked_s", Float, nullable=False),
    Column("status", Integer, nullable=True),
    Column("held_bytes", Integer, nullable=False),
    Column("idempotency_key", String(200), nullable=True),
    Column("asked_sha256", String(64), nullable=False),
    Column("path", String(200), nullable=False),
    Column("query", Text, nullable=False),
    Column("headers", Text, nullable=False),
    Column("answer_headers", Text, nullable=True),
    Column("body", LargeBinary, nullable=False),
    Column("answer", LargeBinary, nullable=True),
    UniqueConstraint("owner", "idempotency_key", name="answer_job_once"),
)
Index("answer_job_by_state", job_table.c.state, job_table.c.id)
Index("answer_job_by_owner", job_table.c.owner, job_table.c.id)

JobState = Literal["queued", "running", "done", "failed", "cancelled"]
WAITING: tuple[JobState, ...] = ("queued", "running")
_ADDING_LOCK = 0x6A6F6273  # names the advisory lock under which jobs are added, so that all are counted: "jobs"


class JobLimit(RuntimeError):
    """No more jobs may wait."""


class AskedOtherwise(RuntimeError):
    """The idempotency key was used for another question."""


@dataclass(frozen=True)
class AskedJob:
    """A question to be answered later: the request as it came, without its key.

    Attributes:
        owner: whose it is.
        key: id of the key by which it was asked; None = the one user.
        path: address of the question.
        query: query string of the address.
        headers: what the answer depends on: media types, host, scheme.
        body: body of the request.
        once: the caller's idempotency key.
    """

    owner: str
    key: str | None
    path: str
    query: str
    headers: Mapping[str, str]
    body: bytes
    once: str | None = None

    @property
    def digest(self) -> str:
        """SHA-256 of all that is asked, in hexadecimal."""
        parts = json.dumps([self.path, self.query, sorted(self.headers.items())]).encode()
        return sha256(b"%d,%b%b" % (len(parts), parts, self.body)).hexdigest()


@dataclass(frozen=True)
class StoredJob:
    """A job without its question and its answer.

    Attributes:
        id: 48 bits of its time and 80 random ones, in hexadecimal: jobs sort by their time, and no id is guessed.
        owner: whose it is.
        path: address of the question.
        state: how far it is.
        made_at: when it was asked, RFC 3339 in UTC.
        started_at: when a worker took it last.
        ended_at: when it ended.
        expires_at: when it is dropped.
        attempts: how many workers have taken it.
        solves: programs solved so far.
        worked_s: seconds of work so far [s].
        status: status code of its answer.
    """

    id: str
    owner: str
    path: str
    state: JobState
    made_at: str
    started_at: str | None
    ended_at: str | None
    expires_at: str
    attempts: int
    solves: int
    worked_s: float
    status: int | None

    @property
    def answered(self) -> bool:
        """Whether there is an answer, be it a problem."""
        return self.status is not None


@dataclass(frozen=True)
class KeptAnswer:
    """An answer as its caller would have got it."""

    status: int
    headers: Mapping[str, str]
    body: bytes


_HEAD = [job_table.c[name] for name in StoredJob.__dataclass_fields__]


def later(seconds: float) -> str:
    """Return the time so many seconds from now."""
    return utc_text(datetime.now(UTC) + timedelta(seconds=seconds))


def add_job(connection: Connection, asked: AskedJob, settings: Settings) -> StoredJob:
    """Keep a question; one that was kept under its idempotency key is not kept again.

    Raises:
        JobLimit: the owner, or all owners, have as many that wait as may.
        AskedOtherwise: the idempotency key was used for another question.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _ADDING_LOCK})
    drop_expired(connection)
    if asked.once is not None and (known := _asked_before(connection, asked)) is not None:
        return known
    if _waiting(connection, asked.owner) >= settings.most_owner_jobs:
        raise JobLimit(f"{settings.most_owner_jobs} of your jobs wait already, the most that may")
    if _waiting(connection, None) >= settings.most_jobs:
        raise JobLimit(f"{settings.most_jobs} jobs wait already, the most of this service")
    held, most = (
        trim_ended(connection, asked.owner, settings, bytes_more=len(asked.body)),
        settings.most_owner_job_bytes,
    )
    if held > most:
        raise JobLimit(f"your jobs that wait would hold {held} bytes with this one; the most is {most}")
    name = f"{time.time_ns() // 10**6:012x}{token_hex(10)}"
    row = {
        "id": name,
        "owner": asked.owner,
        "key": asked.key,
        "state": "queued",
        "made_at": now_text(),
        "expires_at": later(settings.job_keep_seconds),
        "attempts": 0,
        "solves": 0,
        "worked_s": 0.0,
        "held_bytes": len(asked.body),
        "idempotency_key": asked.once,
        "asked_sha256": asked.digest,
        "path": asked.path,
        "query": asked.query,
        "headers": json.dumps(dict(asked.headers)),
        "body": asked.body,
    }
    connection.execute(job_table.insert().values(row))
    return _job_of(connection.execute(select(*_HEAD).where(job_table.c.id == name)).one())


def _asked_before(connection: Connection, asked: AskedJob) -> StoredJob | None:
    """Return the job that was made with the same idempotency key.

    Raises:
        AskedOtherwise: it asks something else.
    """
    same = and_(job_table.c.owner == asked.owner, job_table.c.idempotency_key == asked.once)
    row = connection.execute(select(job_table.c.asked_sha256, *_HEAD).where(same)).first()
    if row is None:
        return None
    if row.asked_sha256 != asked.digest:
        raise AskedOtherwise("the Idempotency-Key was used for another question; use a new one for each")
    return StoredJob(*row[1:])


def _waiting(connection: Connection, owner: str | None) -> int:
    """Return how many jobs wait or are worked on: of an owner, or of all."""
    asked = select(func.count(job_table.c.id)).where(job_table.c.state.in_(WAITING))
    if owner is not None:
        asked = asked.where(job_table.c.owner == owner)
    return connection.execute(asked).scalar_one()


def trim_ended(connection: Connection, owner: str, settings: Settings, *, bytes_more: int) -> int:
    """Drop ended jobs of an owner, the oldest first, until one more of so many bytes has room.

    Returns:
        Bytes that the owner's jobs hold then, with those of the one more.
    """
    mine = job_table.c.owner == owner
    asked = select(job_table.c.id, job_table.c.held_bytes, job_table.c.state).where(mine).order_by(job_table.c.id)
    rows = connection.execute(asked).all()
    count, held = len(rows), bytes_more + sum(int(row.held_bytes) for row in rows)
    gone: list[str] = []
    for row in rows:
        if held <= settings.most_owner_job_bytes and count < settings.most_kept_jobs:
            break
        if row.state not in WAITING:
            gone.append(row.id)
            count, held = count - 1, held - row.held_bytes
    if gone:
        connection.execute(delete(job_table).where(job_table.c.id.in_(gone)))
    return held


def drop_expired(connection: Connection) -> int:
    """Drop the jobs whose time is over, but for those that are worked on; return how many."""
    over = and_(job_table.c.expires_at <= now_text(), job_table.c.state != "running")
    return int(connection.execute(delete(job_table).where(over)).rowcount)


def find_job(connection: Connection, owner: str, name: str, *, locked: bool = False) -> StoredJob | None:
    """Return a job of an owner; locked, nobody else changes it until the transaction ends."""
    asked = select(*_HEAD).where(_mine(owner), job_table.c.id == name)
    row = connection.execute(asked.with_for_update() if locked else asked).first()
    return None if row is None else _job_of(row)


def jobs_after(connection: Connection, owner: str, *, after: str | None, limit: int) -> list[StoredJob]:
    """Return an owner's jobs, the oldest first, so many after an id."""
    asked = select(*_HEAD).where(_mine(owner)).order_by(job_table.c.id).limit(limit)
    if after is not None:
        asked = asked.where(job_table.c.id > after)
    return [_job_of(row) for row in connection.execute(asked)]


def _mine(owner: str) -> Any:
    """Return the condition that a job is an owner's and still there."""
    alive = (job_table.c.expires_at > now_text()) | (job_table.c.state == "running")
    return and_(job_table.c.owner == owner, alive)


def _job_of(row: Any) -> StoredJob:
    """Return a job from its row."""
    return StoredJob(*row)


def answer_of(connection: Connection, job: StoredJob) -> KeptAnswer | None:
    """Return the answer of a job; None where it has none, or it is gone by now."""
    asked = select(job_table.c.status, job_table.c.answer_headers, job_table.c.answer)
    row = connection.execute(asked.where(job_table.c.id == job.id)).first()
    if row is None or row.status is None:
        return None
    return KeptAnswer(row.status, json.loads(row.answer_headers), bytes(row.answer))


def cancel_or_drop(connection: Connection, job: StoredJob, settings: Settings) -> None:
    """Call off a job that `find_job` has locked where it has not ended; drop one that has."""
    this = job_table.c.id == job.id
    if job.state not in WAITING:
        connection.execute(delete(job_table).where(this))
        return
    ended = {"state": "cancelled", "ended_at": now_text(), "expires_at": later(settings.job_keep_seconds)}
    freed = {"taken_by": None, "lease_until": None, "body": b"", "held_bytes": 0}
    connection.execute(job_table.update().where(this).values(ended | freed))
