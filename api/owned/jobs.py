"""/v1/jobs: questions that are answered later, each its owner's alone."""

from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Path, Query, Request, Response
from sqlalchemy import Connection

from api.answering.caller import Planner, Reader
from api.answering.later_answer import FRESH, JOBS, AnswerJob, job_shown, kept_response
from api.endpoints.catalogs import SettingsOf, StoreOf
from api.http.media import JSON
from api.http.paging import Page, PageQuery
from api.store.stored_job import WAITING, StoredJob, answer_of, cancel_or_drop, find_job, jobs_after

router = APIRouter(prefix=JOBS, tags=["jobs"])

_JobId = Annotated[
    str,
    Path(
        pattern="^[0-9a-f]{32}$",
        description="Id of the job, as `Location` names it.",
        examples=["019b76da1c005d1f0c2a91d7e3b84600"],
    ),
]
_SOON = {"Retry-After": "1"}


@router.get("", response_model=Page[AnswerJob], summary="List your jobs")
def list_jobs(request: Request, caller: Reader, store: StoreOf, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of the caller's jobs, the oldest first. Jobs are dropped some time after they end."""
    with store.reading() as connection:
        found = jobs_after(connection, caller.owner, after=query.cursor, limit=query.limit + 1)
    shown = found[: query.limit]
    more = len(found) > len(shown)
    following = str(request.url.include_query_params(cursor=shown[-1].id)) if more else None
    return {"items": [job_shown(job) for job in shown], "next": following}


@router.get("/{id}", response_model=AnswerJob, summary="See how far a job is")
def get_job(id: _JobId, caller: Reader, store: StoreOf) -> Any:
    """Return the state of a job. Progress is told every few seconds. Retry-After says when to ask again."""
    with store.reading() as connection:
        job = _job_there(connection, caller.owner, id)
    headers = FRESH | (_SOON if job.state in WAITING else {})
    return Response(job_shown(job).model_dump_json(), media_type=JSON, headers=headers)


@router.get(
    "/{id}/result",
    response_class=Response,
    responses={
        200: {
            "description": "The answer, as the address of the question would have given it.",
            "content": {JSON: {"schema": {}}},
        }
    },
    summary="Get the answer of a job",
)
def get_job_result(id: _JobId, caller: Reader, store: StoreOf) -> Any:
    """Return what the question would have been answered: the same status, media type and bytes, a problem too.

    A job without an answer is a 404: it has not ended (Retry-After says when to ask again), or it was cancelled.
    """
    with store.reading() as connection:
        job = _job_there(connection, caller.owner, id)
        answer = answer_of(connection, job)
    if answer is None:
        raise HTTPException(404, f"the job is {job.state} and has no answer", _SOON if job.state in WAITING else None)
    return kept_response(answer, {})


@router.delete("/{id}", status_code=204, response_class=Response, summary="Cancel or remove a job")
def delete_job(request: Request, id: _JobId, caller: Planner, store: StoreOf, settings: SettingsOf) -> None:
    """Cancel a job that waits or is worked on; remove one that has ended, with its answer."""
    with store.writing() as connection:
        cancel_or_drop(connection, _job_there(connection, caller.owner, id, locked=True), settings)
    request.app.state.jobs_made()


def _job_there(connection: Connection, owner: str, name: str, *, locked: bool = False) -> StoredJob:
    """Return a job of an owner.

    Raises:
        HTTPException: 404, the same for what nobody has and for what another owner has.
    """
    job = find_job(connection, owner, name, locked=locked)
    if job is None:
        raise HTTPException(404, f"you have no job {name}")
    return job
