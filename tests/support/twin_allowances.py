"""Twins: the drawing of a class beside its row, with the same mass and the row left at home; what may each weigh?"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping

from tree import ROOT

from catalog import Tool, tools
from solver import Trip
from solver.answers.allowance import allowance_of, weighing_of
from solver.forms.arguments import effort_given
from solver.needs.question import question_of

TRIPS = ("least", "stream-survey", "summer-alpine", "wet-autumn", "deep-winter")


def trip_named(name: str) -> Trip:
    """An example trip of the project."""
    found: Trip = Trip.model_validate(json.loads((ROOT / f"api/examples/{name}.json").read_text("utf-8")), strict=False)
    return found


def row_of(tool_id: str) -> Tool:
    """A built-in row."""
    return next(one for one in tools() if one.id == tool_id)


def allowance_g(tool: Tool, like: Tool, trip: Trip) -> float:
    """What a tool may weigh on a trip [g] like a row, with that row at home: 0 for never, inf for unbounded."""
    asked = {"id": "asked", "mass_g": like.mass_g, "cover_g": like.cover_g, "kind": like.kind}
    extra = [*trip.extra_tools, tool.model_copy(update=asked)]
    question = question_of(trip.model_copy(update={"leave_home": [*trip.leave_home, like.id], "extra_tools": extra}))
    if any(one.id == "asked" for one, _ in question.barred):
        return 0.0
    found = allowance_of(weighing_of(question, "asked"), weightless=False, effort=effort_given(None))
    assert found.checked
    return {"never": 0.0, "unbounded": math.inf}.get(found.reason or "", (found.mass or 0) / 100)


def twin_gaps_g(tool_id: str, twin: Tool, names: tuple[str, ...] = TRIPS) -> Mapping[str, tuple[float, float]]:
    """What the twin and the row may weigh on each trip [g]."""
    row = row_of(tool_id)
    return {name: (allowance_g(twin, row, trip_named(name)), allowance_g(row, row, trip_named(name))) for name in names}
