"""Addresses about the service itself: its health, its figures, and the pages that problem types point to."""

from collections.abc import Callable
from typing import Annotated, Any, TypeVar

import anyio
from anyio.lowlevel import RunVar
from fastapi import APIRouter, HTTPException, Path, Request, Response
from pydantic import BaseModel

from api.examples.invented import example_trips
from api.http.problem_details import KINDS, OTHER_KINDS
from api.settings.metrics import METRICS_TYPE, Metrics
from api.solving.solve_queue import solves_of
from api.store.database import store_of
from solver import Effort, Trip, Unfinished, plan

router = APIRouter(tags=["service"])

_Found = TypeVar("_Found")
_ASIDE: RunVar[anyio.CapacityLimiter] = RunVar("aside")
SMALL = Trip.model_validate({**example_trips()["least"], "detail": "kit"})


class Health(BaseModel):
    """The process is alive."""

    status: str


class ProblemPage(BaseModel):
    """The meaning of a problem type."""

    type: str
    status: int
    title: str


@router.get("/healthz", response_model=Health, summary="Check that the process is alive")
async def healthz() -> Any:
    """Return ok. It does no work and never waits."""
    return Health(status="ok")


@router.get("/readyz", response_model=Health, summary="Check that the service can plan")
async def readyz(request: Request) -> Any:
    """Return ready if the store takes writes and a small trip has been solved. Return 503 if either fails.

    It waits behind no work: a worker whose places are all taken is ready.
    """
    store, effort = store_of(request), solves_of(request).effort
    await _aside(store.check)
    await _aside(lambda: _plan_small(effort))
    return Health(status="ready")


def _plan_small(effort: Effort) -> None:
    """Plan a small trip.

    Raises:
        Unfinished: its kit is not proven.
    """
    if plan(SMALL, effort=effort).status != "optimal":
        raise Unfinished


async def _aside(job: Callable[[], _Found]) -> _Found:
    """Return what a short job gives, in a thread kept for such jobs: those of the store and of solves may be taken."""
    try:
        threads = _ASIDE.get()
    except LookupError:
        _ASIDE.set(threads := anyio.CapacityLimiter(2))
    return await anyio.to_thread.run_sync(job, limiter=threads)


@router.get("/metrics", include_in_schema=False)
async def get_metrics(request: Request) -> Response:
    """Return the metrics for a Prometheus server."""
    metrics: Metrics = request.app.state.metrics
    return Response(await _aside(metrics.text), headers={"Content-Type": METRICS_TYPE})


@router.get("/problems/{slug}", response_model=ProblemPage, summary="Explain a problem type")
async def problem_page(
    slug: Annotated[str, Path(max_length=60, description="Last part of the type.", examples=["invalid-input"])],
) -> Any:
    """Return the meaning of a problem type."""
    known = {name: (status, title) for status, (name, title) in KINDS.items()} | OTHER_KINDS
    if slug in known:
        status, title = known[slug]
        return ProblemPage(type=slug, status=status, title=title)
    raise HTTPException(404, f"there is no problem type {slug!r}")
