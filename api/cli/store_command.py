"""The commands about the store: keys, shares, changes, jobs, backup, restore, version."""

import argparse
import json
import sys
import time
from collections.abc import Iterator
from dataclasses import asdict

from api.settings.scope import SHEET
from api.settings.settings import Settings
from api.store.change import Action, changes, note_change
from api.store.database import Store
from api.store.key import check_owner, listed_keys, make_key, revoke_key
from api.store.key_limit import KeyLimits, KeyUse, read_rate, use_of_key
from api.store.stored_job import WAITING, StoredJob, answer_of, cancel_or_drop, find_job, jobs_after

OK, NOT_THERE, FAILED = 0, 2, 4
_LOOK_S = 0.5  # judged: between two looks at a job that is waited for
_JOBS_AT_ONCE = 100


def create_key(asked: argparse.Namespace) -> int:
    """Print a new key to standard output, and nothing else there."""
    limits = KeyLimits(asked.rate, asked.bytes, asked.rows, asked.revisions)
    if limits.rate is not None:
        read_rate(limits.rate)
    settings = Settings()
    with Store(settings).writing() as connection:
        text = make_key(connection, owner=asked.owner, scope=asked.scope, days=asked.days, limits=limits)
        note_change(connection, "key-create", most=settings.most_changes, owner=asked.owner, key=text.split("_")[1])
    print(json.dumps({"key": text}) if asked.json else text)
    print("This is the only time that it is shown. From now on the service asks for keys.", file=sys.stderr)
    if asked.scope == SHEET:
        print(
            "It stands in the addresses of cells (&key=...): whoever sees the sheet can plan with it.", file=sys.stderr
        )
    return OK


def list_keys(asked: argparse.Namespace) -> int:
    """Print the keys, a line each."""
    with Store(Settings()).reading() as connection:
        listed = [(key, use_of_key(connection, key.id)) for key in listed_keys(connection)]
    if asked.json:
        shown = ("id", "scope", "owner", "made_at", "used_at", "state", "revoked_at")
        rows = [
            {name: getattr(key, name) for name in shown} | {"limits": asdict(key.limits), "use": asdict(use)}
            for key, use in listed
        ]
        print(json.dumps(rows, indent=1))
        return OK
    for key, use in listed:
        used = f"used {key.used_at}" if key.used_at else "never used"
        limits = "".join(f"  {told}" for told in _limits_told(key.limits, use))
        print(f"{key.id}  {key.scope:5}  {key.owner}  made {key.made_at}  {used}  {key.state}{limits}")
    return OK


def _limits_told(limits: KeyLimits, use: KeyUse) -> Iterator[str]:
    """Yield the limits of a key in words, each quota with what is used of it."""
    if limits.rate is not None:
        yield limits.rate
    for name in KeyUse.__dataclass_fields__:
        if (most := getattr(limits, name)) is not None:
            yield f"{getattr(use, name)} of {most} {name}"


def revoke_one(asked: argparse.Namespace) -> int:
    """Revoke a key."""
    settings = Settings()
    with Store(settings).writing() as connection:
        done = revoke_key(connection, asked.id)
        if done:
            owner = next(key.owner for key in listed_keys(connection) if key.id == asked.id)
            note_change(connection, "key-revoke", most=settings.most_changes, owner=owner, key=asked.id)
    if asked.json:
        print(json.dumps({"id": asked.id, "revoked": done}))
        return OK if done else NOT_THERE
    print(f"{asked.id} is revoked" if done else f"no key {asked.id} is in use", file=sys.stdout if done else sys.stderr)
    return OK if done else NOT_THERE


def share_catalog(asked: argparse.Namespace) -> int:
    """Share a catalog with another owner, or no longer."""
    # late: what checks catalogs imports the solver, which no other command on keys needs
    from api.store.catalog_share import readers_of, share_with, stop_sharing
    from api.store.stored_catalog import find

    check_owner(asked.reader)
    settings = Settings()
    with Store(settings).writing() as connection:
        head = find(connection, asked.owner, asked.name, locked=True)
        if head is None or asked.reader == asked.owner:
            why = "shares no catalog with themselves" if head else f"has no catalog {asked.name}"
            print(f"{asked.owner} {why}", file=sys.stderr)
            return NOT_THERE
        known = asked.reader in {one.owner for one in readers_of(connection, head)}
        if asked.share:
            share_with(connection, head, asked.reader)
        else:
            stop_sharing(connection, head, asked.reader)
        if known != asked.share:
            action: Action = "share" if asked.share else "unshare"
            most, name = settings.most_changes, head.name
            note_change(connection, action, most=most, owner=asked.owner, key=None, catalog=name, reader=asked.reader)
    print(
        f"{asked.reader} reads it as {asked.owner}:{asked.name}" if asked.share else f"{asked.reader} reads it no more"
    )
    return OK


