"""POST /v1/kits: a trip in, the lightest kit out."""

from typing import Annotated, Any

from fastapi import APIRouter, Body, Depends, Query
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field

from api.examples import as_openapi, examples
from api.route import StrictRoute
from api.shelf import ShelfOf
from api.solves import Solves, solves_of
from api.units import Units, in_units
from solver import Answer, Trip, plan

router = APIRouter(prefix="/v1/kits", tags=["kits"], route_class=StrictRoute)


class UnitsQuery(BaseModel):
    """How figures are told; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    units: Units = Field("metric", description="us adds ounces, pounds and inches beside the metric figures.")


@router.post("", response_model=Answer, summary="Plan the lightest kit for a trip")
async def post_kit(
    trip: Annotated[Trip, Body(openapi_examples=as_openapi(examples()))],
    solves: Annotated[Solves, Depends(solves_of)],
    query: Annotated[UnitsQuery, Query()],
    shelf: ShelfOf,
) -> Any:
    """Return the provably lightest kit that covers the trip, with reasons, margins, minutes and cautions.

    A trip that no allowed kit covers is a 200 with status `uncovered`, its gaps, and the lightest kit for
    the rest.
    """
    stocked = await shelf.filled(trip)
    answer, timing = await solves.run(lambda effort: plan(stocked, effort=effort))
    return JSONResponse(in_units(answer.model_dump(mode="json"), query.units), headers={"Server-Timing": timing})
