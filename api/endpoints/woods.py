"""GET /v1/woods and /v1/woods/{id}: the species table."""

from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Path, Query, Request

from api.http.paging import Page, PageQuery, page_of
from catalog.wood.species import Wood, woods

router = APIRouter(prefix="/v1/woods", tags=["catalog"])


@router.get("", response_model=Page[Wood], summary="List the species")
async def list_woods(request: Request, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of the species, sorted by id."""
    return page_of(request, sorted(woods().values(), key=lambda one: one.id), query)


@router.get("/{id}", response_model=Wood, summary="Get one species")
async def get_wood(
    id: Annotated[str, Path(max_length=120, description="Id of the species.", examples=["white-spruce"])],
) -> Any:
    """Return one species."""
    one = woods().get(id)
    if one is None:
        raise HTTPException(404, f"there is no species {id!r}")
    return one
