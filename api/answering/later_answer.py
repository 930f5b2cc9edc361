"""Questions that are answered later: kept as jobs where the caller prefers that, and told how far they are."""

import asyncio
import re
from collections.abc import Mapping
from contextlib import suppress
from time import monotonic
from typing import Any

import anyio
from fastapi import HTTPException, Request, Response
from pydantic import BaseModel, Field

from api.answering.caller import JOB_CALLER, Caller, planner_of
from api.http.app_settings import settings_of
from api.http.media import JSON
from api.http.preference import ASYNC, WAIT, preferred_wait_s, prefers_async
from api.questions.early_faults import check_question
from api.store.database import StoreDown, store_of
from api.store.stored_job import (
    WAITING,
    AskedJob,
    AskedOtherwise,
    JobLimit,
    JobState,
    KeptAnswer,
    StoredJob,
    add_job,
    answer_of,
    cancel_or_drop,
    find_job,
)
from solver import Fault, TripError

JOBS = "/v1/jobs"
_KEPT_HEADERS = ("accept", "content-type", "host")
_ONCE = re.compile(r"[\x20-\x7e]{1,200}")
_RETRY_S = 60  # judged: jobs take long, and others must end before one more is taken
_MOST_WAIT_S = 60  # judged: proxies give up on a silent connection soon after
_LEAVING_S = 10.0  # judged: for calling a job off whose caller is gone
_FIRST_LOOK_S, _LATER_LOOK_S = 0.02, 1.0  # judged: soon for a short answer, at a long one no more often than it counts
FRESH = {"Cache-Control": "private, no-store", "Vary": "Authorization"}
_ABOUT = (
    "Ask for a job: `respond-async` (RFC 7240). The answer is then a 202 that tells where the job is, and GET "
    "/v1/jobs/{id}/result tells later what this address would have answered now. With `respond-async, wait=5` what is "
    f"answered within 5 s comes at once (at most {_MOST_WAIT_S}). Without a key, and but for the one "
    "user of a service on loopback, jobs are not kept: the preference is ignored, and the answer comes at once."
)
_PREFER = {"name": "prefer", "in": "header", "required": False, "schema": {"type": "string"}, "description": _ABOUT}
_ABOUT_ONCE = "With `Prefer: respond-async`: 1 to 200 characters of your own; the same ones get the same job again."
_IDEMPOTENCY = {
    "name": "idempotency-key",
    "in": "header",
    "required": False,
    "schema": {"type": "string"},
    "description": _ABOUT_ONCE,
}
_ACCEPTED = "Kept as a job, since `Prefer: respond-async` was sent; `Location` names it, the body tells how far it is."


class JobProgress(BaseModel):
    """How far a job is: programs solved, and seconds of work, by the worker that has it."""

    solves: int
    seconds: float


class JobLinks(BaseModel):
    """Where a job is, and where its answer; null before it has one."""

    job: str
    result: str | None


class AnswerJob(BaseModel):
    """A question that is answered later. Times are RFC 3339 in UTC."""

    id: str
    path: str = Field(description="Address of the question.")
    state: JobState = Field(
        description="done: the answer is there. failed: what is there is a problem. cancelled: there is none."
    )
    made_at: str
    started_at: str | None = Field(description="When a worker took it last.")
    ended_at: str | None
    expires_at: str = Field(description="When the job is dropped with its answer; it moves on as the job ends.")
    attempts: int = Field(description="Workers that have taken it; above 1, one died over it.")
    progress: JobProgress
    status: int | None = Field(description="Status code of the answer.")
    links: JobLinks


def job_shown(job: StoredJob) -> AnswerJob:
    """Return a job as its owner sees it."""
    place = f"{JOBS}/{job.id}"
    return AnswerJob(
        id=job.id,
        path=job.path,
        state=job.state,
        made_at=job.made_at,
        started_at=job.started_at,
        ended_at=job.ended_at,
        expires_at=job.expires_at,
        attempts=job.attempts,
        progress=JobProgress(solves=job.solves, seconds=round(job.worked_s, 1)),
        status=job.status,
        links=JobLinks(job=place, result=f"{place}/result" if job.answered else None),
    )


def job_offer() -> dict[str, Any]:
    """Return the declaration of an operation that may be asked as a job.

    The 202 is an extension and no response: to typed clients an address has one form of answer, as before there were
    jobs, unless they prefer another.
    """
    schema = {"$ref": f"#/components/schemas/{AnswerJob.__name__}"}
    told = {"status": "202", "description": _ACCEPTED, "content": {JSON: {"schema": schema}}}
    return {"parameters": [_PREFER, _IDEMPOTENCY], "x-answered-later": told}


