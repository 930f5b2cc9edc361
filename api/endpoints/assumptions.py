"""GET /v1/assumptions: figures that no publication settles, with their bands."""

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request

from api.http.paging import Page, PageQuery, page_of
from catalog import Assumption, assumptions

router = APIRouter(prefix="/v1/assumptions", tags=["catalog"])


@router.get("", response_model=Page[Assumption], summary="List the assumptions")
async def list_assumptions(request: Request, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of the assumptions, sorted by id: value, band, unit, and what would replace it."""
    return page_of(request, sorted(assumptions().values(), key=lambda row: row.id), query)
