"""/v1/catalogs: catalogs of one's own, stored with every revision."""

from typing import Annotated, Any

from fastapi import APIRouter, Body, Depends, HTTPException, Path, Query, Request, Response
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import Connection
from starlette.convertors import StringConvertor, register_url_convertor

from api.answering.caller import Caller, Reader, Writer
from api.endpoints.catalog_form import (
    CatalogChange,
    CatalogForm,
    CatalogHead,
    CatalogWritten,
    Name,
    as_written,
    check_figures,
    check_rows,
    check_whole,
    head_shown,
    read_form,
)
from api.examples.catalog_bodies import HUT, HUT_CHANGE, HUT_TABLE
from api.http.app_settings import settings_of
from api.http.catalog_refused import CatalogRefused
from api.http.media import (
    CSV,
    CSV_ANSWER,
    JSON,
    CsvQuery,
    Media,
    RawBody,
    SentTableQuery,
    csv_answer,
    raw_body,
    wants_csv,
)
from api.http.paging import Page, PageQuery
from api.http.precondition import Condition, HeldCondition, condition_of
from api.http.route import StrictRoute
from api.settings.settings import Settings
from api.store import stored_catalog as stored
from api.store.catalog_share import find_readable, readable_heads
from api.store.change import Action, note_change
from api.store.database import Store, store_of
from api.store.key_limit import KeyQuota
from api.store.stored_catalog import Figures, Head, Tools
from catalog.equipment.tool_text import tools_text
from solver import Fault
from solver.forms.trip import CATALOG_NAME, OWNER_NAME


class _NoTable(StringConvertor):
    """A step of an address that is no table, whose only method is GET: the name of a catalog, good or not."""

    regex = r"[^/]+(?<!\.csv)"


register_url_convertor("no_table", _NoTable())
router = APIRouter(prefix="/v1/catalogs", tags=["catalogs"], route_class=StrictRoute)

CatalogName = Annotated[Name, Path(description="Name of the catalog.")]
ReadName = Annotated[
    str,
    Path(
        pattern=f"^({OWNER_NAME}:)?{CATALOG_NAME}$",
        description="Name of the catalog; OWNER:NAME of one that another owner shares with you.",
        examples=["invented-hut"],
    ),
]
Given = Annotated[Condition, Depends(condition_of)]
StoreOf = Annotated[Store, Depends(store_of)]
SettingsOf = Annotated[Settings, Depends(settings_of)]
NO_CACHE = "private, no-cache"  # whoever keeps a copy asks each time whether it is still true
TWO_FORMS: dict[int | str, dict[str, Any]] = {200: {"content": {CSV: {"schema": {"type": "string"}}}}}


class _RevisionQuery(BaseModel):
    """Start and length of a page of revisions."""

    model_config = ConfigDict(extra="forbid")

    limit: int = Field(100, ge=1, le=1000, description="Rows per page.")
    cursor: int = Field(0, ge=0, le=10**9, description="Revision after which the page starts.")


