"""GET /v1/tools and /v1/tools/{id}: the built-in tools."""

from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Path, Query, Request
from pydantic import Field

from api.http.paging import Page, PageQuery, page_of
from catalog import Tool, tools
from solver.forms.task import TASK_ROWS
from solver.forms.trip import TaskName

router = APIRouter(prefix="/v1/tools", tags=["catalog"])


class ToolQuery(PageQuery):
    """Which tools to list."""

    kind: str | None = Field(None, max_length=120, description="Trade class, for example `hatchet`.")
    task: TaskName | None = Field(None, description="Only tools that can do this task.")


@router.get("", response_model=Page[Tool], summary="List the built-in tools")
async def list_tools(request: Request, query: Annotated[ToolQuery, Query()]) -> Any:
    """Return a page of the built-in tools, sorted by id. A trip takes a row unchanged."""
    return page_of(request, [tool for tool in tools() if matches(tool, query)], query)


@router.get("/{id}", response_model=Tool, summary="Get one built-in tool")
async def get_tool(
    id: Annotated[str, Path(max_length=120, description="Id of the tool.", examples=["folding-saw-210"])],
) -> Any:
    """Return one built-in tool."""
    for tool in tools():
        if tool.id == id:
            return tool
    raise HTTPException(404, f"there is no built-in tool {id!r}")


def matches(tool: Tool, query: ToolQuery) -> bool:
    """Tell whether a tool passes the filters."""
    return (query.kind is None or tool.kind == query.kind) and (query.task is None or _able(tool, query.task))


def _able(tool: Tool, task: TaskName) -> bool:
    """Tell whether a tool can do a task at all; to buck is to saw or to chop."""
    return any(getattr(tool, f"{way}_score", 0.0) > 0 for way in TASK_ROWS[task].ways)
