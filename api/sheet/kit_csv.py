"""GET /v1/sheet/kit.csv: the kit as a table, a row per tool, then the needs."""

from collections.abc import Iterator, Mapping
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.http.precondition import HeldCondition
from api.settings.units import Units, us_figures
from api.sheet.cell_reply import reply
from api.sheet.cell_text import UNCOVERED, cell_number
from api.sheet.draft import Draft
from api.sheet.query_parameter import choices, trip_parameters
from api.sheet.sheet_question import DeskOf, SheetQuestion
from catalog.tables.table import FigureCell, csv_text

router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
_MORE = ["units", "inputs", "errors", "decimal", "bom"]
_Row = dict[str, Any]
TEXTS, FIGURES = ("part", "id", "name"), ("mass_g", "diameter_mm", "per_day", "minutes_per_day", "spare_mm")
_FOUND = ("mass_g", "minutes_per_day", "spare_mm")  # figures that are found, not asked


@router.get(
    "/kit.csv",
    summary="Get the kit of a trip as CSV",
    response_class=Response,
    responses={
        200: {"description": "The table", "content": {"text/csv": {"schema": {"type": "string"}}}},
        304: {"description": "Not modified"},
        503: {},
    },
    openapi_extra={"parameters": [*trip_parameters(), *choices(_MORE)]},
)
async def get_kit_csv(request: Request, desk: DeskOf, held: HeldCondition) -> Response:
    """Return the kit of the trip in the query: a row per tool, method, need and gap, and a row for the total.

    A tool that the kit holds several times has a row for each.

    Columns: part (tool, method, need, gap, total), id, name, mass_g, diameter_mm, per_day, minutes_per_day, spare_mm,
    with (needs that a tool serves, or ids of the tools and methods that serve a need), status. If the trip is
    uncovered, masses, minutes and spare millimetres read `uncovered`. What needs a fire, where none is allowed, is
    a gap too.
    """

    async def tell(question: SheetQuestion) -> str:
        comma = question.said["decimal"] == "comma"
        answer = await desk.answer(Draft(question.cells, units=question.units, inputs=question.inputs), "kit")
        return csv_text(table(answer, question.units, comma=comma), separator=";" if comma else ",")

    return await reply(request, tell, held, desk=desk, more=_MORE, media="text/csv", name="kit.csv")


def table(answer: Mapping[str, Any], units: Units, *, comma: bool = False) -> Iterator[list[str]]:
    """Yield the header and the rows of an answer; decimals with a point, or with a comma."""
    figures = [(name, name) for name in FIGURES]
    if units == "us":
        figures += [(other, name) for name in FIGURES for other, _ in us_figures(name, 1.0)]
    yield [*TEXTS, *(title for title, _ in figures), "with", "status"]
    uncovered = answer["status"] == UNCOVERED
    for row in _rows(answer):
        told = [_shown(row.get(name), title, name, hidden=uncovered and name in _FOUND) for title, name in figures]
        told = [FigureCell(text.replace(".", ",") if comma else text) for text in told]
        texts = [row.get(name) or "" for name in (*TEXTS, "with")]
        yield [*texts[:-1], *told, texts[-1], answer["status"]]


def _shown(value: float | None, title: str, name: str, *, hidden: bool) -> str:
    """Return a figure in the unit of its column's title."""
    if value is None or hidden:
        return "" if value is None else UNCOVERED
    return cell_number(value if title == name else dict(us_figures(name, value))[title], title)


def _rows(answer: Mapping[str, Any]) -> Iterator[_Row]:
    """Yield the parts of an answer."""
    kit = answer["kit"]
    for tool in kit["tools"]:
        row = {"part": "tool", **{key: tool[key] for key in ("id", "name", "mass_g")}, "with": "; ".join(tool["does"])}
        yield from [row] * tool["count"]
    for method in kit["methods"]:
        does = "; ".join(need["id"] for need in answer["needs"] if method in _done_with(need))
        yield {"part": "method", "id": method, "mass_g": 0.0, "with": does}
    for need in answer["needs"]:
        figures = {key: need[key] for key in ("id", "diameter_mm", "per_day", "minutes_per_day", "spare_mm")}
        yield {"part": "need", "name": need["task"], "with": "; ".join(_done_with(need)), **figures}
    for gap in answer["gaps"]:
        yield {"part": "gap", "id": gap["need"], "name": gap["text"], "with": gap["closest"]}
    for caution in answer["cautions"]:
        if caution["code"] == "fire-not-allowed":
            yield {"part": "gap", "name": caution["text"]}
    yield {"part": "total", "mass_g": kit["mass_g"], "minutes_per_day": kit["work_min_per_day"]}


def _done_with(need: Mapping[str, Any]) -> list[str]:
    """Return the ids that do a need."""
    return [share["id"] for share in need["done_with"]]
