"""GET /v1/sheet/values: many fields of one answer in one request, a line each, for a sheet that splits them."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.http.precondition import HeldCondition
from api.sheet.cell_reply import reply
from api.sheet.field import Field, field_named
from api.sheet.field_list import FIELDS, LONGEST_LIST, MOST_VALUES, paths_of, refused_list
from api.sheet.query_parameter import choices, parameter, trip_parameters
from api.sheet.sheet_question import DeskOf, SheetQuestion
from catalog.tables.table import neutral
from solver import TripError

router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
_MORE = [FIELDS, "units", "inputs", "against", "uncovered", "errors"]
_LONGEST_CELL = 32_767  # support.microsoft.com, WEBSERVICE: longer answers fail
_END = "end"
_ABOUT_FIELDS = (
    f"Fields of GET /v1/sheet/value, separated by `,` or `|`, at most {MOST_VALUES}. What stands before a bracket "
    "stands before each field in it: `kit(mass_g,tools.*(name,count))` is `kit.mass_g,kit.tools.*.name,"
    "kit.tools.*.count`."
)


@router.get(
    "/values",
    summary="Get many fields of the answer to a trip, a line each",
    response_class=Response,
    responses={
        200: {"description": "The fields", "content": {"text/plain": {"schema": {"type": "string"}}}},
        304: {"description": "Not modified"},
        503: {},
    },
    openapi_extra={
        "parameters": [
            parameter(FIELDS, {"type": "string", "maxLength": LONGEST_LIST}, _ABOUT_FIELDS, required=True)
            | {"example": "status,kit(mass_g,tools.*.name)"},
            *trip_parameters(),
            *choices(_MORE[1:]),
        ]
    },
)
async def get_values(request: Request, desk: DeskOf, held: HeldCondition) -> Response:
    """Return fields of the answer to the trip in the query: a line each as GET /v1/sheet/value tells it, then `end`.

    Lines are in the order of `fields` and end with a line feed, which no field holds. The last line, `end`, has none:
    where it is missing, the answer was cut. An answer longer than the 32,767 characters of a cell is refused.
    """

    async def tell(question: SheetQuestion) -> str:
        wanted = [field_named(path, units=question.units, parameter=FIELDS) for path in paths_of(question.said[FIELDS])]
        against, anyway = question.said["against"], question.said["uncovered"] == "figures"
        asked, units, inputs = question.cells, question.units, question.inputs
        told = await desk.texts(asked, wanted, units=units, inputs=inputs, against=against, anyway=anyway)
        safe = [text if field.number else neutral(text) for text, field in zip(told, wanted, strict=True)]
        text = "\n".join([*safe, _END])
        if len(text) > _LONGEST_CELL:
            raise _too_long(len(text), wanted, told)
        return text

    return await reply(request, tell, held, desk=desk, more=_MORE, media="text/plain")


def _too_long(length: int, wanted: list[Field], told: list[str]) -> TripError:
    """Return the refusal of an answer that no cell holds, with the field that is longest."""
    longest = max(zip(told, wanted, strict=True), key=lambda pair: len(pair[0]))[1].path
    why = f"the answer has {length} characters, a cell {_LONGEST_CELL}; ask for {longest} by itself, or for fewer"
    return refused_list(length, f"{_LONGEST_CELL} characters", why)
