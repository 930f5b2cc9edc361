"""The further questions: POST /v1/kits/front, /check, /confidence, /season, and /v1/designs/allowance."""

from typing import Annotated, Any, Literal, Self

from fastapi import APIRouter, Body
from pydantic import BeforeValidator, Field, model_validator

from api.answering.catalog_resolver import ShelfOf
from api.answering.progress import LINES, TellerOf
from api.answering.question_route import QuestionRoute
from api.examples.invented import design_examples
from api.examples.question_bodies import bodies
from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.equipment.tool import Grams, Id
from catalog.tables.whole_number import whole
from solver import Effort, Trip, allowance, check, confidence, front, season
from solver.forms.question_answers import AllowanceAnswer, CheckAnswer, ConfidenceAnswer, FrontAnswer, SeasonAnswer
from solver.forms.scenario import DiameterRange, Scenario
from solver.forms.trip import Form

router = APIRouter(prefix="/v1", route_class=QuestionRoute)


class FrontForm(Form):
    """A trip, and what grams are weighed against. A bare trip is taken too, against minutes."""

    trip: Trip
    against: Literal["minutes", "price"] = "minutes"

    @model_validator(mode="before")
    @classmethod
    def bare_trip(cls, value: Any) -> Any:
        """Take a bare trip as {trip}."""
        return {"trip": value} if isinstance(value, dict) and "trip" not in value else value

    def answer(self, effort: Effort) -> FrontAnswer:
        """Return the front."""
        return front(self.trip, against=self.against, effort=effort)


class CheckForm(Form):
    """A kit of one's own, and the trip it is for."""

    kit: list[Id] = Field(max_length=1000, description="Ids of the tools carried.")
    trip: Trip

    def answer(self, effort: Effort) -> CheckAnswer:
        """Return how the kit does."""
        return check(self.trip, self.kit, effort=effort)


class ConfidenceForm(Form):
    """A trip whose wood is uncertain: scenarios, or a range of diameters, or both."""

    trip: Trip
    scenarios: list[Scenario] = Field(default_factory=list, max_length=64)
    diameter_range: DiameterRange | None = None
    confidence: float = Field(gt=0, le=1, description="Least probability with which the kit must suffice.")

    def answer(self, effort: Effort) -> ConfidenceAnswer:
        """Return what suffices."""
        return confidence(self.trip, self.scenarios, self.confidence, spread=self.diameter_range, effort=effort)


class SeasonTripForm(Form):
    """A trip and how often it is made."""

    weight: float = Field(1.0, gt=0, le=1e6)
    trip: Trip


# The range stands before the validator: behind it, the schema of a union would not say it.
Owned = Annotated[int, Field(ge=0, le=1000), BeforeValidator(whole)]


class SeasonForm(Form):
    """Several trips, and how much may be owned for them."""

    trips: list[SeasonTripForm] = Field(min_length=1, max_length=50)
    own_at_most: Owned | None = Field(None, description="Tools that may be owned.")
    money: float | None = Field(None, ge=0, le=1e9, description="Sum of the prices of the tools owned.")

    def answer(self, effort: Effort) -> SeasonAnswer:
        """Return what to own."""
        trips = [(one.weight, one.trip) for one in self.trips]
        return season(trips, own_at_most=self.own_at_most, money=self.money, effort=effort)


class UnmadeTool(Tool):
    """A tool not yet made: a tool whose mass may be left out, since nothing hangs on it."""

    mass_g: Grams = Field(0.0, description="Bare mass [g]; it does not matter here.")


class AllowanceForm(Form):
    """A tool not yet made, as a row or as a drawing, and the trip or trips it is for."""

    tool: UnmadeTool | None = None
    design: Design | None = Field(None, description="A drawing, whose scores and mass are derived.")
    trip: Trip | None = None
    trips: list[Trip] | None = Field(None, min_length=1, max_length=50)

    @model_validator(mode="after")
    def one_or_many(self) -> Self:
        """Take trip or trips, one of the two, and tool or design."""
        if (self.trip is None) == (self.trips is None):
            raise ValueError("give trip or trips, one of the two")
        if (self.tool is None) == (self.design is None):
            raise ValueError("give tool or design, one of the two")
        return self

    @property
    def row(self) -> Tool:
        """The tool as a row of the catalog."""
        if self.design is not None:
            return rate(self.design).tool
        assert self.tool is not None  # `one_or_many`
        return self.tool

    def answer(self, effort: Effort) -> AllowanceAnswer:
        """Return what the tool may weigh."""
        trips = self.trips or ([self.trip] if self.trip is not None else [])
        return allowance(self.row, trips, alone=self.trip is not None, effort=effort)


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
