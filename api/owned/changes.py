"""/v1/changes: who changed what of what is stored, and when; a caller's own, or of all with a key that audits."""

from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from itertools import chain
from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Query, Request, Response
from fastapi.responses import StreamingResponse
from pydantic import AfterValidator, BaseModel, ConfigDict, Field
from pydantic_core import PydanticCustomError

from api.answering.caller import Auditor, Caller
from api.endpoints.catalogs import StoreOf
from api.http.json_lines import LINES_TYPE
from api.http.media import CSV, CSV_ANSWER
from api.http.paging import Page
from api.store.change import Action, Change, changes
from api.store.database import Store
from catalog.tables.table import FigureCell, csv_text

router = APIRouter(prefix="/v1/changes", tags=["changes"])

_AT_A_TIME = 1000
_FRESH = {"Cache-Control": "private, no-store", "Vary": "Authorization"}
_LINES: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "A change per line",
        "content": {LINES_TYPE: {"schema": {"type": "string", "format": "binary"}}},
    }
}


class ChangeRow(BaseModel):
    """A change. It is noted as it is made: where the note can't be kept, there is no change."""

    id: str
    at: str = Field(description="RFC 3339, UTC.")
    owner: str = Field(description="Whose catalog or key.")
    key: str | None = Field(description="Id of the key by which it was made, or which was made or revoked.")
    action: Action
    catalog: str | None
    revision: int | None = Field(description="The revision after it; of a deletion the last one.")
    reader: str | None = Field(description="The owner whom a catalog is shared with, or no longer.")


_WHOLE_TIME = "2000-01-01T00:00:00.000Z"


def _time_that_is(text: str) -> str:
    """Return the beginning of a time that there is.

    Raises:
        PydanticCustomError: its month, day, hour, minute or second is none.
    """
    try:
        datetime.fromisoformat(text + _WHOLE_TIME[len(text) :])
    except ValueError as error:
        raise PydanticCustomError("no_such_time", "there is no such time: {error}", {"error": str(error)}) from error
    return text


_Since = Annotated[
    str,
    Field(
        max_length=24,
        pattern="^2[0-9]{3}(-[0-9]{2}(-[0-9]{2}(T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\\.[0-9]{3}Z)?)?)?)?)?$",
    ),
    AfterValidator(_time_that_is),
]


class _SinceQuery(BaseModel):
    """From when on, and whose. Unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    since: _Since | None = Field(
        None, description="Only from this time on: the beginning of a time in UTC, as 2026-01-31 or 2026-01-31T12:00."
    )
    owner: str | None = Field(
        None,
        max_length=80,
        pattern="^[a-z0-9][a-z0-9._-]*$",
        description="Only of this owner: for a key that audits. If it is left out, of all.",
    )


class _ChangeQuery(_SinceQuery):
    """The same, and a page."""

    limit: int = Field(100, ge=1, le=1000, description="Rows per page.")
    cursor: str | None = Field(
        None,
        pattern=r"^[0-9TZ:.-]{24}\.[0-9a-f]{32}$",
        description="Time and id of the change after which the page starts.",
    )


@router.get("", response_model=Page[ChangeRow], summary="List who changed what")
def list_changes(
    request: Request, response: Response, caller: Auditor, store: StoreOf, query: Annotated[_ChangeQuery, Query()]
) -> Any:
    """Return a page of the changes of the caller's catalogs and keys, the oldest first.

    A key of the scope `audit` reads those of all owners, and does nothing else.
    """
    response.headers.update(_FRESH)
    after = None if query.cursor is None else (query.cursor[:24], query.cursor[25:])
    with store.reading() as connection:
        found = list(
            changes(connection, owner=_owner(caller, query), since=query.since, after=after, limit=query.limit + 1)
        )
    shown = found[: query.limit]
    more = len(found) > len(shown)
    cursor = f"{shown[-1].at}.{shown[-1].id}" if more else None
    following = str(request.url.include_query_params(cursor=cursor)) if more else None
    return {"items": [asdict(change) for change in shown], "next": following}


@router.get(".csv", response_class=Response, responses=CSV_ANSWER, summary="Get who changed what as CSV")
def get_change_table(caller: Auditor, store: StoreOf, query: Annotated[_SinceQuery, Query()]) -> Any:
    """Return all changes that GET /v1/changes lists as a table with a header line, in lines as they are read."""
    header = csv_text([list(ChangeRow.model_fields)])
    rows = (
        csv_text(_cells(change) for change in page)
        for page in _begun(_pages(store, _owner(caller, query), query.since))
    )
    media = f"{CSV}; charset=utf-8; header=present"
    headers = _FRESH | {"Content-Disposition": 'attachment; filename="changes.csv"'}
    return StreamingResponse(chain([header], rows), media_type=media, headers=headers)


@router.get(".ndjson", response_class=Response, responses=_LINES, summary="Get who changed what as lines of JSON")
def get_change_lines(caller: Auditor, store: StoreOf, query: Annotated[_SinceQuery, Query()]) -> Any:
    """Return all changes that GET /v1/changes lists, a line of JSON each."""
    pages = _begun(_pages(store, _owner(caller, query), query.since))
    lines = ("".join(f"{ChangeRow(**asdict(change)).model_dump_json()}\n" for change in page) for page in pages)
    headers = _FRESH | {"Content-Disposition": 'attachment; filename="changes.ndjson"'}
    return StreamingResponse(lines, media_type=LINES_TYPE, headers=headers)


def _owner(caller: Caller, query: _SinceQuery) -> str | None:
    """Return whose changes are read; None = of all.

    Raises:
        HTTPException: 403, another owner's are asked for by a key that may not.
    """
    if caller.audits:
        return query.owner
    if query.owner not in (None, caller.owner):
        raise HTTPException(403, "the key reads its owner's changes alone; those of others need a key that may audit")
    return caller.owner


def _pages(store: Store, owner: str | None, since: str | None) -> Iterator[list[Change]]:
    """Yield the changes, some at a time, so that a slow reader holds nothing of the store.

    Raises:
        StoreDown: the store can't be used now.
    """
    after: tuple[str, str] | None = None
    while True:
        with store.reading() as connection:
            page = list(changes(connection, owner=owner, since=since, after=after, limit=_AT_A_TIME))
        if page:
            yield page
            after = (page[-1].at, page[-1].id)
        if len(page) < _AT_A_TIME:
            return


def _begun(pages: Iterator[list[Change]]) -> Iterator[list[Change]]:
    """Return pages of which the first was read, so that a store that is down is told as such."""
    return chain([next(pages, [])], pages)


def _cells(change: Change) -> list[str]:
    """Return the row of a change in a table; figures are no texts."""
    row = asdict(change)
    return [FigureCell(row[name]) if name == "revision" and row[name] else str(row[name] or "") for name in row]
