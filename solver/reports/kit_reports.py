"""Answers to the further questions: fronts, checks, confidence, seasons and allowances, as callers see them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.rating import rate
from solver.answers.allowance import Allowance, allowance_of, price_allowance_of
from solver.answers.check import checked_kit
from solver.answers.gap import unmet
from solver.answers.kit import settled_kit
from solver.answers.robust import safety_of
from solver.forms.answer import KitBrief
from solver.forms.arguments import Argument, TripGiven, effort_given, forms_given, misuse, names_given, trip_given
from solver.forms.barring import unbarred
from solver.forms.effort import Effort
from solver.forms.limit import WORK
from solver.forms.quantity import UNITS_PER_PRICE
from solver.forms.question_answers import (
    AllowanceAnswer,
    CheckAnswer,
    FrontAnswer,
    FrontPoint,
    SwapAnswer,
    TripAllowance,
)
from solver.forms.trip import Trip
from solver.forms.validation import MOST_HINTS, Fault, TripError, refuse_safety, under, unknown_id
from solver.needs.case_builder import grams
from solver.needs.question import Question, question_of
from solver.search.front import Against, Point, front_of
from solver.telling.explanation import kit_of
from solver.telling.need_row import need_rows, working_rows
from solver.telling.solution_view import SolutionView
from solver.telling.warning import cautions_of

_AGAINST: Argument[Against] = Argument("against", Against, "minutes or price")


def front(trip: TripGiven, *, against: Against = "minutes", effort: Effort | None = None) -> FrontAnswer:
    """Return every non-dominated kit of a trip, by grams and minutes or by grams and price.

    Against minutes the work limit is left out; the other limits stay. Where the trip has gaps, they are named
    and the front is of the rest, as POST /kits answers it.

    Args:
        trip: a Trip, or a dict of its fields.
        against: minutes or price.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
        Unfinished: the effort ran out before any kit was found.
    """
    effort, trip, against = effort_given(effort), trip_given(trip), _AGAINST.of(against)
    question = _trip_question(trip.model_copy(update={"aim": "mass"}))
    if against == "minutes":
        question = replace(question, case=question.case.capped(WORK.field, None))
    settled = settled_kit(question, effort=effort)
    found = front_of(settled.case, against=against, effort=effort)
    view = SolutionView(question, settled)
    return FrontAnswer(
        name=trip.name,
        against=against,
        status="uncovered" if settled.gaps else "optimal" if found.complete else "feasible",
        points=[_front_point(view, point) for point in found.points],
        gaps=settled.gaps,
        cautions=cautions_of(view),
    )


def _trip_question(trip: Trip) -> Question:
    """Return the question of the one trip of a body.

    Raises:
        TripError: fields that don't go together, or safety, which these answers do not weigh.
    """
    with under("/trip"):
        refuse_safety(trip)
        return question_of(trip)


def _front_point(view: SolutionView, point: Point) -> FrontPoint:
    """Return one point of a front."""
    of_point = SolutionView(view.question, replace(view.settled, choice=point.choice, load=point.load))
    kit = kit_of(of_point)
    return FrontPoint(
        ids=[tool.id for tool in kit.tools],
        methods=kit.methods,
        mass_g=kit.mass_g,
        work_min_per_day=kit.work_min_per_day,
        price=round(point.price / UNITS_PER_PRICE, 2),
        unpriced=[tool.id for tool in of_point.carried if tool.price is None],
    )


def check(trip: TripGiven, kit: Iterable[str], *, effort: Effort | None = None) -> CheckAnswer:
    """Return how the user's own kit serves a trip.

    Args:
        trip: a Trip, or a dict of its fields.
        kit: ids of the tools carried: a list, tuple, set, array or generator.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind, such as one id alone.
        ValidationError: a field of a dict that can't be taken.
        TripError: an id that no tool has, or one named twice.
        Unfinished: the effort ran out.
    """
    effort, trip, kit = effort_given(effort), trip_given(trip), names_given("kit", kit)
    question = _trip_question(trip.model_copy(update={"aim": "mass"}))
    free = question_of(unbarred(question.trip))
    _check_ids(kit, free)
    found = checked_kit(trip, free, kit, effort=effort)
    lightest = settled_kit(question, effort=effort)
    view = SolutionView(free, found.settled)
    swap = found.swap
    return CheckAnswer(
        name=trip.name,
        covered=found.covered,
        kit=kit_of(view),
        needs=need_rows(view),
        workings=working_rows(view),
        gaps=found.settled.gaps,
        lightest=None
        if lightest.gaps
        else KitBrief(ids=list(lightest.choice.ids or ()), mass_g=grams(lightest.choice.mass)),
        over_lightest_g=None if lightest.gaps else grams(found.settled.choice.mass - lightest.choice.mass),
        first_swap=None if swap is None else SwapAnswer(out=swap.out, into=swap.into, saves_g=grams(swap.saves)),
        cautions=cautions_of(view),
        assumptions=free.ledger.listed(),
    )


def _check_ids(kit: Sequence[str], question: Question) -> None:
    """Check the ids of a kit.

    Raises:
        TripError: an id that no tool has, or one named twice.
    """
    known = {tool.id for tool in question.tools}
    first: dict[str, int] = {}
    faults: list[Fault] = []
    for index, name in enumerate(kit):
        pointer = f"#/kit/{index}"
        if name not in known:
            faults.append(unknown_id(pointer, name, sorted(known) if len(faults) < MOST_HINTS else []))
        elif name in first:
            detail = f"{name} is already at #/kit/{first[name]}; a kit holds each tool once"
            faults.append(Fault(pointer, name, "each tool once", detail))
        first.setdefault(name, index)
    if faults:
        raise TripError(faults)


def allowance(
    tool: Tool | Design, trips: TripGiven | Iterable[TripGiven], *, effort: Effort | None = None
) -> AllowanceAnswer:
    """Return the most packed mass at which a tool is in some lightest kit, per trip and the least of them.

    Args:
        tool: the tool, whose masses do not matter, or a drawing of it.
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
    found = []
    for index, trip in enumerate(several):
        with under("/trip" if alone else f"/trips/{index}"):
            found.append(_trip_allowance(row, trip, effort=effort))
    masses = [one.allowance_g for one in found if one.allowance_g is not None]
    never = any(one.reason == "never" for one in found)
    reason: Literal["never", "unbounded"] | None = "never" if never else None if masses else "unbounded"
    return AllowanceAnswer(tool=row.id, allowance_g=None if reason else min(masses), reason=reason, trips=found)


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
    """Return the allowance of a tool on one trip."""
    extra = [*(one for one in trip.extra_tools if one.id != tool.id), tool]
    question = question_of(trip.model_copy(update={"extra_tools": extra}))
    rule = next((rule for one, rule in question.barred if one.id == tool.id), None)
    if rule is not None:
        return _told(trip, Allowance(None, "never", None, None), f"{rule} excludes it.")
    case, met, _ = unmet(question, question.case)
    place, safety = case.place[tool.id], safety_of(question, case, met)
    found = allowance_of(case, place, safety=safety, effort=effort)
    price = price_allowance_of(case, place, safety=safety, effort=effort)
    texts = {
        None: "It is in a lightest kit up to this packed mass.",
        "never": "Even without mass it is in no lightest kit.",
        "unbounded": "No kit works without it, so no mass is too much.",
    }
    return _told(trip, found, texts[found.reason], price)


def _told(trip: Trip, found: Allowance, text: str, price: int | None = None) -> TripAllowance:
    """Return an allowance as callers see it."""
    return TripAllowance(
        name=trip.name,
        allowance_g=None if found.mass is None else grams(found.mass),
        reason=found.reason,
        without=None if found.without is None else sorted(found.without),
        with_tool=None if found.with_tool is None else sorted(found.with_tool),
        replaces=found.replaces,
        price_allowance=None if price is None else price / UNITS_PER_PRICE,
        text=text,
    )
