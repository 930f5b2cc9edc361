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

    What the row says of a score and what the records say are one, each with its weight. Records say more of the rate
    of the task and of the pace of who was timed than of the tool: send `own_figures` as `assumptions` with the rows.
    Spoilt records are named and pull little. What looks wrong is asked back in `questions`.
    """
    answer, timing = await solves.run(lambda effort: answer_trials(form, go_on=effort.go_on))
    return JSONResponse(in_units_but_rows(to_jsonable_python(answer), query.units), headers={"Server-Timing": timing})
