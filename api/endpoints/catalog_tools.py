"""/v1/catalogs/{name}/tools: the rows of a stored catalog, each by itself."""

from typing import Annotated, Any

from fastapi import APIRouter, Body, HTTPException, Path, Query, Request, Response
from fastapi.responses import JSONResponse

from api.answering.caller import Reader, Writer
from api.endpoints.catalog_form import CatalogWritten, check_rows
from api.endpoints.catalogs import (
    NO_CACHE,
    CatalogName,
    Given,
    ReadName,
    SettingsOf,
    StoreOf,
    next_revision,
    readable,
    there,
)
from api.endpoints.tools import ToolQuery, matches
from api.examples.catalog_bodies import HUT
from api.http.catalog_refused import CatalogRefused
from api.http.media import JSON
from api.http.paging import Page, page_of
from api.http.precondition import HeldCondition
from api.http.route import StrictRoute
from api.store import stored_catalog as stored
from catalog import Tool
from catalog.equipment.tool import Id
from solver import Fault

router = APIRouter(prefix="/v1/catalogs/{name}/tools", tags=["catalogs"], route_class=StrictRoute)

_ROW = HUT["tools"][0]
_ToolId = Annotated[Id, Path(description="Id of the tool.", examples=[_ROW["id"]])]


@router.get("", response_model=Page[Tool], summary="List the tools of a catalog")
def list_catalog_tools(
    request: Request, name: ReadName, caller: Reader, store: StoreOf, query: Annotated[ToolQuery, Query()]
) -> Any:
    """Return a page of the tools of the newest revision of a catalog, sorted by id."""
    with store.reading() as connection:
        rows = stored.tools_of(connection, readable(connection, caller.owner, name))
    return page_of(request, sorted((row for row in rows if matches(row, query)), key=lambda row: row.id), query)


@router.get("/{id}", response_model=Tool, summary="One tool of a catalog")
def get_catalog_tool(name: ReadName, id: _ToolId, caller: Reader, store: StoreOf, held: HeldCondition) -> Any:
    """Return one tool of a catalog. Its ETag changes only when the row changes."""
    with store.reading() as connection:
        found = stored.tool_of(connection, readable(connection, caller.owner, name), id)
    if found is None:
        raise _no_row(name, id)
    tool, tag = found
    headers = {"ETag": tag, "Cache-Control": NO_CACHE, "Vary": "Authorization"}
    if held.known(tag):
        return Response(status_code=304, headers=headers)
    return Response(tool.model_dump_json(), media_type=JSON, headers=headers)


@router.put(
    "/{id}",
    response_model=CatalogWritten,
    responses={201: {"model": CatalogWritten, "description": "Created"}},
    summary="Store one tool of a catalog",
)
def put_catalog_tool(
    name: CatalogName,
    id: _ToolId,
    caller: Writer,
    given: Given,
    tool: Annotated[Tool, Body(openapi_examples={"invented": {"value": _ROW}})],
    store: StoreOf,
    settings: SettingsOf,
) -> Any:
    """Replace a row (If-Match: ETag of the row), or add one at the end (If-None-Match: *).

    This makes the next revision of the catalog. Two writers of different rows do not conflict.
    """
    if tool.id != id:
        detail = f"the address names {id}, but the row names {tool.id}"
        raise CatalogRefused([Fault("#/id", tool.id, id, detail)])
    check_rows([tool], below="")
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        found = stored.tool_of(connection, head, id)
        given.hold([found[1]] if found else [])
        rows = stored.tools_of(connection, head)
        after = tuple(tool if row.id == id else row for row in rows) if found else (*rows, tool)
        written = next_revision(connection, head, after, head.note, settings, by=caller)
    return written if found else JSONResponse(written.model_dump(mode="json"), 201)


@router.delete("/{id}", status_code=204, response_class=Response, summary="Delete one tool of a catalog")
def delete_catalog_tool(
    name: CatalogName, id: _ToolId, caller: Writer, given: Given, store: StoreOf, settings: SettingsOf
) -> None:
    """Remove a row in the next revision of the catalog. The last row can't be removed; delete the catalog instead."""
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        found = stored.tool_of(connection, head, id)
        if found is None:
            raise _no_row(name, id)
        given.hold([found[1]], unseen=True)
        rows = stored.tools_of(connection, head)
        next_revision(connection, head, tuple(row for row in rows if row.id != id), head.note, settings, by=caller)


def _no_row(name: str, id: str) -> HTTPException:
    """Return the 404 of a row that a catalog does not have."""
    return HTTPException(404, f"the catalog {name!r} has no tool {id!r}")
