"""The further questions as forms, the bodies that their addresses take over HTTP; each can answer itself."""

from typing import Any, Literal, Self

from pydantic import Field, model_validator

from catalog.bench.design import Design
from catalog.bench.feasibility import LimitName
from catalog.bench.variation import Range
from catalog.equipment.tool import Id
from catalog.tables.whole_number import Whole
from solver.answers.sweep import DesignLimits
from solver.forms.arguments import Confidence, Money, Owned
from solver.forms.effort import Effort
from solver.forms.question_answers import (
    AllowanceAnswer,
    BadNightAnswer,
    CheckAnswer,
    ConfidenceAnswer,
    FrontAnswer,
    SeasonAnswer,
    SureAnswer,
)
from solver.forms.scenario import MOST_SCENARIOS, DiameterRange, Scenario
from solver.forms.trip import Form, SeasonTripForm, Sure, Trip
from solver.makers.best_design_answer import BestDesignAnswer
from solver.makers.best_design_report import MOST_DRAWN, USUAL_DRAWN, DesignRange, best_design
from solver.offers.adoption_answer import AdoptionAnswer
from solver.offers.adoption_report import (
    MOST_RIVALS,
    MOST_SCORE_DRAWS,
    MOST_SEED,
    MOST_TRIPS,
    USUAL_COUNT,
    USUAL_SEED,
    Settle,
    adoption,
)
from solver.offers.offer import Offer, ToolOrDesign
from solver.populations.population import MoneyPerGram, Population
from solver.reports.allowance_report import allowance
from solver.reports.bad_night_report import bad_night
from solver.reports.check_report import check
from solver.reports.confidence_report import confidence
from solver.reports.front_report import front
from solver.reports.minimum_section_report import MinimumSectionAnswer, minimum_section
from solver.reports.season_report import season
from solver.reports.sure_report import sure
from solver.reports.sweep_report import SweepAnswer, sweep
from solver.reports.unmade_tool import UnmadeTool


class FrontForm(Form):
    """A trip, and the second aim besides grams. A trip alone is also accepted, against minutes."""

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
    """A kit of your own, and its trip."""

    kit: list[Id] = Field(
        max_length=1000,
        description="Ids of the carried tools. A knife may be named several times if the trip asks for one for each "
        "person.",
    )
    trip: Trip

    def answer(self, effort: Effort) -> CheckAnswer:
        """Return how the kit does."""
        return check(self.trip, self.kit, effort=effort)


class BadNightForm(Form):
    """A trip, and a kit of your own, or none for the lightest of the trip. A trip alone is also accepted."""

    trip: Trip
    kit: list[Id] | None = Field(
        default=None, max_length=1000, description="Ids of the carried tools; null = the lightest kit of the trip."
    )

    @model_validator(mode="before")
    @classmethod
    def bare_trip(cls, value: Any) -> Any:
        """Take a bare trip as {trip}."""
        return {"trip": value} if isinstance(value, dict) and not {"trip", "kit"} & set(value) else value

    def answer(self, effort: Effort) -> BadNightAnswer:
        """Return what the kit does on a bad night."""
        return bad_night(self.trip, self.kit, effort=effort)


class ConfidenceForm(Form):
    """A trip with uncertain wood: scenarios, a range of diameters, or both."""

    trip: Trip
    scenarios: list[Scenario] = Field(default_factory=list, max_length=MOST_SCENARIOS)
    diameter_range: DiameterRange | None = None
    confidence: Confidence = Field(description="Lowest probability with which the kit must suffice.")

    def answer(self, effort: Effort) -> ConfidenceAnswer:
        """Return what suffices."""
        return confidence(
            self.trip,
            self.scenarios,
            confidence=self.confidence,
            diameter_range=self.diameter_range,
            effort=effort,
        )


class SureForm(Form):
    """A trip, and how sure its kit must be: as said beside the trip, else in it. A trip alone is accepted too."""

    trip: Trip
    sure: Sure | None = None

    @model_validator(mode="before")
    @classmethod
    def bare_trip(cls, value: Any) -> Any:
        """Take a bare trip as {trip}."""
        return {"trip": value} if isinstance(value, dict) and "trip" not in value else value

    def answer(self, effort: Effort) -> SureAnswer:
        """Return how sure the kits are."""
        return sure(self.trip, self.sure, effort=effort)


class SeasonForm(Form):
    """Several trips, and the limits on the tools owned for them."""

    trips: list[SeasonTripForm] = Field(min_length=1, max_length=50)
    own_at_most: Owned | None = Field(default=None, description="Largest number of tools owned.")
    money: Money | None = Field(default=None, description="Largest sum of the prices of the tools owned.")

    def answer(self, effort: Effort) -> SeasonAnswer:
        """Return what to own."""
        return season(self.trips, own_at_most=self.own_at_most, money=self.money, effort=effort)


class AllowanceForm(ToolOrDesign):
    """A tool that is not yet made, as a row or as a drawing, and its trip or trips."""

    tool: UnmadeTool | None = None
    trip: Trip | None = None
    trips: list[Trip] | None = Field(default=None, min_length=1, max_length=50)

    @model_validator(mode="after")
    def one_or_many(self) -> Self:
        """Take trip or trips, one of the two."""
        if (self.trip is None) == (self.trips is None):
            raise ValueError("give exactly one of trip and trips")
        return self

    def answer(self, effort: Effort) -> AllowanceAnswer:
        """Return what the tool may weigh."""
        trips = self.trip if self.trip is not None else self.trips or []
        return allowance(self.row, trips, effort=effort)