async def kept_for_later(request: Request, form: BaseModel | None = None) -> Response | None:
    """Keep a question that was read already as a job, where its caller prefers that and may have jobs.

    Args:
        request: the question.
        form: what it asks; None where each of its lines tells its own faults.

    Raises:
        HTTPException: 401 or 403, the key is wrong or may not plan; 429, too many jobs wait.
        StoreDown: the store can't be used now.
        TripError: the question is wrong, or the idempotency key is none or was used for another question.
    """
    if JOB_CALLER in request.scope or not prefers_async(request.headers):
        return None
    caller = await anyio.to_thread.run_sync(planner_of, request)
    if caller is None:
        return None
    if form is not None:
        await anyio.to_thread.run_sync(check_question, form)
    asked = _asked(request, caller, await request.body())
    wait_s = min(preferred_wait_s(request.headers), _MOST_WAIT_S)
    job = await _kept(request, asked, awaited=wait_s > 0)
    request.app.state.jobs_made()
    applied = ASYNC
    if wait_s:
        applied = f"{ASYNC}, {WAIT}={wait_s}"
        job, answer = await _awaited(request, job, wait_s=wait_s, lasting=asked.once is not None)
        if answer is not None:
            return kept_response(answer, {"Preference-Applied": applied})
    place = f"{JOBS}/{job.id}"
    headers = FRESH | {"Location": place, "Preference-Applied": applied, "Retry-After": "1"}
    return Response(job_shown(job).model_dump_json(), 202, media_type=JSON, headers=headers)


def kept_response(answer: KeptAnswer, headers: Mapping[str, str]) -> Response:
    """Return the answer of a job as its caller gets it."""
    return Response(answer.body, answer.status, headers={**FRESH, **headers, **answer.headers})


async def _kept(request: Request, asked: AskedJob, *, awaited: bool) -> StoredJob:
    """Keep a job; where a caller who waits for it leaves at that very moment, it is called off once it is kept."""
    adding = asyncio.ensure_future(anyio.to_thread.run_sync(_added, request, asked))
    try:
        return await asyncio.shield(adding)
    except anyio.get_cancelled_exc_class():
        with anyio.move_on_after(_LEAVING_S, shield=True), suppress(HTTPException, StoreDown, TripError):
            job = await adding
            if awaited and asked.once is None:
                await anyio.to_thread.run_sync(_called_off, request, job)
            else:
                request.app.state.jobs_made()
        raise


async def _awaited(
    request: Request, job: StoredJob, *, wait_s: float, lasting: bool
) -> tuple[StoredJob, KeptAnswer | None]:
    """Return a job after some seconds, or as soon as it has its answer; then with it, and gone from the store.

    A job whose caller leaves meanwhile is called off, since nobody knows its place. One with an idempotency key lasts:
    by that it can be found again.
    """
    end, pause = monotonic() + wait_s, _FIRST_LOOK_S
    try:
        while (left := end - monotonic()) > 0:
            await anyio.sleep(min(pause, left))
            pause = min(2 * pause, _LATER_LOOK_S)
            found, answer = await anyio.to_thread.run_sync(_looked_at, request, job, lasting)
            job = found or job
            if found is None or answer is not None or found.state not in WAITING:
                return job, answer
    except StoreDown:
        return job, None  # the job is kept, and its place can be told
    except anyio.get_cancelled_exc_class():
        if not lasting:
            with anyio.move_on_after(_LEAVING_S, shield=True):
                await anyio.to_thread.run_sync(_called_off, request, job)
        raise
    return job, None


def _looked_at(request: Request, job: StoredJob, lasting: bool) -> tuple[StoredJob | None, KeptAnswer | None]:
    """Return a job as it is now, None where it is gone, and its answer; with it the job is dropped unless it lasts.

    Raises:
        StoreDown: the store can't be used now.
    """
    store, settings = store_of(request), settings_of(request)
    with store.reading() as connection:
        found = find_job(connection, job.owner, job.id)
        answer = None if found is None else answer_of(connection, found)
    if found is not None and answer is not None and not lasting:
        with store.writing() as connection:
            cancel_or_drop(connection, found, settings)
    return found, answer


def _called_off(request: Request, job: StoredJob) -> None:
    """Call a job off, or drop it where it has ended."""
    with suppress(StoreDown), store_of(request).writing() as connection:
        found = find_job(connection, job.owner, job.id, locked=True)
        if found is not None:
            cancel_or_drop(connection, found, settings_of(request))
    request.app.state.jobs_made()


def _asked(request: Request, caller: Caller, body: bytes) -> AskedJob:
    """Return what is kept of a request; never its key.

    Raises:
        TripError: the idempotency key is none.
    """
    once = request.headers.get("idempotency-key")
    if once is not None and _ONCE.fullmatch(once) is None:
        raise _wrong_once(once, "it has characters that are not printable ASCII, or too many")
    headers = {name: request.headers[name] for name in _KEPT_HEADERS if name in request.headers}
    headers["scheme"] = request.url.scheme
    query = request.scope["query_string"].decode("latin-1")
    return AskedJob(caller.owner, caller.key, request.url.path, query, headers, body, once)


def _added(request: Request, asked: AskedJob) -> StoredJob:
    """Keep a job.

    Raises:
        HTTPException: 429, too many jobs wait.
        StoreDown: the store can't be used now.
        TripError: the idempotency key was used for another question.
    """
    try:
        with store_of(request).writing() as connection:
            return add_job(connection, asked, settings_of(request))
    except JobLimit as error:
        raise HTTPException(429, str(error), {"Retry-After": str(_RETRY_S)}) from error
    except AskedOtherwise as error:
        raise _wrong_once(asked.once, str(error)) from error


def _wrong_once(once: str | None, detail: str) -> TripError:
    """Return the refusal of an idempotency key."""
    return TripError(
        [Fault("#/header/idempotency-key", (once or "")[:200], "1 to 200 characters, new for each question", detail)]
    )
