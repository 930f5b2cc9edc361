"""Answers to the further questions, as callers see them."""

from typing import Literal

from solver.forms.answer import CautionAnswer, FigureInForce, TrialScore
from solver.forms.kit_answer import Gap, Kit, KitBrief, NeedAnswer, Output, Working
from solver.forms.sure_answer import SureKit, Sureness


class FrontPoint(Output):
    """A kit of the front. `price` is the sum of known prices; `unpriced` are the ids of tools with an unknown price.

    If `unpriced` is not empty, the price of the kit is unknown, and `price` is the lowest that it can be.
    """

    ids: list[str]
    methods: list[str]
    mass_g: float
    work_min_per_day: float
    price: float
    unpriced: list[str]


class FrontAnswer(Output):
    """Every non-dominated kit, the lightest first. Status `feasible` means that the list may be incomplete.

    Where the effort ended before any was proven, it has one kit, which others may beat.
    `checked`: whole numbers prove that the list is complete and that no kit beats one of it.
    """

    name: str | None
    against: Literal["minutes", "price"]
    status: Literal["optimal", "feasible", "uncovered"]
    checked: bool
    points: list[FrontPoint]
    gaps: list[Gap]
    cautions: list[CautionAnswer]


class SwapAnswer(Output):
    """A change of one tool: the tool to leave out, the tool to take, and the grams saved (below 0: added)."""

    out: str | None
    into: str | None
    saves_g: float


class CheckAnswer(Output):
    """The user's own kit on a trip: covered or not, margins, minutes, gaps, and the grams above the lightest kit.

    `checked`: whole numbers alone prove the lightest kit and the first swap. `not_settled` names those of `lightest`,
    `first_swap`, `sure` and `fresh` for which the time or the effort allowed did not suffice. `sure`: in what share of
    the draws the kit suffices, null where the trip does not ask for it; with `fresh` among `not_settled` it was tried
    on fewer fresh draws than 4,096 (`sure.fresh.draws`).
    """

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
    assumptions: list[FigureInForce]
    trials: list[TrialScore]
    sure: SureKit | None
    checked: bool
    not_settled: list[str]


class TripAllowance(Output):
    """The largest useful mass of a tool on one trip [g packed], or null with the reason; the kits without and with it.

    `price_allowance` is the highest useful price of the tool at its mass. It is null if the trip has no price limit,
    or if no price is low enough. `allowance_p20_g`: what four in five joint draws of all scores from their intervals
    allow at least [g packed]; 0 where a fifth or more of them leave it no mass, null where it is without bound or was
    not settled in time. `checked`: whole numbers alone prove the kits that it rests on. Where the effort ended
    first, the status is `feasible` with an allowance that is proven as far as it goes, or `not_settled` without any;
    `not_settled` names what is not told in full. No allowance is above `at_most_g` (null = not known, or no end).
    """

    name: str | None
    allowance_g: float | None
    allowance_p20_g: float | None
    reason: Literal["never", "unbounded"] | None
    without: list[str] | None
    with_tool: list[str] | None
    replaces: list[str]
    price_allowance: float | None
    text: str
    checked: bool
    status: Literal["optimal", "feasible", "not_settled"]
    at_most_g: float | None
    not_settled: list[str]


class AllowanceAnswer(Output):
    """The least allowance of all trips [g packed], or null with the reason (never, unbounded).

    `status`, `at_most_g` and `checked` are of the least, as they are of each trip; one trip with `never` settles it.
    `allowance_p20_g`: what four in five joint draws of all scores allow on every trip.
    """

    tool: str
    allowance_g: float | None
    allowance_p20_g: float | None
    reason: Literal["never", "unbounded"] | None
    trips: list[TripAllowance]
    checked: bool
    status: Literal["optimal", "feasible", "not_settled"]
    at_most_g: float | None


class StepAnswer(Output):
    """A kit, the probability that it suffices, and its extra mass over the step before [g]."""

    ids: list[str]
    mass_g: float
    probability: float
    suffices_in: list[int]
    more_g: float | None


class BeyondAnswer(Output):
    """A scenario that no kit covers, by its index in `weights`, with its gaps."""

    scenario: int
    gaps: list[Gap]


class ConfidenceAnswer(Output):
    """The lightest kit that suffices with the probability asked for.

    `steps` lists every kit that is the lightest for some confidence. If no kit reaches the confidence, `beyond` names
    the scenarios that no kit covers, and the last step is the kit with the highest probability. If kits cover scenarios
    enough, but no one kit does, `gaps` names the limits that must give way, each with the least that is enough.
    `checked`: whole numbers prove the kit, every step and every alternative. Where they don't, the status with a kit is
    `feasible`, and without one `not_settled`. `not_settled` names what the time or the effort allowed did not suffice
    for: steps, alternatives, beyond (which scenarios, or all of their gaps), gaps.
    """

    name: str | None
    status: Literal["optimal", "feasible", "uncovered", "not_settled"]
    checked: bool
    confidence: float
    probability: float
    kit: KitBrief | None
    suffices_in: list[int]
    weights: list[float]
    steps: list[StepAnswer]
    alternatives: list[StepAnswer]
    beyond: list[BeyondAnswer]
    gaps: list[Gap]
    not_settled: list[str]


