"""The answer to a trip, as callers see it. Outputs have no defaults: a field is there, if only as null."""

from typing import Literal

from catalog import Assumption, WeightedPart
from solver.forms.kit_answer import (
    FactValue,
    Gap,
    Kit,
    KitBrief,
    KitTool,
    NeedAnswer,
    Output,
    PersonShare,
    ShareProof,
    Working,
)
from solver.forms.sure_answer import Sureness


class EffortSide(Output):
    """Energy to carry a kit and to work with it, per person and day, above rest [kcal].

    `work_kcal_low` and `work_kcal_high` are the same work at the ends of the bands of METs. Rest costs nothing.
    """

    ids: list[str]
    mass_g: float
    work_min_per_day: float
    carry_kcal_per_person_day: float
    work_kcal_per_person_day: float
    work_kcal_low: float
    work_kcal_high: float


class EffortAnswer(Output):
    """The cost of grams in walking, and what they save in wood work.

    `kcal_per_100g_day` follows Pandolf and Santee. `kcal_per_100g_day_lcda` is a second estimate by LCDA 2022.
    `break_even_min_per_100g` is the wood work a day that another 100 g must save to pay off [min].
    """

    aim: str
    walking_h_per_day: float
    kcal_per_100g_day: float
    kcal_per_100g_day_lcda: float
    break_even_min_per_100g: float
    chosen: EffortSide
    lightest: EffortSide


class AbilityPin(Output):
    """The lowest value of a tool's ability at which this kit is still the lightest; 0 = the ability is not needed."""

    task: str
    max_mm: float
    max_may_fall_to_mm: float
    score: float
    score_may_fall_to: float


class ToolPin(Output):
    """How far the mass of a tool may grow [g] (null = without limit), and how far its abilities may fall."""

    id: str
    mass_may_grow_g: float | None
    abilities: list[AbilityPin]


class NeedPin(Output):
    """The largest diameter of a need [mm] at which this kit is still the lightest."""

    id: str
    diameter_mm: float
    may_grow_to_mm: float


class AssumptionPin(Output):
    """Whether the lightest kit changes inside the band of an assumption, and the new kit (null = uncovered).

    A figure of your own (`yours`) is known: its band is its value.
    """

    id: str
    value: float
    low: float
    high: float
    changes: bool
    at_low: KitBrief | None
    at_high: KitBrief | None
    yours: bool


class EarlyPins(Output):
    """How far the figures of tools and needs may move before another kit is the lightest."""

    tools: list[ToolPin]
    needs: list[NeedPin]


class Pins(EarlyPins):
    """How far each figure may move before another kit is the lightest."""

    assumptions: list[AssumptionPin]


class FactAnswer(Output):
    """A fact of the proof: how many of the able tools a need requires, and the grams counted for each of them."""

    need: str
    wanted_tools: int
    able_tools: int
    lightest: str
    lightest_g: float
    charged_g: float
    text: str


class Upgrade(Output):
    """A kit that saves much work for few grams: what it adds and leaves, grams more, minutes saved a day, and why.

    It is one of the front that POST /v1/kits/front gives: no kit is both lighter and quicker. Assumptions say how much
    is much.
    """

    ids: list[str]
    add: list[str]
    leave: list[str]
    more_g: float
    saves_min_per_day: float
    why: str


class Alternative(Output):
    """One of the next lightest kits, how it differs from the first, and in what it is better.

    `better_in` says mass, time, tools (fewer of them), price, length (of the longest packed tool), loss (it still does
    all the work in twice the work limit, whichever tool is lost) or backup (two tools are able at every need; not told
    where there is firewood). At least one of them, in which the first kit is not as good.
    """

    status: str
    tools: list["KitTool"]
    methods: list[str]
    mass_g: float
    mass_oz: float
    work_min_per_day: float
    more_g: float
    more_min_per_day: float
    gives: str
    better_in: list[str]


class WhyNot(Output):
    """A tool of `ask_about`: the mass up to which it would be in the kit [g packed], and why it is not in it."""

    id: str
    in_kit: bool
    mass_g: float
    allowance_g: float | None
    reason: str | None
    text: str


class ConflictMember(Output):
    """One of the user's limits that together allow no kit.

    `least` is the value of this limit from which all other limits allow a kit; where more of them than are listed
    stand in the way, from which those listed do (`text` says so). It is null if the limit must be dropped. Minutes in
    `text` are rounded up to the tenth, so that they suffice as a limit.
    """

    pointer: str
    value: FactValue
    least: float | None
    unit: str
    text: str


class LossAnswer(Output):
    """A lost tool, and the work a day of the other tools on the needs that still count."""

    tool: str
    work_min_per_day: float


class DoubledKit(Output):
    """A pack with two of some tools that bears any loss too: its ids, each as often as it goes, and its mass [g]."""

    ids: list[str]
    mass_g: float


class RobustAnswer(Output):
    """A kit that still works after the loss of any one tool, and the extra mass [g].

    A kit holds one of each tool, but for knives of which each person has one. `doubled` is a pack with two of some
    tools that is lighter; null where none is known.
    """

    needs: str
    work_multiple: float
    extra_g: float
    losses: list[LossAnswer]
    doubled: DoubledKit | None


