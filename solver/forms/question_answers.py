"""Answers to the further questions, as callers see them."""

from typing import Literal

from catalog import Assumption
from solver.forms.answer import CautionAnswer, Gap, Kit, KitBrief, NeedAnswer, Output, Working


class FrontPoint(Output):
    """A kit of the front; price sums the known prices, and unpriced are the ids of its tools whose price is unknown.

    Where unpriced is not empty, the price of the kit is unknown: what is told is the least that it may be.
    """

    ids: list[str]
    methods: list[str]
    mass_g: float
    work_min_per_day: float
    price: float
    unpriced: list[str]


class FrontAnswer(Output):
    """Every non-dominated kit, the lightest first; status feasible where the list may not be whole."""

    name: str | None
    against: Literal["minutes", "price"]
    status: Literal["optimal", "feasible", "uncovered"]
    points: list[FrontPoint]
    gaps: list[Gap]
    cautions: list[CautionAnswer]


class SwapAnswer(Output):
    """A change of one tool: what leaves, what comes, and the grams it saves (below 0: adds)."""

    out: str | None
    into: str | None
    saves_g: float


class CheckAnswer(Output):
    """The user's own kit on a trip: covered or not, margins, minutes, gaps, and how far from the lightest."""

    name: str | None
    covered: bool
    kit: Kit
    needs: list[NeedAnswer]
    workings: list[Working]
    gaps: list[Gap]
    lightest: KitBrief | None
    over_lightest_g: float | None
    first_swap: SwapAnswer | None
    cautions: list[CautionAnswer]
    assumptions: list[Assumption]


class TripAllowance(Output):
    """The allowance on one trip [g packed], or null with the reason; the kits without and with the tool.

    price_allowance is the most that the tool may cost at the mass it has; null where the trip has no price limit,
    and where no price is low enough.
    """

    name: str | None
    allowance_g: float | None
    reason: Literal["never", "unbounded"] | None
    without: list[str] | None
    with_tool: list[str] | None
    replaces: list[str]
    price_allowance: float | None
    text: str


class AllowanceAnswer(Output):
    """The least allowance over the trips [g packed], or null with the reason (never, unbounded)."""

    tool: str
    allowance_g: float | None
    reason: Literal["never", "unbounded"] | None
    trips: list[TripAllowance]


class StepAnswer(Output):
    """A kit with the probability that it suffices, and its price against the one before [g]."""

    ids: list[str]
    mass_g: float
    probability: float
    suffices_in: list[int]
    more_g: float | None


class BeyondAnswer(Output):
    """A scenario (its place among the weights) that no kit covers, with its gaps."""

    scenario: int
    gaps: list[Gap]


class ConfidenceAnswer(Output):
    """The lightest kit that suffices with a probability; steps are every kit lightest for some confidence.

    Where no kit does, `beyond` names the scenarios that none covers; the last step is then the likeliest kit.
    """

    name: str | None
    status: Literal["optimal", "uncovered"]
    confidence: float
    probability: float
    kit: KitBrief | None
    suffices_in: list[int]
    weights: list[float]
    steps: list[StepAnswer]
    alternatives: list[StepAnswer]
    beyond: list[BeyondAnswer]


class SeasonTrip(Output):
    """A trip of the season with its kit; gaps, where no kit covers it whatever is owned."""

    name: str | None
    weight: float
    ids: list[str]
    mass_g: float
    gaps: list[Gap]


class SeasonAnswer(Output):
    """Tools to own, each trip's kit, the weighted grams, and what the next tool bought would save [g].

    The next tool comes to what is owned, whatever it costs; next_own is both together. Where no tools do for all
    trips, gaps tell by how much number or money fall short, or each trip's own gaps why no kit covers it.
    """

    status: Literal["optimal", "uncovered"]
    own: list[str]
    weighted_g: float
    trips: list[SeasonTrip]
    next_tool_saves_g: float | None
    next_own: list[str] | None
    gaps: list[Gap]
