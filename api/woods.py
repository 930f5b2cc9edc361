"""GET /v1/woods and /v1/woods/{id}: the species table."""

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Path, Query, Request
from pydantic import BaseModel

from api.listing import Page, PageQuery, page_of
from catalog.wood import Wood, woods

router = APIRouter(prefix="/v1/woods", tags=["catalog"])


class WoodRow(BaseModel):
    """A species: strength [kPa], hardness [N], specific gravity and moisture [% dry basis].

    Null is the handbook's dash, never zero.
    """

    id: str
    common_name: str
    latin_name: str
    sg_green: float
    sg_12pct: float
    side_hardness_green_n: float | None
    side_hardness_12pct_n: float | None
    shear_par_green_kpa: float
    shear_par_12pct_kpa: float
    tension_perp_green_kpa: float | None
    tension_perp_12pct_kpa: float | None
    green_basis: str
    green_mc_heartwood_pct: float | None
    green_mc_sapwood_pct: float | None
    green_mc_read: bool | None
    intersection_mc_pct: float
    group: str
    source: str
    note: str


@router.get("", response_model=Page[WoodRow], summary="List the species")
def list_woods(request: Request, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of the species, sorted by id."""
    rows = [row(one) for one in sorted(woods().values(), key=lambda one: one.id)]
    return page_of(request, rows, query)


@router.get("/{id}", response_model=WoodRow, summary="One species")
def get_wood(id: Annotated[str, Path(max_length=120, examples=["white-spruce"])]) -> Any:
    """Return one species."""
    one = woods().get(id)
    if one is None:
        raise HTTPException(404, f"no species has the id {id!r}")
    return row(one)


def row(one: Wood) -> WoodRow:
    """Return a species as callers see it."""
    return WoodRow.model_validate(asdict(one))
