"""/v1/catalogs/{name}/shares: which other owners may read a catalog; nobody but its owner changes it."""

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Body, HTTPException, Path, Response
from pydantic import BaseModel, Field

from api.answering.caller import Reader, Writer
from api.endpoints.catalogs import CatalogName, SettingsOf, StoreOf, noted, there
from api.http.route import StrictRoute
from api.store.catalog_share import ReaderLimit, readers_of, share_with, stop_sharing
from solver.forms.trip import OWNER_NAME, Form

router = APIRouter(prefix="/v1/catalogs/{name}/shares", tags=["catalogs"], route_class=StrictRoute)

_Owner = Annotated[str, Field(pattern=f"^{OWNER_NAME}$", examples=["ben"])]


class ShareForm(Form):
    """Whom a catalog is shared with."""

    owner: _Owner = Field(description="Owner of the keys that may read it.")


class CatalogReader(BaseModel):
    """An owner who may read a catalog."""

    owner: str
    made_at: str = Field(description="Since when, RFC 3339, UTC.")


class CatalogReaders(BaseModel):
    """All owners who may read a catalog, by name."""

    items: list[CatalogReader]


@router.get("", response_model=CatalogReaders, summary="List who may read a catalog")
def list_shares(name: CatalogName, caller: Reader, store: StoreOf) -> Any:
    """Return the owners that a catalog is shared with, at most 100."""
    with store.reading() as connection:
        return {"items": [asdict(one) for one in readers_of(connection, there(connection, caller.owner, name))]}


@router.post("", response_model=CatalogReader, summary="Share a catalog")
def post_share(
    name: CatalogName,
    caller: Writer,
    store: StoreOf,
    settings: SettingsOf,
    share: Annotated[ShareForm, Body(openapi_examples={"invented": {"value": {"owner": "ben"}}})],
) -> Any:
    """Let another owner read a catalog, with its revisions but without its stopwatch records.

    The other plans with it as OWNER:NAME, and finds it among their catalogs. Once more changes nothing.
    """
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        if share.owner == caller.owner:
            raise HTTPException(409, "the catalog is yours")
        known = {one.owner for one in readers_of(connection, head)}
        try:
            made = share_with(connection, head, share.owner)
        except ReaderLimit as error:
            raise HTTPException(409, str(error)) from error
        if made.owner not in known:
            noted(connection, "share", head, settings, by=caller, reader=share.owner)
    return asdict(made)


@router.delete("/{owner}", status_code=204, response_class=Response, summary="Stop sharing a catalog")
def delete_share(
    name: CatalogName,
    owner: Annotated[_Owner, Path(description="Owner who may read it.")],
    caller: Writer,
    store: StoreOf,
    settings: SettingsOf,
) -> None:
    """Let an owner read a catalog no more, from the next request on."""
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        if not stop_sharing(connection, head, owner):
            raise HTTPException(404, f"the catalog {name!r} is not shared with {owner}")
        noted(connection, "unshare", head, settings, by=caller, reader=owner)