class SweepForm(Form):
    """A design, the ranges in which it may vary, its limits, and its trip."""

    design: Design
    vary: list[Range] = Field(min_length=1, max_length=6)
    trip: Trip
    limits: DesignLimits = Field(default_factory=lambda: DesignLimits())
    against: Literal["margin", "minutes", "price"] = Field(
        default="margin",
        description="The second aim of the front, besides grams. `price` is what a piece of the design costs its maker "
        "(`making` or `bill`).",
    )
    loosen: list[LimitName] = Field(
        default_factory=list,
        max_length=20,
        description="Usual limits that the designs need not keep. Each design keeps all the others: see `checks` of a "
        "score.",
    )

    def answer(self, effort: Effort) -> SweepAnswer:
        """Return the best of the designs."""
        return sweep(
            self.design,
            self.vary,
            self.trip,
            limits=self.limits,
            against=self.against,
            loosen=self.loosen,
            effort=effort,
        )


class AdoptionForm(Offer):
    """What is offered, and the trips: a list, or a population from which they are drawn."""

    trips: list[SeasonTripForm] | None = Field(
        default=None, min_length=1, max_length=MOST_TRIPS, description="Trips, and how often each is made."
    )
    population: Population | None = Field(
        default=None,
        description="How trips vary; GET /v1/designs/populations has some, invented. Give either this or trips.",
    )
    count: Whole = Field(
        default=USUAL_COUNT, ge=1, le=MOST_TRIPS, description="Number of trips drawn from the population."
    )
    seed: Whole = Field(default=USUAL_SEED, ge=0, le=MOST_SEED, description="One seed gives one answer.")
    rivals: list[Offer] = Field(
        default_factory=list, max_length=MOST_RIVALS, description="Other offers, judged on the same trips."
    )
    score_draws: Whole = Field(
        default=0,
        ge=0,
        le=MOST_SCORE_DRAWS,
        description="Joint draws of the scores of all tools, asked of the first 50 trips; 0 = none.",
    )

    confidence: Confidence | None = Field(
        default=None,
        description="Share of 32 joint draws of all that is not known in which a kit must suffice: `sure` then tells "
        "the share of trips whose lightest such kit holds the offer. null = kits at the medians alone.",
    )
    money_per_gram: MoneyPerGram | None = Field(
        default=None,
        description="What people pay, once, for each gram less in the pack, where their group says nothing else: "
        "`price_curve` then tells the share against price.",
    )

    def answer(self, effort: Effort, settle: Settle | None = None) -> AdoptionAnswer:
        """Return how often the offer is in a lightest kit; trips are settled here, or as `settle` does."""
        return adoption(
            name=self.name,
            tool=self.tool,
            design=self.design,
            pair=self.pair,
            trips=self.trips,
            population=self.population,
            count=self.count,
            seed=self.seed,
            rivals=self.rivals,
            score_draws=self.score_draws,
            confidence=self.confidence,
            money_per_gram=self.money_per_gram,
            effort=effort,
            settle=settle,
        )


class MinimumSectionForm(Form):
    """A drawing of a knife, with its loads."""

    design: Design

    def answer(self, effort: Effort) -> MinimumSectionAnswer:
        """Return how thin its spine and how acute its edge may be."""
        return minimum_section(self.design, effort=effort)


class BestDesignForm(Form):
    """A design to start from, its measures that may move, its limits, and trips: some, or those of a population."""

    design: Design = Field(description="Where the search starts, and what stays the same.")
    trips: list[SeasonTripForm] | None = Field(
        default=None, min_length=1, max_length=20, description="What it is for; give either this or a population."
    )
    population: Population | None = Field(
        default=None, description="How the trips vary that it is for; GET /v1/designs/populations has some, invented."
    )
    count: Whole = Field(
        default=USUAL_DRAWN, ge=1, le=MOST_DRAWN, description="Number of trips drawn from the population."
    )
    measures: list[DesignRange] | None = Field(
        default=None,
        min_length=1,
        max_length=20,
        description="What may move, and how far; by default all usual measures of the drawing.",
    )
    limits: DesignLimits = Field(default_factory=lambda: DesignLimits())
    loosen: list[LimitName] = Field(
        default_factory=list, max_length=20, description="Usual limits that the designs need not keep."
    )
    tries: Whole = Field(default=400, ge=50, le=20_000, description="How many designs the search may try.")
    seed: Whole = Field(default=1, ge=0, le=2**31 - 1)
    plateau_g: float = Field(default=5.0, ge=0, le=1000, description="Grams saved that a plateau may lose.")

    def answer(self, effort: Effort) -> BestDesignAnswer:
        """Return the best design that the search finds."""
        return best_design(
            self.design,
            self.trips,
            population=self.population,
            count=self.count,
            measures=self.measures,
            limits=self.limits,
            loosen=self.loosen,
            tries=self.tries,
            seed=self.seed,
            plateau_g=self.plateau_g,
            effort=effort,
        )
