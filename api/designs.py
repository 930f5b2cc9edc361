"""The maker's bench: POST /v1/designs/score."""

from typing import Annotated, Any

from fastapi import APIRouter, Body, Depends, Query
from fastapi.responses import JSONResponse
from pydantic_core import to_jsonable_python

from api.examples import as_openapi, design_examples
from api.kits import UnitsQuery
from api.route import StrictRoute
from api.solves import Solves, solves_of
from api.units import in_units
from catalog.design import Design
from catalog.rating import Rating, rate

router = APIRouter(prefix="/v1/designs", tags=["designs"], route_class=StrictRoute)
SolvesOf = Annotated[Solves, Depends(solves_of)]


@router.post("/score", response_model=Rating, summary="What a drawn tool weighs, stands and is good for")
async def post_score(
    design: Annotated[Design, Body(openapi_examples=as_openapi(design_examples()))],
    solves: SolvesOf,
    query: Annotated[UnitsQuery, Query()],
) -> Any:
    """Return mass, balance, strength, scores with their derivation, cost and cautions of a drawing.

    `tool` is a catalog row that a trip takes in `tools` or `extra_tools` as it stands.
    """
    rating, timing = await solves.run(lambda _: rate(design))
    return JSONResponse(in_units(to_jsonable_python(rating), query.units), headers={"Server-Timing": timing})
