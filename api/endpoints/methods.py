"""GET /v1/methods: ways of working that weigh nothing."""

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request

from api.http.paging import Page, PageQuery, page_of
from catalog import Method, methods

router = APIRouter(prefix="/v1/methods", tags=["catalog"])


@router.get("", response_model=Page[Method], summary="List the field methods")
async def list_methods(request: Request, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of the field methods, sorted by id."""
    return page_of(request, methods(), query)
