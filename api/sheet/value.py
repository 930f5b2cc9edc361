"""GET /v1/sheet/value: one field of an answer, for one cell."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.http.precondition import HeldCondition
from api.sheet.cell_reply import reply
from api.sheet.field import PATH, field_named, fields
from api.sheet.query_parameter import Schema, choices, parameter, trip_parameters
from api.sheet.sheet_question import DeskOf, SheetQuestion
from catalog.tables.table import neutral

router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
FIELD, MORE = "field", ["field", "units", "inputs", "against", "uncovered", "errors"]
_ABOUT_FIELD = (
    "Path of the answer. In place of `*` give a member of a list: its number from 1, its id, or `*` for "
    "all, which are separated by |. A list of texts gives its members, separated by `; `. A member that "
    "does not exist is empty. Ounces, pounds and inches need units=us. Fields of alternatives, upgrades, "
    "assumptions, pins, why_not, conflict, proof.facts, proof.text and front, and each price_g, need many solves. "
    "Paths: "
)


def _value_parameters() -> list[Schema]:
    """Return what the query of one cell may say."""
    listed = ", ".join(f"`{path}`" for path in fields())
    schema = {"type": "string", "pattern": PATH, "maxLength": 200}
    field = parameter(FIELD, schema, f"{_ABOUT_FIELD}{listed}.", required=True) | {"example": "kit.mass_g"}
    return [field, *trip_parameters(), *choices(MORE[1:])]


@router.get(
    "/value",
    summary="Get one field of the answer to a trip, as text",
    response_class=Response,
    responses={
        200: {"description": "The field", "content": {"text/plain": {"schema": {"type": "string"}}}},
        304: {"description": "Not modified"},
        503: {},
    },
    openapi_extra={"parameters": _value_parameters()},
)
async def get_value(request: Request, desk: DeskOf, held: HeldCondition) -> Response:
    """Return one field of the answer to the trip in the query: plain text, no line end.

    Grams and millimetres are whole numbers. Other numbers have at most two decimals and a point. If the trip is
    uncovered, numbers read `uncovered`, except those of gaps, conflict and counts beyond kits, unless
    uncovered=figures. An empty parameter counts as absent.
    """

    async def tell(question: SheetQuestion) -> str:
        field = field_named(question.said[FIELD], units=question.units)
        against, anyway = question.said["against"], question.said["uncovered"] == "figures"
        asked, units, inputs = question.cells, question.units, question.inputs
        (text,) = await desk.texts(asked, [field], units=units, inputs=inputs, against=against, anyway=anyway)
        return text if field.number else neutral(text)

    return await reply(request, tell, held, desk=desk, more=MORE, media="text/plain")
