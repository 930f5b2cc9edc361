"""GET /v1/camp-work: the pieces of camp work that a trip can ask for."""

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request

from api.http.paging import Page, PageQuery, page_of
from catalog.equipment.camp_work import CampItem, camp_items

router = APIRouter(prefix="/v1/camp-work", tags=["catalog"])


@router.get("", response_model=Page[CampItem], summary="List the camp work")
async def list_camp_work(request: Request, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of the camp work, sorted by id: task, diameter, amount per piece, lowest score."""
    return page_of(request, sorted(camp_items().values(), key=lambda item: item.id), query)
