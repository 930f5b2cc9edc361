"""The answer to a trip, as callers see it. Outputs have no defaults: a field is there, if only as null."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog import Assumption

Figure = float | int | str | bool | None


class Output(BaseModel):
    """A part of an answer."""

    model_config = ConfigDict(frozen=True, strict=True)


class KitTool(Output):
    """A tool that goes: packed mass [g], and the needs it does."""

    id: str
    name: str
    kind: str
    mass_g: float
    does: list[str]


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
    """Who does a need, and what share of it (0-1)."""

    id: str
    share: float


class NeedAnswer(Output):
    """A need with who does it, the time it takes, and the diameter to spare [mm].

    `per_day` counts rounds, cuts or pieces; for the uses of a fire, and for gathering, kilograms.
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


class WorkerAmount(Output):
    """What one worker does of a class of firewood: kilograms and minutes a day."""

    id: str
    kg_per_day: float
    minutes_per_day: float


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


class Gap(Output):
    """What no allowed kit gives: a need, or a limit, with how much is missing and the closest tool."""

    kind: Literal["need", "limit", "reach"]
    need: str | None
    field: str
    short_by: float | None
    unit: str
    closest: str | None
    text: str


class Proof(Output):
    """How far the answer is proven: lower bound, gap [g], solver, and how many tools it weighed."""

    bound_g: float | None
    gap_g: float | None
    solver: str
    tools_considered: int
    tools_set_aside: int


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
    proof: Proof
    reasons: list[Reason]
    cautions: list[CautionAnswer]
    assumptions: list[Assumption]