def list_changes(asked: argparse.Namespace) -> int:
    """Print who changed what, when: a line of JSON for each change, the oldest first."""
    with Store(Settings()).reading() as connection:
        for change in changes(connection, owner=asked.owner, since=asked.since):
            print(json.dumps(asdict(change)))
    return OK


def list_jobs(asked: argparse.Namespace) -> int:
    """Print the jobs of an owner, a line each, the oldest first."""
    store, after = Store(Settings()), None
    while True:
        with store.reading() as connection:
            found = jobs_after(connection, asked.owner, after=after, limit=_JOBS_AT_ONCE)
        for job in found:
            print(_job_told(job, as_json=asked.json))
        if len(found) < _JOBS_AT_ONCE:
            return OK
        after = found[-1].id


def show_job(asked: argparse.Namespace) -> int:
    """Print how far a job is."""
    with Store(Settings()).reading() as connection:
        job = find_job(connection, asked.owner, asked.id)
    if job is None:
        return _no_job(asked)
    print(_job_told(job, as_json=asked.json))
    return OK


def wait_for_job(asked: argparse.Namespace) -> int:
    """Print the answer of a job once it has ended."""
    store = Store(Settings())
    while True:
        with store.reading() as connection:
            job = find_job(connection, asked.owner, asked.id)
            answer = None if job is None else answer_of(connection, job)
        if job is None:
            return _no_job(asked)
        if job.state not in WAITING:
            break
        time.sleep(_LOOK_S)
    if answer is None:
        print(f"{job.id} is {job.state} and has no answer", file=sys.stderr)
        return FAILED
    sys.stdout.buffer.write(answer.body)
    return OK if job.state == "done" else FAILED


def cancel_job(asked: argparse.Namespace) -> int:
    """Call a job off, or remove one that has ended."""
    settings = Settings()
    with Store(settings).writing() as connection:
        job = find_job(connection, asked.owner, asked.id, locked=True)
        if job is None:
            return _no_job(asked)
        cancel_or_drop(connection, job, settings)
    done = "cancelled" if job.state in WAITING else "removed"
    print(json.dumps({"id": job.id, "done": done}) if asked.json else f"{job.id} is {done}")
    return OK


def _job_told(job: StoredJob, *, as_json: bool) -> str:
    """Return a job as one line."""
    if as_json:
        return json.dumps(asdict(job))
    worked = f"{job.solves} solves in {job.worked_s:.1f} s"
    ended = f"ended {job.ended_at}" if job.ended_at else f"asked {job.made_at}"
    return f"{job.id}  {job.state:9}  {job.path}  {ended}  {worked}"


def _no_job(asked: argparse.Namespace) -> int:
    """Say that an owner has no such job."""
    print(f"{asked.owner} has no job {asked.id[:80]}", file=sys.stderr)
    return NOT_THERE


def write_backup(asked: argparse.Namespace) -> int:
    """Back everything up, or verify a backup."""
    from api.store.backup import back_up, verify  # late: rows are checked by forms of the solver

    if asked.verify:
        rows = verify(asked.file)
        print(json.dumps({"rows": rows}) if asked.json else f"{asked.file} is whole: {rows} rows")
        return OK
    rows = back_up(Store(Settings()), asked.file)
    print(json.dumps({"rows": rows, "file": str(asked.file)}) if asked.json else f"{rows} rows written to {asked.file}")
    return OK


def read_backup(asked: argparse.Namespace) -> int:
    """Restore everything."""
    from api.store.backup import restore  # late: as above

    rows = restore(Store(Settings()), asked.file)
    print(json.dumps({"rows": rows}) if asked.json else f"{rows} rows restored")
    return OK


def take_schema_back(asked: argparse.Namespace) -> int:
    """Take the tables of the store back to the version of an earlier release."""
    before = Store(Settings()).go_back(asked.version)
    if asked.json:
        print(json.dumps({"before": before, "now": asked.version if before else None}))
    else:
        print(f"the store went from version {before} to {asked.version}" if before else "there is no store")
    return OK