@router.get("", response_model=Page[CatalogHead], summary="List your catalogs")
def list_catalogs(request: Request, caller: Reader, store: StoreOf, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of the caller's catalogs, sorted by name, each with its newest revision.

    Those that others share with the caller are among them, as OWNER:NAME.
    """
    with store.reading() as connection:
        heads = readable_heads(connection, caller.owner, after=query.cursor, limit=query.limit + 1)
    return _heads_page(request, heads, limit=query.limit, cursor=lambda head: head.name)


@router.get("/{name}.csv", response_class=Response, responses=CSV_ANSWER, summary="Get one of your catalogs as CSV")
def get_catalog_table(
    name: ReadName, caller: Reader, store: StoreOf, held: HeldCondition, query: Annotated[CsvQuery, Query()]
) -> Any:
    """Return the newest revision of a catalog as a table with a header line. PUT takes it unchanged."""
    with store.reading() as connection:
        return _table_answer(connection, readable(connection, caller.owner, name), held, query)


@router.get("/{name}", response_model=CatalogForm, responses=TWO_FORMS, summary="Get one of your catalogs")
def get_catalog(request: Request, name: ReadName, caller: Reader, store: StoreOf, held: HeldCondition) -> Any:
    """Return the newest revision of a catalog: JSON or, by Accept: text/csv, a table. PUT takes both unchanged."""
    with store.reading() as connection:
        return _catalog_answer(request, connection, readable(connection, caller.owner, name), held)


@router.put(
    "/{name:no_table}",
    response_model=CatalogWritten,
    responses={201: {"model": CatalogWritten, "description": "Created"}},
    openapi_extra=raw_body("CatalogForm", {"invented": {"summary": "An invented hut", "value": HUT}}, HUT_TABLE),
    summary="Store a catalog",
)
def put_catalog(
    name: CatalogName,
    caller: Writer,
    given: Given,
    body: RawBody,
    media: Media,
    store: StoreOf,
    settings: SettingsOf,
    query: Annotated[SentTableQuery, Query()],
) -> Any:
    """Store a whole catalog, or nothing: a new one with If-None-Match: *, the next revision with If-Match.

    A table has no note, so the old note stays.
    """
    form = read_form(body, media, query.decimal)
    check_rows(form.tools, below="#/tools")
    check_whole(form.tools, most=settings.most_catalog_tools)
    check_figures(form.assumptions, form.assumption_intervals)
    with store.writing() as connection:
        head = stored.find(connection, caller.owner, name, locked=True)
        given.hold(head.tags if head else ())
        if head is None:
            return _created(connection, caller, name, form, settings)
        note = form.note if media != CSV else head.note
        given_figures = {"assumptions", "assumption_intervals"} & form.model_fields_set
        figures = (form.assumptions, form.assumption_intervals) if given_figures else None
        return next_revision(
            connection, head, tuple(form.tools), note, settings, by=caller, action="replace", figures=figures
        )


@router.patch("/{name:no_table}", response_model=CatalogWritten, summary="Change a catalog")
def patch_catalog(
    name: CatalogName,
    caller: Writer,
    given: Given,
    change: Annotated[CatalogChange, Body(openapi_examples={"invented": {"value": HUT_CHANGE}})],
    store: StoreOf,
    settings: SettingsOf,
) -> Any:
    """Replace, add and remove rows of a catalog, all at once or not at all."""
    check_rows(change.tools, below="#/tools")
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        given.hold(head.tags)
        before = stored.tools_of(connection, head)
        note = change.note if "note" in change.model_fields_set else head.note
        return next_revision(connection, head, _changed(before, change), note, settings, by=caller)


@router.delete("/{name:no_table}", status_code=204, response_class=Response, summary="Delete a catalog")
def delete_catalog(name: CatalogName, caller: Writer, given: Given, store: StoreOf, settings: SettingsOf) -> None:
    """Delete a catalog with its revisions and trials. Only a backup can bring it back."""
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        given.hold(head.tags, unseen=True)
        stored.drop(connection, head)
        noted(connection, "delete", head, settings, by=caller)


@router.get("/{name}/revisions", response_model=Page[CatalogHead], summary="List the revisions of a catalog")
def list_revisions(
    request: Request, name: ReadName, caller: Reader, store: StoreOf, query: Annotated[_RevisionQuery, Query()]
) -> Any:
    """Return a page of the stored revisions, the oldest first."""
    with store.reading() as connection:
        head = readable(connection, caller.owner, name)
        heads = stored.revisions(connection, head, after=query.cursor, limit=query.limit + 1)
    return _heads_page(request, heads, limit=query.limit, cursor=lambda head: head.revision)


_Revision = Annotated[int, Path(ge=1, le=10**9, description="Number of the revision.", examples=[1])]


@router.get(
    "/{name}/revisions/{revision}.csv",
    response_class=Response,
    responses=CSV_ANSWER,
    summary="Get a revision of a catalog as CSV",
)
def get_revision_table(
    name: ReadName,
    revision: _Revision,
    caller: Reader,
    store: StoreOf,
    held: HeldCondition,
    query: Annotated[CsvQuery, Query()],
) -> Any:
    """Return one revision of a catalog as a table with a header line."""
    with store.reading() as connection:
        return _table_answer(connection, _revision_there(connection, caller.owner, name, revision), held, query)


@router.get(
    "/{name}/revisions/{revision}",
    response_model=CatalogForm,
    responses=TWO_FORMS,
    summary="Get a revision of a catalog",
)
def get_revision(
    request: Request,
    name: ReadName,
    revision: _Revision,
    caller: Reader,
    store: StoreOf,
    held: HeldCondition,
) -> Any:
    """Return one revision of a catalog, as JSON or as a table."""
    with store.reading() as connection:
        return _catalog_answer(request, connection, _revision_there(connection, caller.owner, name, revision), held)


def there(connection: Connection, owner: str, name: str, *, locked: bool = False) -> Head:
    """Return a catalog of an owner.

    Raises:
        HTTPException: 404, the same for what nobody has and for what another owner has.
    """
    head = stored.find(connection, owner, name, locked=locked)
    if head is None:
        raise HTTPException(404, f"you have no catalog {name!r}")
    return head


def readable(connection: Connection, owner: str, name: str) -> Head:
    """Return a catalog that an owner may read: their own, or one that is shared with them.

    Raises:
        HTTPException: 404, as `there`.
    """
    head = find_readable(connection, owner, name)
    if head is None:
        raise HTTPException(404, f"you have no catalog {name!r}")
    return head


def _revision_there(connection: Connection, owner: str, name: str, revision: int) -> Head:
    """Return a revision of a catalog of an owner.

    Raises:
        HTTPException: 404, as `there`, or the revision is not stored.
    """
    head = stored.at_revision(connection, readable(connection, owner, name), revision)
    if head is None:
        raise HTTPException(404, f"revision {revision} of {name!r} is not stored")
    return head


def _table_answer(connection: Connection, head: Head, held: Condition, query: CsvQuery) -> Response:
    """Return a revision as a table, or a 304 where the reader has it already."""
    headers = {"ETag": head.csv_tag, "Cache-Control": NO_CACHE, "Vary": "Authorization"}
    if held.known(head.csv_tag):
        return Response(status_code=304, headers=headers)
    text = tools_text(stored.tools_of(connection, head), decimal=query.decimal)
    return csv_answer(text, name=f"{head.name.replace(':', '-')}.csv", headers=headers, bom=query.bom == "1")


def _catalog_answer(request: Request, connection: Connection, head: Head, held: Condition) -> Response:
    """Return a revision in the form that the reader asks for, or a 304 where it has that already."""
    as_table = wants_csv(request)
    tag = head.csv_tag if as_table else head.tag
    headers = {"ETag": tag, "Cache-Control": NO_CACHE, "Vary": "Accept, Authorization"}
    if held.known(tag):
        return Response(status_code=304, headers=headers)
    place = f"/v1/catalogs/{head.name}/revisions/{head.revision}"
    headers["Content-Location"] = place
    rows = stored.tools_of(connection, head)
    if as_table:
        return Response(tools_text(rows), media_type=f"{CSV}; charset=utf-8; header=present", headers=headers)
    form = CatalogForm.model_construct(
        note=head.note,
        tools=list(rows),
        assumptions=dict(head.assumptions),
        assumption_intervals=dict(head.intervals),
    )
    left_out = {name for name in ("assumptions", "assumption_intervals") if not getattr(form, name)}
    return Response(form.model_dump_json(exclude=left_out), media_type=JSON, headers=headers)


def _created(connection: Connection, caller: Caller, name: str, form: CatalogForm, settings: Settings) -> Response:
    """Store a new catalog and say where it is.

    Raises:
        HTTPException: 409 where the owner has as many as the settings allow, 412 where someone was quicker.
        QuotaUsedUp: the key may not store so much.
    """
    if stored.count(connection, caller.owner) >= settings.most_catalogs:
        raise HTTPException(409, f"this service stores at most {settings.most_catalogs} catalogs per owner")
    quota = KeyQuota(connection, caller.key)
    figures = (form.assumptions, form.assumption_intervals)
    try:
        head = stored.create(connection, caller.owner, name, form.tools, form.note, figures=figures, key=caller.key)
    except stored.NameTaken as error:
        raise HTTPException(412, "another request stored a catalog of this name in the meantime") from error
    quota.hold()
    noted(connection, "create", head, settings, by=caller)
    answer = as_written(head, form.tools).model_dump(mode="json")
    return JSONResponse(answer, status_code=201, headers={"Location": f"/v1/catalogs/{name}"})


def next_revision(
    connection: Connection,
    head: Head,
    rows: Tools,
    note: str | None,
    settings: Settings,
    *,
    by: Caller,
    action: Action = "change",
    figures: Figures | None = None,
    quota: KeyQuota | None = None,
) -> CatalogWritten:
    """Store the next revision of a locked catalog, where its rows go together, and note who made it.

    What was stored before belongs to the same write where a quota comes along.

    Raises:
        CatalogRefused: they don't.
        QuotaUsedUp: the key may not store so much.
    """
    check_whole(rows, most=settings.most_catalog_tools)
    quota = quota or KeyQuota(connection, by.key)
    following = stored.replace(
        connection, head, rows, note, most_revisions=settings.most_revisions, figures=figures, key=by.key
    )
    quota.hold()
    noted(connection, action, following, settings, by=by)
    return as_written(following, rows)


def noted(
    connection: Connection, action: Action, head: Head, settings: Settings, *, by: Caller, reader: str | None = None
) -> None:
    """Note who made which revision, or deleted it; or which reader a catalog is shared with, or no longer."""
    note_change(
        connection,
        action,
        most=settings.most_changes,
        owner=by.owner,
        key=by.key,
        catalog=head.name,
        revision=head.revision if reader is None else None,
        reader=reader,
    )


def _changed(before: Tools, change: CatalogChange) -> Tools:
    """Return rows with a change made to them.

    Raises:
        CatalogRefused: a row to leave out is not there, or is to be stored as well; a row stands twice.
    """
    new = {tool.id: tool for tool in change.tools}
    ids = {tool.id for tool in before}
    faults = [
        Fault(f"#/drop/{index}", name, "the id of a row of the catalog", f"there is no row {name} to remove")
        for index, name in enumerate(change.drop)
        if name not in ids or name in new
    ]
    if len(new) < len(change.tools):
        faults.append(Fault("#/tools", len(change.tools), "each id once", "the id is given twice"))
    if faults:
        raise CatalogRefused(faults)
    gone = set(change.drop)
    kept = [new.get(tool.id, tool) for tool in before if tool.id not in gone]
    return (*kept, *(tool for tool in change.tools if tool.id not in ids))


def _heads_page(request: Request, heads: list[Head], *, limit: int, cursor: Any) -> dict[str, Any]:
    """Return a page of revisions; one more than the limit was read, to know whether there is a next."""
    shown = heads[:limit]
    more = len(heads) > limit
    following = str(request.url.include_query_params(cursor=cursor(shown[-1]))) if more else None
    return {"items": [head_shown(head) for head in shown], "next": following}
