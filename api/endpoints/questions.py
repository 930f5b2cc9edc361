"""The further questions: POST /v1/kits/front, /check, /confidence, /season, and /v1/designs/allowance."""

from typing import Annotated, Any

from fastapi import APIRouter, Body

from api.answering.catalog_resolver import ShelfOf
from api.answering.progress import LINES, TellerOf
from api.answering.question_route import QuestionRoute
from api.examples.invented import design_examples
from api.examples.question_bodies import bodies
from solver import (
    AllowanceAnswer,
    AllowanceForm,
    CheckAnswer,
    CheckForm,
    ConfidenceAnswer,
    ConfidenceForm,
    FrontAnswer,
    FrontForm,
    SeasonAnswer,
    SeasonForm,
)

router = APIRouter(prefix="/v1", route_class=QuestionRoute)


def example(question: str) -> Any:
    """Return the example of a question's body."""
    return Body(openapi_examples={"invented": {"summary": "An invented case", "value": bodies()[question]}})


@router.post(
    "/kits/front", response_model=FrontAnswer, tags=["kits"], summary="Every non-dominated kit", responses=LINES
)
async def post_front(
    form: Annotated[FrontForm, example("front")],
    tell: TellerOf,
    shelf: ShelfOf,
) -> Any:
    """Return every kit that no other beats in grams and minutes a day (or grams and price)."""
    form = await shelf.filled(form)
    return await tell.answer(form.answer)


@router.post(
    "/kits/check", response_model=CheckAnswer, tags=["kits"], summary="Check a kit of your own", responses=LINES
)
async def post_check(
    form: Annotated[CheckForm, example("check")],
    tell: TellerOf,
    shelf: ShelfOf,
) -> Any:
    """Return whether a kit covers a trip, its margins, minutes and gaps, and what to swap first."""
    form = await shelf.filled(form)
    return await tell.answer(form.answer)


@router.post(
    "/kits/confidence",
    response_model=ConfidenceAnswer,
    tags=["kits"],
    summary="A kit for uncertain wood",
    responses=LINES,
)
async def post_confidence(
    form: Annotated[ConfidenceForm, example("confidence")],
    tell: TellerOf,
    shelf: ShelfOf,
) -> Any:
    """Return the lightest kit that suffices with a probability, and the price of each step of it."""
    form = await shelf.filled(form)
    return await tell.answer(form.answer)


@router.post(
    "/kits/season", response_model=SeasonAnswer, tags=["kits"], summary="What to own for a season", responses=LINES
)
async def post_season(
    form: Annotated[SeasonForm, example("season")],
    tell: TellerOf,
    shelf: ShelfOf,
) -> Any:
    """Return the tools to own, and each trip's kit of them, so that the weighted grams are least."""
    form = await shelf.filled(form)
    return await tell.answer(form.answer)


def allowance_examples() -> dict[str, Any]:
    """Return an allowance asked for a row, and for a drawing."""
    drawn = {"design": design_examples()["long-knife"], "trip": bodies()["allowance"]["trip"]}
    return {
        "invented": {"summary": "An invented row", "value": bodies()["allowance"]},
        "drawn": {"summary": "An invented drawing", "value": drawn},
    }


@router.post(
    "/designs/allowance",
    response_model=AllowanceAnswer,
    tags=["designs"],
    summary="What a tool may weigh",
    responses=LINES,
)
async def post_allowance(
    form: Annotated[AllowanceForm, Body(openapi_examples=allowance_examples())],
    tell: TellerOf,
    shelf: ShelfOf,
) -> Any:
    """Return the most packed mass at which a tool is in some lightest kit, per trip and the least of them."""
    form = await shelf.filled(form)
    return await tell.answer(form.answer)
