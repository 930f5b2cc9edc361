"""Addresses about the service itself: its health, and the pages that problem types point to."""

from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Path
from pydantic import BaseModel

from api.problem import KINDS, OTHER_KINDS

router = APIRouter(tags=["service"])


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
