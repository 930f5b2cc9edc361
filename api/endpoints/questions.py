"""Questions about kits: what each takes, and who answers it. Their rows are in `api/questions/registry.py`."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from catalog.equipment.tool import Id
from catalog.tables.whole_number import whole
from solver import Effort, Trip, check, confidence, front, season
from solver.forms.question_answers import CheckAnswer, ConfidenceAnswer, FrontAnswer, SeasonAnswer
from solver.forms.scenario import DiameterRange, Scenario
from solver.forms.trip import Form


class FrontForm(Form):
    """A trip, and what grams are weighed against. A bare trip is taken too, against minutes."""

    trip: Trip
    against: Literal["minutes", "price"] = "minutes"

    @model_validator(mode="before")
    @classmethod
    def bare_trip(cls, value: Any) -> Any:
        """Take a bare trip as {trip}."""
        return {"trip": value} if isinstance(value, dict) and "trip" not in value else value


def answer_front(form: FrontForm, effort: Effort) -> FrontAnswer:
    """Return the front."""
    return front(form.trip, against=form.against, effort=effort)


class CheckForm(Form):
    """A kit of one's own, and the trip it is for."""

    kit: list[Id] = Field(max_length=1000, description="Ids of the tools carried.")
    trip: Trip


def answer_check(form: CheckForm, effort: Effort) -> CheckAnswer:
    """Return how the kit does."""
    return check(form.trip, form.kit, effort=effort)


class ConfidenceForm(Form):
    """A trip whose wood is uncertain: scenarios, or a range of diameters, or both."""

    trip: Trip
    scenarios: list[Scenario] = Field(default_factory=list, max_length=64)
    diameter_range: DiameterRange | None = None
    confidence: float = Field(gt=0, le=1, description="Least probability with which the kit must suffice.")


def answer_confidence(form: ConfidenceForm, effort: Effort) -> ConfidenceAnswer:
    """Return what suffices."""
    return confidence(form.trip, form.scenarios, form.confidence, spread=form.diameter_range, effort=effort)


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


def answer_season(form: SeasonForm, effort: Effort) -> SeasonAnswer:
    """Return what to own."""
    trips = [(one.weight, one.trip) for one in form.trips]
    return season(trips, own_at_most=form.own_at_most, money=form.money, effort=effort)
