"""Pictures of answers about kits: POST /v1/kits/sure.svg."""

from importlib import import_module
from typing import Annotated, Any

from fastapi import APIRouter, Body, Depends, Request

from api.answering.catalog_resolver import CatalogResolverOf
from api.answering.later_answer import job_offer, kept_for_later
from api.answering.picture_answer import SvgResponse, as_picture
from api.examples.question_examples import in_document, sure_examples
from api.http.route import StrictRoute
from api.questions.asked_trips import times_at_once
from api.solving.solve_queue import Solves, solves_of
from solver import Effort, SureForm

router = APIRouter(prefix="/v1/kits", tags=["kits"], route_class=StrictRoute)
_Body = Annotated[SureForm, Body(openapi_examples=in_document(sure_examples()))]


@router.post(
    "/sure.svg",
    response_class=SvgResponse,
    openapi_extra=job_offer(),
    summary="Draw how sure kits are: grams against probability",
)
async def post_sure_picture(
    request: Request, form: _Body, shelf: CatalogResolverOf, solves: Annotated[Solves, Depends(solves_of)]
) -> Any:
    """Return an SVG of A4 width: what POST /v1/kits/sure tells, as a curve, and bars of what matters."""
    filled = await shelf.filled(form)
    if (kept := await kept_for_later(request, filled)) is not None:
        return kept

    def picture(effort: Effort) -> str:
        answer = filled.answer(effort)
        pictures = import_module("api.pictures.sure_picture")  # late: the plotting library takes its time to load
        told: str = pictures.sure_svg(answer, name=answer.name)
        return told

    return await as_picture(picture, solves, times=times_at_once(filled))
