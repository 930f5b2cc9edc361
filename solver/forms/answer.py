"""The answer to a trip, as callers see it. Outputs have no defaults: a field is there, if only as null."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog import Assumption

Figure = float | int | str | bool | None


class Output(BaseModel):
    """A part of an answer."""

    model_config = ConfigDict(frozen=True, strict=True)


class KitTool(Output):
    """A tool that goes: packed mass [g], the needs it does, and the grams added if it stayed home.

    score_source says where its scores come from: a source id, or which of them were measured by trials.

    The price is null where no kit does without it, and where detail is kit.
    """

    id: str
    name: str
    kind: str
    mass_g: float
    does: list[str]
    score_source: str | None
    price_g: float | None


class Kit(Output):
    """The kit list: carried tools, field methods used, packed mass, price, and the day's work and effort.

    Kilocalories are the whole party's, above rest.
    """

    tools: list[KitTool]
    methods: list[str]
    mass_g: float
    mass_oz: float
    price: float | None
    work_min_per_day: float
    carry_kcal_per_day: float
    work_kcal_per_day: float


class Because(Output):
    """Why a need is there: a sentence, and its figures."""

    text: str
    facts: dict[str, Figure]


class Share(Output):
    """Who does a need, what share of it (0-1), and the diameter that its reach has to spare there [mm]."""

    id: str
    share: float
    spare_mm: float


class NeedAnswer(Output):
    """A need with who does it, the time it takes, and the diameter to spare [mm].

    `price_g` is what the lightest kit would weigh less without the need (null where detail is kit or the
    trip is uncovered). `per_day` counts rounds, cuts or pieces; for the uses of a fire, and for gathering, kilograms.
    """

    id: str
    task: str
    diameter_mm: float | None
    per_day: float
    because: Because
    done_with: list[Share]
    able_carried: list[str]
    minutes_per_day: float | None
    spare_mm: float | None
    price_g: float | None


class WorkerAmount(Output):
    """What one worker does of a class of firewood: kilograms and minutes a day, and diameter to spare [mm]."""

    id: str
    kg_per_day: float
    minutes_per_day: float
    spare_mm: float


class Working(Output):
    """A class of firewood as it is used: kilograms, rounds, cuts, clefts, and who works it."""

    diameter_mm: float
    kg_per_day: float
    reach_kg_per_day: float
    rounds_per_day: float
    cuts_per_day: float
    clefts_per_day: float
    buck: list[WorkerAmount]
    split: list[WorkerAmount]
    gather_min_per_day: float


class EffortSide(Output):
    """Carrying and working of one kit, per person a day above rest [kcal]."""

    ids: list[str]
    mass_g: float
    work_min_per_day: float
    carry_kcal_per_person_day: float
    work_kcal_per_person_day: float


class EffortAnswer(Output):
    """What grams cost in walking against what they save in wood work.

    `kcal_per_100g_day` is by Pandolf and Santee, `kcal_per_100g_day_lcda` a second opinion by LCDA 2022;
    `break_even_min_per_100g` is how many minutes of wood work a day one more 100 g must save.
    """

    aim: str
    walking_h_per_day: float
    kcal_per_100g_day: float
    kcal_per_100g_day_lcda: float
    break_even_min_per_100g: float
    chosen: EffortSide
    lightest: EffortSide


class KitBrief(Output):
    """A kit in brief."""

    ids: list[str]
    mass_g: float


class AbilityPin(Output):
    """How far one ability of a tool may fall before this kit is no longer of least mass; 0 = it may vanish."""

    task: str
    max_mm: float
    max_may_fall_to_mm: float
    score: float
    score_may_fall_to: float


class ToolPin(Output):
    """How far a tool's mass may grow [g] (null = without end) and its abilities may fall."""

    id: str
    mass_may_grow_g: float | None
    abilities: list[AbilityPin]


class NeedPin(Output):
    """How far a need's diameter may grow [mm] before this kit is no longer of least mass."""

    id: str
    diameter_mm: float
    may_grow_to_mm: float


class AssumptionPin(Output):
    """Whether the lightest kit changes inside the band of an assumption, and to what (null = uncovered)."""

    id: str
    value: float
    low: float
    high: float
    changes: bool
    at_low: KitBrief | None
    at_high: KitBrief | None


class Pins(Output):
    """What pins the answer."""

    tools: list[ToolPin]
    needs: list[NeedPin]
    assumptions: list[AssumptionPin]


class FactAnswer(Output):
    """A fact of the proof: how many of the able tools a need asks for, and the grams charged for each of those."""

    need: str
    wanted_tools: int
    able_tools: int
    lightest: str
    lightest_g: float
    charged_g: float
    text: str


class Alternative(Output):
    """A next kit, with what it costs and gives against the first."""

    status: str
    tools: list["KitTool"]
    methods: list[str]
    mass_g: float
    mass_oz: float
    work_min_per_day: float
    more_g: float
    more_min_per_day: float
    gives: str


class WhyNot(Output):
    """A tool asked about: its allowance on this trip [g packed], and what holds it out."""

    id: str
    in_kit: bool
    mass_g: float
    allowance_g: float | None
    reason: str | None
    text: str


class PersonShare(Output):
    """What one person of the party carries."""

    ids: list[str]
    mass_g: float


class ConflictMember(Output):
    """A limit of the user's that takes part in ruling every kit out, and the least that frees it.

    `least` is the value at which the other members leave a kit; null where the limit has to be dropped.
    """

    pointer: str
    value: Figure
    least: float | None
    unit: str
    text: str


class LossAnswer(Output):
    """A tool lost, and the day's work of the rest on the needs that matter."""

    tool: str
    work_min_per_day: float


class RobustAnswer(Output):
    """The safety of a kit that bears the loss of any one tool, and what it costs [g]."""

    needs: str
    work_multiple: float
    extra_g: float
    losses: list[LossAnswer]


class Gap(Output):
    """What no allowed kit gives: a need, or a limit, with how much is missing and the closest tool."""

    kind: Literal["need", "limit", "reach"]
    need: str | None
    field: str
    short_by: float | None
    unit: str
    closest: str | None
    text: str


class Refund(Output):
    """What a tool gives back [g]: its charges beyond what it adds to the mass, where needs ask for several tools."""

    tool: str
    back_g: float


class Proof(Output):
    """How far the answer is proven: lower bound, gap [g], solver, and how many tools it weighed.

    `facts_bound_g` is what must be carried anyhow, and each fact's charge times the tools that it asks for,
    less the refunds.
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


class Reason(Output):
    """Why a tool or method is in the kit, as code, ids, sentence and figures."""

    code: str
    tool: str | None
    needs: list[str]
    text: str
    facts: dict[str, Figure]


class CautionAnswer(Output):
    """What can hurt, what law may forbid, or a figure that looks wrong."""

    code: str
    text: str
    source: str | None


class Answer(Output):
    """The answer to a trip."""

    name: str | None
    status: Literal["optimal", "feasible", "uncovered"]
    kit: Kit
    needs: list[NeedAnswer]
    workings: list[Working]
    effort: EffortAnswer
    gaps: list[Gap]
    conflict: list[ConflictMember]
    alternatives: list[Alternative]
    pins: Pins | None
    why_not: list[WhyNot]
    share: list[PersonShare]
    robust: RobustAnswer | None
    proof: Proof
    reasons: list[Reason]
    cautions: list[CautionAnswer]
    assumptions: list[Assumption]