class SureAnswer(Sureness):
    """How sure the lightest kit of a trip is, and the lightest kit that suffices in a share of joint draws."""

    name: str | None


class SeasonTrip(Output):
    """A trip of the season with its kit, or its gaps if no kit covers it."""

    name: str | None
    weight: float
    ids: list[str]
    mass_g: float
    gaps: list[Gap]


class SeasonAnswer(Output):
    """Tools to own, the kit of each trip, the weighted grams, and the grams that one more tool would save [g].

    `next_own` is the tools to own plus that tool, whatever it costs; both are null where its proof took too long.
    If no set of tools is enough for all trips, `gaps` says how much the number of tools or the money must grow. If
    no kit covers a trip, its own `gaps` say why. No tools within the limits come below `bound_g`; where the effort
    ended before they were proven least, the status is `feasible` and `gap_g` is above 0; where it ended before any were
    found, it is `not_settled`, with no kits. `found`: tools to own are told; where it is false `own` is empty and
    `weighted_g` 0 because there is nothing to tell. `checked`: all of it is proven in whole numbers. `not_settled`
    names what is not: own, next_own, gaps, trips (their own gaps).
    """

    status: Literal["optimal", "feasible", "uncovered", "not_settled"]
    found: bool
    own: list[str]
    weighted_g: float
    trips: list[SeasonTrip]
    next_tool_saves_g: float | None
    next_own: list[str] | None
    gaps: list[Gap]
    bound_g: float | None
    gap_g: float | None
    checked: bool
    not_settled: list[str]


MishapName = Literal["longer", "colder", "wet", "lost", "hurt", "all-weather"]


class NightState(Output):
    """What a trip asks of any kit: nights, air, wood, people who can work, firewood, and the minutes there are."""

    nights: int
    air_c: float
    wood_state: str
    frozen: bool
    people: int
    firewood_kg_per_day: float
    limit_min_per_day: float


class Shortfall(Output):
    """What does not get done, and why: a need (null = the day as a whole) and a sentence.

    `size` and `score`: the closest tool falls short. `tool`: nothing in the kit can do it. `companion`, `backup`: a
    second tool is missing. `knife`: no knife that counts stays in the pack, or too few do. `reach`: too little wood is
    near. `wear`: edges do not last. `time`: the day is too long.
    """

    need: str | None
    why: Literal["size", "score", "tool", "companion", "backup", "knife", "reach", "wear", "time"]
    text: str


class NightAnswer(Output):
    """What a kit still does: needs met and not met, and the minutes a day for what is done.

    `covered`: everything within the work limit. `late`: everything, but in more minutes. `cannot`: not everything.
    """

    status: Literal["covered", "late", "cannot"]
    work_min_per_day: float
    met: list[str]
    missing: list[Shortfall]
    text: str


class LossOutcome(Output):
    """One tool of the kit lost, of several of one sort one, and what the others then do.

    No backup and no knife in the pack are asked for any more.
    """

    tool: str
    outcome: NightAnswer


class KitThatBears(Output):
    """The lightest kit that bears something, against the kit that was told: grams more, tools to add and to leave.

    Status `feasible` means that the search was cut short: no such kit weighs less than `bound_g`. `checked`: whole
    numbers alone prove the kit.
    """

    status: Literal["optimal", "feasible"]
    ids: list[str]
    mass_g: float
    bound_g: float
    more_g: float
    add: list[str]
    leave: list[str]
    checked: bool


class BadNightCase(Output):
    """One thing that goes wrong: what changes, what still gets done, and the lightest kit that bears it.

    If `applies` is false, `changes` says why. `lost` is the most used tool, and `outcome` is without it; `losses` has
    each tool of the kit; `status` is that of the worst of them. A kit bears `lost` if it does all work within the
    work limit whichever one of its tools is lost. If no kit bears the case, `lightest` is null, `no_kit` says why, and
    `closest` is the lightest kit for what can be had. If it is not settled which kit does, all three are null.
    """

    case: MishapName
    applies: bool
    changes: str
    state: NightState | None
    status: Literal["covered", "late", "cannot"] | None
    outcome: NightAnswer | None
    lost: str | None
    losses: list[LossOutcome]
    lightest: KitThatBears | None
    no_kit: str | None
    closest: KitBrief | None


class BearsAll(Output):
    """The lightest one kit that does the trip as planned and bears each of the cases in `bears`.

    `leaves_out` are the cases that no kit bears. Status `none`: no one kit bears the rest; the text says why.
    `not_settled`: the time or the effort allowed did not suffice to tell.
    """

    status: Literal["optimal", "feasible", "none", "not_settled"]
    kit: KitThatBears | None
    bears: list[MishapName]
    leaves_out: list[MishapName]
    text: str


class BadNightAnswer(Output):
    """A kit on the trip as planned, and in each thing that may go wrong.

    `checked`: whole numbers alone prove each lightest kit that is told. `not_settled` names what the time or the effort
    allowed did not suffice for: `kit` (the lightest kit of the trip), a case (the lightest kit that bears it),
    `losses`, `bears_all`.
    """

    name: str | None
    kit: KitBrief
    state: NightState
    planned: NightAnswer
    cases: list[BadNightCase]
    bears_all: BearsAll
    cautions: list[CautionAnswer]
    assumptions: list[FigureInForce]
    trials: list[TrialScore]
    checked: bool
    not_settled: list[str]
