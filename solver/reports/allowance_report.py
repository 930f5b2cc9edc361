"""What a tool may weigh and cost, as callers see it."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.tables.python_form import misuse
from solver.answers.allowance import (
    Allowance,
    allowance_of,
    percentile_of,
    price_allowance_of,
    spread_of,
    weighing_of,
)
from solver.forms.arguments import TripGiven, effort_given, forms_given, trip_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import MONEY
from solver.forms.quantity import UNITS_PER_PRICE
from solver.forms.question_answers import AllowanceAnswer, TripAllowance
from solver.forms.trip import Trip
from solver.forms.validation import under
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
        Cancelled: nobody waits for it.
    """
    effort, row = effort_given(effort), _row_given(tool)
    alone = isinstance(trips, Trip | Mapping)
    several = [trip_given(trips)] if alone else forms_given("trips", trips, Trip, least=1)
    found = []
    for index, trip in enumerate(several):
        with under("/trip" if alone else f"/trips/{index}"):
            found.append(_trip_allowance(row, trip, effort=effort.portion(1 / (len(several) - index))))
    spreads = [_spread_on(row, trip, one, effort=effort) for trip, one in zip(several, found, strict=True)]
    told = [_with_spread(one, masses) for one, masses in zip(found, spreads, strict=True)]
    return _of_all(row, told, _least_of(spreads))


def _of_all(row: Tool, found: list[TripAllowance], spread: Sequence[float] | None) -> AllowanceAnswer:
    """Return the least allowance of all trips, as far as each is known.

    Args:
        row: the tool.
        found: of each trip.
        spread: the least of all trips in each draw of the scores; None where it is not settled.
    """
    masses = [one.allowance_g for one in found if one.allowance_g is not None]
    most = [one.at_most_g for one in found if one.at_most_g is not None]
    never = any(one.reason == "never" for one in found)
    unknown = any(one.status == "not_settled" for one in found)
    reason: Literal["never", "unbounded"] | None = "never" if never else None if masses or unknown else "unbounded"
    proven = never or all(one.status == "optimal" for one in found)
    return AllowanceAnswer(
        tool=row.id,
        allowance_g=None if reason or unknown else min(masses),
        allowance_p20_g=_p20_g(spread),
        reason=reason,
        trips=found,
        checked=proven,
        status="optimal" if proven else "not_settled" if unknown else "feasible",
        at_most_g=None if reason else min(most, default=None),
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


def _trip_allowance(tool: Tool, trip: Trip, *, effort: Effort) -> TripAllowance:
    """Return the allowance of a tool on one trip; nothing is known of it where the time is over already."""
    if effort.spent():
        nothing = Allowance(None, None, None, None, checked=False)
        return _to_answer(trip, nothing, _text_of(nothing), left=["allowance_g", "price_allowance"])
    question = _question_with(tool, trip)
    rule = _bar_of(tool, question)
    if rule is not None:
        return _to_answer(trip, Allowance(None, "never", None, None, checked=True), f"{rule} excludes it.")
    weighing = weighing_of(question, tool.id)
    weightless = not tool.packed_mass_g and "mass_g" in tool.model_fields_set
    priced = MONEY.field in weighing.case.caps
    found = allowance_of(weighing, weightless=weightless, effort=effort.portion(1 / 2) if priced else effort)
    left = [] if found.checked else ["allowance_g"]
    price = None
    try:
        price = price_allowance_of([weighing], effort=effort)
    except Unfinished:
        left.append("price_allowance")
    return _to_answer(trip, found, _text_of(found), price, left=left)


def _question_with(tool: Tool, trip: Trip) -> Question:
    """Return the question of a trip to which a tool may go too."""
    extra = [*(one for one in trip.extra_tools if one.id != tool.id), tool]
    return question_of(trip.model_copy(update={"extra_tools": extra}))


def _bar_of(tool: Tool, question: Question) -> str | None:
    """Return the rule of a trip that keeps a tool home, if any."""
    return next((rule for one, rule in question.barred if one.id == tool.id), None)


def _spread_on(tool: Tool, trip: Trip, found: TripAllowance, *, effort: Effort) -> list[float] | None:
    """Return the allowances of a tool on a trip under draws of all scores [0.01 g]; None where they are not settled."""
    if found.status == "not_settled" or effort.spent():
        return None
    question = _question_with(tool, trip)  # anew: those of many trips are not all held until every allowance is known
    if _bar_of(tool, question) is not None:
        return [0.0]
    try:
        return spread_of(question, tool.id, near=found.without or found.with_tool or (), effort=effort)
    except Unfinished:
        return None


def _with_spread(found: TripAllowance, masses: Sequence[float] | None) -> TripAllowance:
    """Return the allowance on a trip with what draws of the scores [0.01 g] make of it."""
    left = [*found.not_settled, *(["allowance_p20_g"] if masses is None else [])]
    return found.model_copy(update={"allowance_p20_g": _p20_g(masses), "not_settled": left})


def _least_of(spreads: Sequence[Sequence[float] | None]) -> list[float] | None:
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


def _text_of(found: Allowance) -> str:
    """Return an allowance in words."""
    if found.told_status == "not_settled":
        return "The time or effort allowed did not suffice to tell what it may weigh."
    if found.told_status == "feasible":
        return "It is in a lightest kit at least up to this packed mass. More was not settled in the time allowed."
    texts = {
        None: "It is in a lightest kit up to this packed mass.",
        "never": "Even without mass it makes no kit lighter.",
        "unbounded": "No kit works without it, so no mass is too much.",
    }
    return texts[found.reason]


def _to_answer(
    trip: Trip, found: Allowance, text: str, price: int | None = None, *, left: Sequence[str] = ()
) -> TripAllowance:
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
        status=found.told_status,
        at_most_g=None if found.at_most is None else grams(found.at_most),
        not_settled=list(left),
    )
