"""Files of the workshop over HTTP: POST /v1/designs/sheet.pdf, sheet.dxf, outline.svg and outline.dxf."""

from importlib import import_module
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Body, Depends, Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from api.endpoints.designs import typical_designs
from api.examples.invented import as_openapi, design_examples
from api.http.media import DXF, SVG, RawBody
from api.http.problem_details import NotInstalled
from api.http.route import StrictRoute
from api.solving.solve_queue import Solves, solves_of
from api.workshop.outline_example import EXAMPLE_DXF, EXAMPLE_SVG, LIKE
from api.workshop.outline_file import OutlineRefused, ReadingForm, WorkshopMissing
from api.workshop.outline_reader import FileKind, ReadDesign, read_design
from catalog.bench.design import Design
from catalog.bench.tolerance import Process
from solver import Effort, Fault, TripError

router = APIRouter(prefix="/v1/designs", tags=["designs"], route_class=StrictRoute)
_PDF = "application/pdf"
_DesignBody = Annotated[Design, Body(openapi_examples=as_openapi(design_examples()))]
_SolvesOf = Annotated[Solves, Depends(solves_of)]
_BINARY: dict[str, Any] = {"type": "string", "format": "binary"}


class _SheetQuery(BaseModel):
    """How a sheet is made. Unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    process: Process = Field("by hand", description="How it is made, for its tolerances.")


class _PdfQuery(_SheetQuery):
    """How a sheet is made and printed. Unknown parameters are refused."""

    paper: Literal["a4", "letter", "long"] = Field(
        "a4", description="What it is printed on. long: one page as long as the tool, for a plotter."
    )


class _OutlineQuery(ReadingForm):
    """How a drawing file is read, and which typical drawing it changes. Unknown parameters are refused."""

    like: str = Field(
        LIKE,
        max_length=80,
        description="Id of GET /v1/designs: the drawing whose other measures and materials the design has.",
    )


def _file_answer(media: str) -> dict[int | str, dict[str, Any]]:
    """Return what the contract says of an answer that is a file."""
    return {200: {"description": "The sheet", "content": {media: {"schema": _BINARY}}}, 503: {}}


def _file_body(media: str, example: str) -> dict[str, Any]:
    """Return what the contract says of a body that is a file."""
    content = {"schema": _BINARY, "example": example}
    told = "The file, its outline at 1:1, in a unit that it says or that `unit` states."
    return {"requestBody": {"required": True, "description": told, "content": {media: content}}}


@router.post(
    "/sheet.pdf",
    response_class=Response,
    responses=_file_answer(_PDF),
    summary="Write the workshop sheet of a drawn tool as PDF, 1:1",
)
async def post_sheet_pdf(design: _DesignBody, solves: _SolvesOf, query: Annotated[_PdfQuery, Query()]) -> Response:
    """Return a page of measures, steel, heat and cautions, then every view at 1:1 with its measures.

    A view longer than the paper is split, with lines to join it by; each page has a bar of 100 mm to check it with.
    """

    def made(effort: Effort) -> bytes:
        sheets = import_module("api.workshop.pdf_sheet")  # late: the plotting library takes its time to load
        told: bytes = sheets.sheet_pdf(design, paper=query.paper, process=query.process, heed=effort.begun().go_on)
        return told

    written, timing = await solves.run(made)
    return _sheet(written, _PDF, f"{design.id}.pdf", timing)


@router.post(
    "/sheet.dxf",
    response_class=Response,
    responses=_file_answer(DXF),
    summary="Write the workshop sheet of a drawn tool as DXF, 1:1",
)
async def post_sheet_dxf(design: _DesignBody, solves: _SolvesOf, query: Annotated[_SheetQuery, Query()]) -> Response:
    """Return the same views as a DXF in millimetres, on layers, with dimensions.

    The outline stands on layer BLADE (of an axe HEAD). POST /v1/designs/outline.dxf reads it back.
    """

    def made(effort: Effort) -> bytes:
        sheets = import_module("api.workshop.dxf_sheet")
        told: bytes = sheets.sheet_dxf(design, process=query.process, heed=effort.begun().go_on)
        return told

    try:
        written, timing = await solves.run(made)
    except WorkshopMissing as error:
        raise NotInstalled(error.told()) from error
    return _sheet(written, DXF, f"{design.id}.dxf", timing)


def _sheet(written: bytes, media: str, name: str, timing: str) -> Response:
    """Return a sheet as a file of a name."""
    headers = {"Server-Timing": timing, "X-Content-Type-Options": "nosniff"}
    headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return Response(written, media_type=media, headers=headers)


@router.post(
    "/outline.svg",
    response_model=ReadDesign,
    response_model_exclude_unset=True,
    responses={503: {}},
    openapi_extra=_file_body(SVG, EXAMPLE_SVG),
    summary="Read a tool's outline from an SVG",
)
async def post_outline_svg(body: RawBody, solves: _SolvesOf, query: Annotated[_OutlineQuery, Query()]) -> Any:
    """Return the design that the outline makes of a typical drawing, and what it changed.

    The file is at 1:1; curves are cut into chords. An outline that is open or crosses itself is refused with the place.
    Nothing outside the file is read.
    """
    return await _read(body, "svg", solves, query)


@router.post(
    "/outline.dxf",
    response_model=ReadDesign,
    response_model_exclude_unset=True,
    responses={503: {}},
    openapi_extra=_file_body(DXF, EXAMPLE_DXF),
    summary="Read a tool's outline from a DXF",
)
async def post_outline_dxf(body: RawBody, solves: _SolvesOf, query: Annotated[_OutlineQuery, Query()]) -> Any:
    """Return the design that the outline makes of a typical drawing, and what it changed. As `outline.svg`."""
    return await _read(body, "dxf", solves, query)


async def _read(body: bytes, kind: FileKind, solves: Solves, query: _OutlineQuery) -> ReadDesign:
    """Return the design of a file.

    Raises:
        TripError: there is no such drawing, or the file can't be taken.
        NotInstalled: the libraries are not installed.
    """
    known = {one.id: one for one in typical_designs()}
    if query.like not in known:
        detail = f"there is no typical drawing {query.like!r}; GET /v1/designs lists them"
        raise TripError([Fault("#/query/like", query.like, "an id of GET /v1/designs", detail)])
    like, form = known[query.like], ReadingForm.model_validate(query.model_dump(exclude={"like"}))
    try:
        found, _ = await solves.run(
            lambda effort: read_design(body, kind, like=like, form=form, heed=effort.begun().go_on)
        )
    except OutlineRefused as error:
        raise TripError([Fault("#", None, "a drawing of one outline", error.told())]) from error
    except WorkshopMissing as error:
        raise NotInstalled(error.told()) from error
    return found
