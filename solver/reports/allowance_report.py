"""What a tool may weigh and cost, as callers see it."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.tables.python_form import misuse
from solver.answers.allowance import Allowance, allowance_of, price_allowance_of, weighing_of
from solver.answers.allowance_spread import percentile_of, spread_of
from solver.forms.arguments import TripGiven, effort_given, forms_given, trip_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import UNITS_PER_PRICE
from solver.forms.question_answers import (
    AllowanceAnswer,
    TripAllowance,
)
from solver.forms.trip import Trip
from solver.forms.validation import under
from solver.model.case import mass_of
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.question import Question, question_of


def allowance(
    tool: Tool | Design, trips: TripGiven | Iterable[TripGiven], *, effort: Effort | None = None
) -> AllowanceAnswer:
    """Return the most packed mass at which a tool is in some lightest kit, per trip and the least of them.

    Args:
        tool: the tool, whose masses do not matter but where it is said to weigh nothing, or a drawing of it.
        trips: the trip or the trips it is for, each a Trip or a dict of its fields.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
        Unfinished: the effort ran out.
    """
    effort, row = effort_given(effort), _row_given(tool)
    alone = isinstance(trips, Trip | Mapping)
    several = [trip_given(trips)] if alone else forms_given("trips", trips, Trip, least=1)
    asked, found = [], []
    for index, trip in enumerate(several):
        with under("/trip" if alone else f"/trips/{index}"):
            asked.append(_question_with(row, trip))
            found.append(_trip_allowance(row, asked[-1], effort=effort))
    spreads = _spreads(row, asked, found, effort=effort)
    found = [
        one.model_copy(update={"allowance_p20_g": _p20_g(draws)}) for one, draws in zip(found, spreads, strict=True)
    ]
    masses = [one.allowance_g for one in found if one.allowance_g is not None]
    never = any(one.reason == "never" for one in found)
    reason: Literal["never", "unbounded"] | None = "never" if never else None if masses else "unbounded"
    return AllowanceAnswer(
        tool=row.id,
        allowance_g=None if reason else min(masses),
        allowance_p20_g=_p20_g(_least_of(spreads)),
        reason=reason,
        trips=found,
        checked=all(one.checked for one in found),
    )


def _row_given(tool: object) -> Tool:
    """Return a tool as a row of the catalog.

    Raises:
        TypeError: it is neither a tool nor a drawing.
    """
    if isinstance(tool, Design):
        return rate(tool).tool
    if isinstance(tool, Tool):
        return tool
    raise misuse("tool", tool, "a Tool or a Design")


def _question_with(tool: Tool, trip: Trip) -> Question:
    """Return the question of a trip to which a tool may go too."""
    extra = [*(one for one in trip.extra_tools if one.id != tool.id), tool]
    return question_of(trip.model_copy(update={"extra_tools": extra}))


def _trip_allowance(tool: Tool, question: Question, *, effort: Effort) -> TripAllowance:
    """Return the allowance of a tool on one trip, at the medians of the scores."""
    trip = question.trip
    rule = next((rule for one, rule in question.barred if one.id == tool.id), None)
    if rule is not None:
        return _to_answer(trip, Allowance(None, "never", None, None, checked=True), f"{rule} excludes it.")
    weighing = weighing_of(question, tool.id)
    weightless = not tool.packed_mass_g and "mass_g" in tool.model_fields_set
    found = allowance_of(weighing, weightless=weightless, effort=effort)
    price = price_allowance_of(weighing, effort=effort)
    texts = {
        None: "It is in a lightest kit up to this packed mass.",
        "never": "Even without mass it makes no kit lighter.",
        "unbounded": "No kit works without it, so no mass is too much.",
    }
    return _to_answer(trip, found, texts[found.reason], price)


def _spreads(
    tool: Tool, questions: Sequence[Question], found: Sequence[TripAllowance], *, effort: Effort
) -> list[list[float] | None]:
    """Return the allowances under draws of the scores for each trip, None where the time did not settle them."""
    spreads: list[list[float] | None] = []
    for question, one in zip(questions, found, strict=True):
        if any(row.id == tool.id for row, _ in question.barred):
            spreads.append([0.0])
            continue
        ids = one.without or one.with_tool or ()
        near = mass_of(question.case, question.case.kit(ids))
        try:
            spreads.append(spread_of(question, tool.id, near=near, effort=effort))
        except Unfinished:
            spreads.append(None)
    return spreads


def _least_of(spreads: Sequence[list[float] | None]) -> list[float] | None:
    """Return the least allowance of the trips in each draw, None where one is not settled."""
    settled = [one for one in spreads if one is not None]
    if len(settled) < len(spreads):
        return None
    count = max(len(one) for one in settled)
    return [min(one[draw % len(one)] for one in settled) for draw in range(count)]


def _p20_g(masses: Sequence[float] | None) -> float | None:
    """Return what four in five of the draws allow [g]; None where that is without end, or not settled."""
    mass = math.inf if masses is None else percentile_of(masses)
    return None if math.isinf(mass) else grams(mass)


def _to_answer(trip: Trip, found: Allowance, text: str, price: int | None = None) -> TripAllowance:
    """Return an allowance as callers see it."""
    return TripAllowance(
        name=trip.name,
        allowance_g=None if found.mass is None else grams(found.mass),
        allowance_p20_g=None,
        reason=found.reason,
        without=None if found.without is None else originals(sorted(found.without)),
        with_tool=None if found.with_tool is None else originals(sorted(found.with_tool)),
        replaces=originals(found.replaces),
        price_allowance=None if price is None else price / UNITS_PER_PRICE,
        text=text,
        checked=found.checked,
    )
