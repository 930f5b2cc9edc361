"""POST /v1/trials: what stopwatch records say of tools. Stateless: nothing is kept."""

from typing import Annotated, Any

from fastapi import APIRouter, Body, Depends, Query
from fastapi.responses import JSONResponse
from pydantic_core import to_jsonable_python

from api.endpoints.trial_form import TrialsAnswer, TrialsForm, answer_trials
from api.http.route import StrictRoute
from api.settings.units import UnitsQuery, in_units_but_rows
from api.solving.solve_queue import Solves, solves_of

router = APIRouter(prefix="/v1", tags=["catalog"], route_class=StrictRoute)
TRIALS_EXAMPLE = {
    "trials": [
        {"tool": "folding-saw-210", "task": "saw", "diameter_mm": 80, "count": 3, "minutes": minutes}
        for minutes in (1.2, 1.1, 1.3, 1.15, 2.9, 1.25)
    ]
}


@router.post("/trials", response_model=TrialsAnswer, summary="Estimate scores from stopwatch records")
async def post_trials(
    form: Annotated[TrialsForm, Body(openapi_examples={"invented": {"summary": "Invented", "value": TRIALS_EXAMPLE}})],
    solves: Annotated[Solves, Depends(solves_of)],
    query: Annotated[UnitsQuery, Query()],
) -> Any:
    """Return a score with its interval for each tool and task, and rows to send in `extra_tools`.

    Five or more records of a tool (six at 95 %) are enough alone. Three or four records use the spread of their
    class. All records are used. Outliers are named, and they count only by their rank.
    """
    answer, timing = await solves.run(lambda _: answer_trials(form))
    return JSONResponse(in_units_but_rows(to_jsonable_python(answer), query.units), headers={"Server-Timing": timing})
