"""The table of jobs: questions that are answered later. A backup leaves it out: whoever restores asks again."""

from sqlalchemy import Column, Float, Index, Integer, LargeBinary, MetaData, String, Table, Text, UniqueConstraint

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
