"""The maker's bench: GET /v1/designs, what making costs, populations; POST scores and pictures of drawings."""

from functools import cache
from importlib import import_module
from types import ModuleType
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Body, Depends, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import Field
from pydantic_core import to_jsonable_python

from api.answering.catalog_resolver import CatalogResolverOf
from api.answering.later_answer import job_offer, kept_for_later
from api.answering.picture_answer import SvgResponse, as_picture
from api.examples.invented import as_openapi, design_examples, population_examples
from api.examples.question_examples import adoption_examples, best_design_examples, in_document
from api.http.paging import Page, PageQuery, page_of
from api.http.route import StrictRoute
from api.questions.asked_trips import times_at_once
from api.settings.units import UnitsQuery, in_units_but_rows
from api.solving.solve_queue import Solves, solves_of
from catalog.bench.design import Design
from catalog.bench.rating import Rating, rate
from catalog.drawings.class_drawing import class_drawings
from catalog.making.making_figure import MakingFigure, making_figures
from catalog.scores.built_in import tools
from solver import AdoptionForm, BestDesignForm, Effort, Population

router = APIRouter(prefix="/v1/designs", tags=["designs"], route_class=StrictRoute)
_SolvesOf = Annotated[Solves, Depends(solves_of)]


_DesignBody = Annotated[Design, Body(openapi_examples=as_openapi(design_examples()))]
_AdoptionBody = Annotated[AdoptionForm, Body(openapi_examples=in_document(adoption_examples()))]
_BestDesignBody = Annotated[BestDesignForm, Body(openapi_examples=in_document(best_design_examples()))]


class _DesignQuery(PageQuery):
    """Which drawings to list."""

    form: Literal["knife", "axe", "folding saw", "bow saw"] | None = Field(
        None, description="Only drawings of this form."
    )


@router.get(
    "", response_model=Page[Design], response_model_exclude_unset=True, summary="List typical drawings of the classes"
)
async def list_designs(request: Request, query: Annotated[_DesignQuery, Query()]) -> Any:
    """Return a page of typical drawings, sorted by id: the id is that of the built-in tool whose class it is.

    What a drawing leaves out is usual. It can be sent back unchanged; beside the built-in tool it needs another id.
    """
    found = [design for design in typical_designs() if query.form in (None, design.drawing.form)]
    return page_of(request, found, query)


@router.get(
    "/making-figures", response_model=Page[MakingFigure], summary="List what the cost of a drawn tool is reckoned with"
)
async def list_making_figures(request: Request, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of prices, rates of work and losses of a small workshop, sorted by id; all are judged.

    A design may state others in `making.figures`, each from `hard_low` to `hard_high`.
    """
    return page_of(request, sorted(making_figures().values(), key=lambda row: row.id), query)


@cache
def typical_designs() -> tuple[Design, ...]:
    """Return the typical drawing of each class that has one, named as the built-in tool, sorted by id."""
    named = {tool.id: tool.name for tool in tools()}
    return tuple(Design(id=tool, name=named[tool], drawing=drawn) for tool, drawn in sorted(class_drawings().items()))


@router.post("/score", response_model=Rating, summary="Score a drawn tool: mass, strength and abilities")
async def post_score(
    design: _DesignBody,
    solves: _SolvesOf,
    query: Annotated[UnitsQuery, Query()],
) -> Any:
    """Return mass, balance, strength, scores with derivations, cost and cautions of a drawing.

    `tool` is a catalog row. A trip takes it unchanged in `tools` or `extra_tools`.
    """
    rating, timing = await solves.run(lambda _: rate(design))
    return JSONResponse(in_units_but_rows(to_jsonable_python(rating), query.units), headers={"Server-Timing": timing})


@router.post("/drawing.svg", response_class=SvgResponse, summary="Draw a tool to scale, a blade with its sections")
async def post_drawing(design: _DesignBody, solves: _SolvesOf) -> Any:
    """Return an SVG of A4 width: the side view with its measures and its scale."""
    return await as_picture(lambda _: _tool_picture().drawing_svg(design), solves)


@router.post("/mass.svg", response_class=SvgResponse, summary="Plot the mass of a drawn tool against its measures")
async def post_mass(design: _DesignBody, solves: _SolvesOf) -> Any:
    """Return an SVG plot of mass against each measure of the drawing; the other measures stay as drawn."""
    return await as_picture(lambda _: _mass_picture().mass_svg(design), solves)


@router.get(
    "/populations",
    response_model=Page[Population],
    response_model_exclude_unset=True,
    summary="List invented populations of trips",
)
async def list_populations(request: Request, query: Annotated[PageQuery, Query()]) -> Any:
    """Return a page of invented populations, sorted by id: how trips vary, as POST /v1/designs/adoption takes it."""
    rows = [Population.model_validate(body) for _, body in sorted(population_examples().items())]
    return page_of(request, rows, query)


@router.post(
    "/adoption.svg",
    response_class=SvgResponse,
    openapi_extra=job_offer(),
    summary="Draw the share of kits against mass, with rivals",
)
async def post_adoption_picture(
    request: Request, form: _AdoptionBody, shelf: CatalogResolverOf, solves: _SolvesOf
) -> Any:
    """Return an SVG of A4 width: what POST /v1/designs/adoption tells, a line an offer."""
    return await _picture_of(request, await shelf.filled(form), "adoption_picture", "adoption_svg", solves)


@router.post(
    "/adoption-map.svg",
    response_class=SvgResponse,
    openapi_extra=job_offer(),
    summary="Draw maps of who wants a tool",
)
async def post_adoption_map(request: Request, form: _AdoptionBody, shelf: CatalogResolverOf, solves: _SolvesOf) -> Any:
    """Return an SVG of A4 width: `maps` of POST /v1/designs/adoption, nights by cold and thickness of wood by time."""
    return await _picture_of(request, await shelf.filled(form), "adoption_map_picture", "adoption_map_svg", solves)


@router.post(
    "/best.svg",
    response_class=SvgResponse,
    openapi_extra=job_offer(),
    summary="Draw the front of a search for the best design",
)
async def post_front_picture(
    request: Request, form: _BestDesignBody, shelf: CatalogResolverOf, solves: _SolvesOf
) -> Any:
    """Return an SVG of A4 width: `front` of POST /v1/designs/best, grams saved by mass, with margin and price."""
    return await _picture_of(request, await shelf.filled(form), "design_front_picture", "design_front_svg", solves)


async def _picture_of(
    request: Request, form: AdoptionForm | BestDesignForm, module: str, function: str, solves: Solves
) -> Response:
    """Return the picture of the answer to a question, drawn by a function of a module of `api.pictures`, or its job."""
    if (kept := await kept_for_later(request, form)) is not None:
        return kept

    def picture(effort: Effort) -> str:
        answer = form.answer(effort)
        pictures = import_module(f"api.pictures.{module}")  # late: the plotting library takes its time to load
        told: str = getattr(pictures, function)(answer)
        return told

    return await as_picture(picture, solves, times=times_at_once(form))


def _tool_picture() -> ModuleType:
    """Return the module that draws tools; the plotting library takes its time to load, so only when asked."""
    return import_module("api.pictures.tool_picture")


def _mass_picture() -> ModuleType:
    """Return the module that plots masses, loaded as late."""
    return import_module("api.pictures.mass_picture")
