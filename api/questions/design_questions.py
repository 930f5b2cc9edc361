"""Questions about designs: what each takes, and who answers it. Their rows are in `api/questions/registry.py`."""

from typing import Literal, Self

from pydantic import Field, model_validator

from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.bench.variation import Range
from catalog.equipment.tool import Grams
from solver import Effort, Trip, allowance, sweep
from solver.answers.sweep import DesignLimits
from solver.forms.question_answers import AllowanceAnswer
from solver.forms.trip import Form
from solver.reports.sweep_report import SweepAnswer


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


def answer_allowance(form: AllowanceForm, effort: Effort) -> AllowanceAnswer:
    """Return what the tool may weigh."""
    trips = form.trips or ([form.trip] if form.trip is not None else [])
    return allowance(form.row, trips, alone=form.trip is not None, effort=effort)


class SweepForm(Form):
    """A design, the ranges over which it may vary, what it must keep within, and the trip it is for."""

    design: Design
    vary: list[Range] = Field(min_length=1, max_length=6)
    trip: Trip
    limits: DesignLimits = Field(default_factory=lambda: DesignLimits())
    against: Literal["margin", "minutes"] = Field("margin", description="What the front weighs grams against.")


def answer_sweep(form: SweepForm, effort: Effort) -> SweepAnswer:
    """Return the best design and what stops it from getting lighter."""
    return sweep(form.design, form.vary, form.trip, limits=form.limits, against=form.against, effort=effort)