class Refund(Output):
    """Grams counted for a tool beyond what it adds to the mass, where needs require several tools."""

    tool: str
    back_g: float


class AimProof(Output):
    """How far an aim is proven: the kit's value, and a bound that no kit goes under that is as good in the aims before.

    `aim` is mass [g], minutes [min a day, with rest], count [tools] or effort [kcal a day, whole party]. Status
    `feasible`: a better kit is not ruled out; the bound is null if nothing is known. `checked`: the bound comes from
    whole numbers alone, and no solver is trusted.
    """

    aim: Literal["mass", "minutes", "count", "effort"]
    value: float
    bound: float | None
    status: Literal["optimal", "feasible"]
    checked: bool


class Proof(Output):
    """How far the answer is proven: lower bound [g], gap [g], solver, and number of tools considered.

    `checked`: whole numbers alone prove that no kit is better in any of `aims`, which are told in their order.
    `facts_bound_g` is the mass that must be carried in any case, plus the grams of each fact times the tools that it
    requires, minus the refunds.
    """

    bound_g: float | None
    gap_g: float | None
    solver: str
    tools_considered: int
    tools_set_aside: int
    facts: list[FactAnswer]
    facts_anyhow_g: float
    facts_refunds: list[Refund]
    facts_bound_g: float | None
    text: str
    checked: bool
    aims: list[AimProof]


class Reason(Output):
    """Why a tool or method is in the kit, as code, ids, sentence and figures."""

    code: str
    tool: str | None
    needs: list[str]
    text: str
    facts: dict[str, FactValue]


class CautionAnswer(Output):
    """A danger, a possible legal limit, or a figure that looks wrong."""

    code: str
    text: str
    source: str | None


class HearthAnswer(Output):
    """What the wood burns in: its own mass [g], which no kit counts, and the pieces that go in [mm; null: any]."""

    id: str
    name: str
    mass_g: float
    mass_low_g: float
    mass_high_g: float
    longest_mm: float | None
    thickest_mm: float
    text: str


class FigureInForce(Assumption):
    """An assumption that the answer used: the value in force, whether it is your own, and the band of the table.

    Your own are those that the trip states, those that its records leave (`source` is trials), and those that came with
    a stored catalog (`source` is stored-catalog).
    """

    yours: bool


class TrialScore(Output):
    """What your records say of a tool at a task: the score with its interval, and the score before.

    `measured`: whether records count in it; it then took the place of the score before. `far_out` are the records
    rather spoilt than good, or asked about, by their place in `trials`: they pull little. `parts` are what was judged
    before and what the records say by themselves, with their weights. `timed_min` are the minutes of the records that
    are not far out, `expected_min` those of the same work by the figures now in force. `questions` is what looks wrong.
    """

    tool: str
    task: str
    measured: bool
    score: float | None
    low: float | None
    high: float | None
    confidence: float | None
    records: int
    rule: str
    far_out: list[int]
    before: float
    text: str
    parts: list[WeightedPart]
    timed_min: float | None
    expected_min: float | None
    questions: list[str]


class _Told(Output):
    """What is told of a trip early and at last."""

    name: str | None
    status: Literal["optimal", "feasible", "uncovered"]
    kit: Kit
    needs: list[NeedAnswer]
    workings: list[Working]
    effort: EffortAnswer
    gaps: list[Gap]
    conflict: list[ConflictMember]
    alternatives: list[Alternative]
    upgrades: list[Upgrade]
    pins: EarlyPins | None
    why_not: list[WhyNot]
    share: list[PersonShare]
    share_proof: ShareProof | None
    robust: RobustAnswer | None
    hearth: HearthAnswer | None
    proof: Proof
    reasons: list[Reason]
    cautions: list[CautionAnswer]
    assumptions: list[FigureInForce]
    trials: list[TrialScore]


class EarlyAnswer(_Told):
    """An answer as far as it stands before the ends of the bands of its assumptions, and how sure it is, are tried.

    Every field told is as it will be in the answer. `to_come` names what is left out until then, as paths into it.
    """

    to_come: list[str]


class Answer(_Told):
    """The answer to a trip. `hearth` is null where no fire is lit, `share_proof` where `share` is empty.

    `sure` is null where the trip does not ask for it.
    `upgrades` is empty if `detail` is `kit`, the kit is not proven, the trip is uncovered, or it asks for a robust kit.
    `not_settled` names the parts that the time or the effort allowed did not suffice for: kit (a kit within all limits:
    the one told breaks those of `gaps`, and it is not known whether another keeps them), lightest (the lightest kit
    beside another aim: the kit itself stands there), robust (a kit that bears a loss), share, longer_day (what a
    longer day saves), tool_prices and need_prices (their prices in grams), pins, assumption_pins (`assumptions` of
    `pins`, which is empty then), conflict, alternatives, upgrades, why_not, facts (of `proof`), doubled (of `robust`,
    or of the gap of a safety that no kit gives), losses (of `robust`). Any other list among them is told as far as it
    came.
    """

    pins: Pins | None
    sure: Sureness | None
    not_settled: list[str]
