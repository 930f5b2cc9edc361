"""Addresses about the service itself: its health, its figures, and the pages that problem types point to."""

from typing import Annotated, Any

import anyio
from fastapi import APIRouter, HTTPException, Path, Request, Response
from pydantic import BaseModel

from api.examples.invented import examples
from api.http.problem_details import KINDS, OTHER_KINDS
from api.settings.metrics import MEDIA_TYPE, Metrics
from api.solving.solve_queue import solves_of
from api.store.database import store_of
from solver import Trip, plan

router = APIRouter(tags=["service"])

SMALL = Trip.model_validate({**examples()["least"], "detail": "kit"})


class Health(BaseModel):
    """The process answers."""

    status: str


class ProblemPage(BaseModel):
    """What a problem type means."""

    type: str
    status: int
    title: str


@router.get("/healthz", response_model=Health, summary="Is the process alive?")
async def healthz() -> Any:
    """Return ok; it costs nothing and waits for nothing."""
    return Health(status="ok")


@router.get("/readyz", response_model=Health, summary="Can it plan now?")
async def readyz(request: Request) -> Any:
    """Return ready once the store answers and one small trip has really been solved; 503 where either fails."""
    store, solves = store_of(request), solves_of(request)
    await anyio.to_thread.run_sync(store.check)
    await solves.run(lambda effort: plan(SMALL, effort=effort))
    return Health(status="ready")


@router.get("/metrics", include_in_schema=False)
def get_metrics(request: Request) -> Response:
    """Return the figures for a Prometheus server."""
    metrics: Metrics = request.app.state.metrics
    return Response(metrics.text(), headers={"Content-Type": MEDIA_TYPE})


@router.get("/problems/{slug}", response_model=ProblemPage, summary="What a problem type means")
async def problem_page(
    slug: Annotated[str, Path(max_length=60, description="Last part of the type.", examples=["invalid-input"])],
) -> Any:
    """Return the meaning of a problem type."""
    known = {name: (status, title) for status, (name, title) in KINDS.items()} | OTHER_KINDS
    if slug in known:
        status, title = known[slug]
        return ProblemPage(type=slug, status=status, title=title)
    raise HTTPException(404, f"no problem type is called {slug!r}")
