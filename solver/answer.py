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
    """The kit list: carried tools, field methods used, packed mass, price, and the day's wood work."""

    tools: list[KitTool]
    methods: list[str]
    mass_g: float
    mass_oz: float
    price: float | None
    work_min_per_day: float | None


class Because(Output):
    """Why a need is there: a sentence, and its figures."""

    text: str
    facts: dict[str, Figure]


class Share(Output):
    """Who does a need, and what share of it (0-1)."""

    id: str
    share: float


class NeedAnswer(Output):
    """A need with who does it, the time it takes, and the diameter to spare [mm]."""

    id: str
    task: str
    diameter_mm: float
    per_day: float
    because: Because
    done_with: list[Share]
    able_carried: list[str]
    minutes_per_day: float | None
    spare_mm: float | None


class Gap(Output):
    """What no allowed kit gives: a need, or a limit, with how much is missing and the closest tool."""

    kind: Literal["need", "limit"]
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
    gaps: list[Gap]
    proof: Proof
    reasons: list[Reason]
    cautions: list[CautionAnswer]
    assumptions: list[Assumption]
