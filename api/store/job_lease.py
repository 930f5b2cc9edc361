"""Jobs as workers see them: taken for a while, kept by saying so again, ended or given back.

A worker that dies says nothing more: once its time is over another takes the job. What a worker writes counts only as
long as the job is its own, so that no job has two answers.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, func, or_, select

from api.settings.settings import Settings
from api.store.key import now_text
from api.store.stored_job import AskedJob, KeptAnswer, job_table, later, trim_ended


@dataclass(frozen=True)
class TakenJob:
    """A job that a worker works on.

    Attributes:
        id: of the job.
        worker: who has it.
        asked: the question.
        attempt: how many workers have taken it by now, this one with them.
    """

    id: str
    worker: str
    asked: AskedJob
    attempt: int


@dataclass(frozen=True)
class _JobCounts:
    """How many jobs there are for workers: those that wait, those that are worked on, those whose worker is gone."""

    queued: int
    running: int
    left: int


def count_jobs(connection: Connection) -> _JobCounts:
    """Return how many jobs there are for workers."""
    asked = select(job_table.c.state, func.count()).where(job_table.c.state.in_(("queued", "running")))
    found = {row[0]: row[1] for row in connection.execute(asked.group_by(job_table.c.state))}
    left = select(func.count()).select_from(job_table).where(_left_behind())
    return _JobCounts(found.get("queued", 0), found.get("running", 0), connection.execute(left).scalar_one())


def _left_behind() -> ColumnElement[bool]:
    """Return the condition that the worker of a job has said nothing for too long."""
    return and_(job_table.c.state == "running", job_table.c.lease_until < now_text())


def take_job(connection: Connection, worker: str, settings: Settings) -> TakenJob | None:
    """Return the next job for a worker, if there is one.

    Owners have their turns: next is the oldest job of whoever was served longest ago.
    """
    other = job_table.alias()
    served = select(func.max(other.c.started_at)).where(other.c.owner == job_table.c.owner).scalar_subquery()
    free = or_(job_table.c.state == "queued", _left_behind())
    asked = select(job_table).where(free).order_by(served.asc().nulls_first(), job_table.c.id).limit(1)
    row = connection.execute(asked.with_for_update(skip_locked=True, of=job_table)).first()
    if row is None:
        return None
    now = {
        "state": "running",
        "taken_by": worker,
        "lease_until": later(settings.job_lease_seconds),
        "started_at": now_text(),
        "attempts": row.attempts + 1,
        "solves": 0,
        "worked_s": 0.0,
    }
    connection.execute(job_table.update().where(job_table.c.id == row.id).values(now))
    headers: Mapping[str, str] = json.loads(row.headers)
    question = AskedJob(row.owner, row.key, row.path, row.query, headers, bytes(row.body))
    return TakenJob(row.id, worker, question, row.attempts + 1)


def _own(taken: TakenJob) -> ColumnElement[bool]:
    """Return the condition that a job is still a worker's."""
    return and_(job_table.c.id == taken.id, job_table.c.taken_by == taken.worker)


def is_kept(connection: Connection, taken: TakenJob) -> bool:
    """Tell whether a job is still the worker's: nobody called it off, and no other worker has it."""
    return connection.execute(select(job_table.c.id).where(_own(taken))).first() is not None


def keep_job(connection: Connection, taken: TakenJob, settings: Settings, *, solves: int, worked_s: float) -> bool:
    """Say that a job is still worked on, and how far it is; tell whether it is still the worker's."""
    now = {"lease_until": later(settings.job_lease_seconds), "solves": solves, "worked_s": worked_s}
    return connection.execute(job_table.update().where(_own(taken)).values(now)).rowcount == 1


def end_job(
    connection: Connection, taken: TakenJob, answer: KeptAnswer, settings: Settings, *, solves: int, worked_s: float
) -> bool:
    """Keep the answer of a job, if it is still the worker's; tell whether it was."""
    trim_ended(connection, taken.asked.owner, settings, bytes_more=len(answer.body))
    ended = {
        "state": "done" if answer.status < 400 else "failed",
        "ended_at": now_text(),
        "expires_at": later(settings.job_keep_seconds),
        "taken_by": None,
        "lease_until": None,
        "solves": solves,
        "worked_s": worked_s,
        "status": answer.status,
        "held_bytes": len(answer.body),
        "answer_headers": json.dumps(dict(answer.headers)),
        "body": b"",
        "answer": answer.body,
    }
    return connection.execute(job_table.update().where(_own(taken)).values(ended)).rowcount == 1


def give_back(connection: Connection, taken: TakenJob) -> None:
    """Let another worker have a job: this one stops, which is no failed attempt."""
    freed = {"state": "queued", "taken_by": None, "lease_until": None, "attempts": taken.attempt - 1}
    connection.execute(job_table.update().where(_own(taken)).values(freed))
