"""POST /v1/kits: a trip in, the lightest kit out."""

from typing import Annotated, Any

from fastapi import APIRouter, Body

from api.answering.catalog_resolver import ShelfOf
from api.answering.progress import LINES, TellerOf
from api.answering.question_route import QuestionRoute
from api.examples.invented import as_openapi, examples
from solver import Answer, Trip, plan

router = APIRouter(prefix="/v1/kits", tags=["kits"], route_class=QuestionRoute)


@router.post("", response_model=Answer, summary="Plan the lightest kit for a trip", responses=LINES)
async def post_kit(
    trip: Annotated[Trip, Body(openapi_examples=as_openapi(examples()))],
    tell: TellerOf,
    shelf: ShelfOf,
) -> Any:
    """Return the provably lightest kit that covers the trip, with reasons, margins, minutes and cautions.

    A trip that no allowed kit covers is a 200 with status `uncovered`, its gaps, and the lightest kit for
    the rest.
    """
    stocked = await shelf.filled(trip)
    return await tell.answer(lambda effort: plan(stocked, effort=effort))
