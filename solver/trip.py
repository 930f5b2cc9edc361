"""What a traveller asks: the trip profile."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from catalog import Tool
from catalog.tool import Id, Word

TaskName = Literal["split", "saw", "chop", "buck", "carve"]


class Form(BaseModel):
    """A form from outside: unknown keys, text for numbers, NaN and infinities are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class Task(Form):
    """A stated task: so much of it a day, at one diameter."""

    task: TaskName = Field(description="buck = cut to length, by saw or by chop, or by a field method.")
    diameter_mm: float = Field(ge=1, le=3000, description="Diameter of the wood [mm].")
    per_day: float = Field(
        1.0,
        gt=0,
        le=10_000,
        description="Rounds to split, cuts to saw, chop or buck, pieces to carve, a day.",
    )
    min_score: float = Field(0.0, ge=0, le=10, description="Least score that a tool must have at it.")
    critical: bool = Field(False, description="Counts for backup: critical.")


class Limits(Form):
    """What the kit must keep within. Null = no limit."""

    work_min_per_day: float = Field(
        90.0, ge=1, description="Minutes of wood work a day for the whole party; at most 1,440 x people."
    )
    mass_g: float | None = Field(None, ge=0, le=1e6, description="Packed mass of the whole kit [g].")
    price: float | None = Field(None, ge=0, le=1e9, description="Sum of prices; an unknown price counts 0.")
    edge_mm: float | None = Field(None, ge=0, le=3000, description="Longest edge or blade of any tool [mm].")
    packed_mm: float | None = Field(None, ge=0, le=3000, description="Longest packed tool [mm].")
    banned_kinds: list[Word] = Field(default_factory=list, max_length=100, description="Kinds that stay home.")


class Trip(Form):
    """A trip on foot, as far as the kit depends on it."""

    name: Annotated[str, Field(max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")] | None = None
    people: int = Field(1, ge=1, le=50, description="People in the party.")
    nights: int = Field(1, ge=1, le=365, description="Nights out.")
    tasks: list[Task] = Field(
        default_factory=list,
        max_length=100,
        description="Stated tasks: wood to split, saw, chop, buck, carve.",
    )
    limits: Limits = Field(default_factory=lambda: Limits())
    must_carry: list[Id] = Field(default_factory=list, max_length=1000, description="Ids of tools that go.")
    leave_home: list[Id] = Field(default_factory=list, max_length=1000, description="Ids of tools that stay.")
    field_methods: bool = Field(True, description="Whether ways of working that weigh nothing may be used.")
    backup: Literal["none", "critical", "all"] = Field(
        "none", description="Which needs want two able carried tools; methods and sharpeners do not count."
    )
    tools: list[Tool] | None = Field(
        None,
        min_length=1,
        max_length=20_000,
        description="Tools to choose from, instead of the built-in ones.",
    )
