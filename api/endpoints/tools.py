"""GET /v1/tools, /v1/tools/{id} and /v1/tools/{id}/scores: the built-in tools."""

from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Path, Query, Request, Response
from pydantic import BaseModel, Field

from api.http.media import CSV_ANSWER, CsvQuery, csv_answer
from api.http.paging import Page, PageQuery, page_of
from catalog import Tool, tools
from catalog.equipment.tool_text import tools_text
from catalog.scores.built_in import ToolScore, scores_of
from solver.forms.task import TASK_ROWS
from solver.forms.trip import TaskName

router = APIRouter(prefix="/v1/tools", tags=["catalog"])


class ToolQuery(PageQuery):
    """Which tools to list."""

    kind: str | None = Field(None, max_length=120, description="Trade class, for example `hatchet`.")
    task: TaskName | None = Field(None, description="Only tools that can do this task.")


class _ToolTableQuery(CsvQuery):
    """Which tools to list in a table, and how it is written."""

    kind: str | None = Field(None, max_length=120, description="Trade class, for example `hatchet`.")
    task: TaskName | None = Field(None, description="Only tools that can do this task.")


class ToolScores(BaseModel):
    """The scores of a built-in tool, each with what it is made of."""

    id: str
    scores: list[ToolScore]


_ToolId = Annotated[str, Path(max_length=120, description="Id of the tool.", examples=["folding-saw-210"])]


@router.get("", response_model=Page[Tool], summary="List the built-in tools")
async def list_tools(request: Request, query: Annotated[ToolQuery, Query()]) -> Any:
    """Return a page of the built-in tools, sorted by id. A trip takes a row unchanged."""
    return page_of(request, [tool for tool in tools() if matches(tool, query)], query)


@router.get(".csv", response_class=Response, responses=CSV_ANSWER, summary="Get the built-in tools as CSV")
async def get_tool_table(query: Annotated[_ToolTableQuery, Query()]) -> Response:
    """Return all built-in tools, sorted by id, as a table with a header line. A catalog takes it unchanged."""
    rows = [tool for tool in tools() if matches(tool, query)]
    return csv_answer(tools_text(rows, decimal=query.decimal), name="tools.csv", bom=query.bom == "1")


@router.get("/{id}", response_model=Tool, summary="Get one built-in tool")
async def get_tool(id: _ToolId) -> Any:
    """Return one built-in tool."""
    for tool in tools():
        if tool.id == id:
            return tool
    raise _no_tool(id)


@router.get("/{id}/scores", response_model=ToolScores, summary="Tell what the scores of a built-in tool are made of")
async def get_tool_scores(id: _ToolId) -> Any:
    """Return each score of a tool with its parts: judged, drawn from its class, and how much each weighs.

    The parts are log-normal and combined by their precision. A part without an interval is exact and counts alone.
    """
    try:
        return ToolScores(id=id, scores=list(scores_of(id)))
    except KeyError:
        raise _no_tool(id) from None


def _no_tool(id: str) -> HTTPException:
    return HTTPException(404, f"there is no built-in tool {id!r}")


def matches(tool: Tool, query: ToolQuery | _ToolTableQuery) -> bool:
    """Tell whether a tool passes the filters."""
    return (query.kind is None or tool.kind == query.kind) and (query.task is None or _able(tool, query.task))


def _able(tool: Tool, task: TaskName) -> bool:
    """Tell whether a tool can do a task at all; to buck is to saw or to chop."""
    return any(getattr(tool, f"{way}_score", 0.0) > 0 for way in TASK_ROWS[task].ways)
