"""Every non-dominated kit of a trip, as callers see it."""

from dataclasses import replace

from solver.answers.kit import Settled, told_kit, what_can_be_met
from solver.forms.arguments import Argument, TripGiven, effort_given, trip_given
from solver.forms.effort import Effort
from solver.forms.limit import WORK
from solver.forms.quantity import UNITS_PER_PRICE
from solver.forms.question_answers import FrontAnswer, FrontPoint
from solver.reports.question_of_trip import trip_question
from solver.search.front import Against, Point, front_of, point_of
from solver.telling.explanation import kit_of
from solver.telling.solution_view import SolutionView
from solver.telling.warning import cautions_of

_FOR_POINTS = 0.8  # judged: of the time; the rest is for one kit, or for what gives way, where no point was found
_AGAINST: Argument[Against] = Argument("against", Against, "minutes or price")


def front(trip: TripGiven, *, against: Against = "minutes", effort: Effort | None = None) -> FrontAnswer:
    """Return every non-dominated kit of a trip, by grams and minutes or by grams and price.

    Against minutes the work limit is left out; the other limits stay. Where the trip has gaps, they are named
    and the front is of the rest, as POST /kits answers it. Where the effort ends before any point is proven, the one
    point told is a kit that keeps every rule.

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
    question = trip_question(trip.model_copy(update={"aim": "mass"}))
    if against == "minutes":
        question = replace(question, case=question.case.capped(WORK.field, None))
    case, met, gaps = what_can_be_met(question)
    found = front_of(case, against=against, effort=effort.portion(_FOR_POINTS))
    points = found.points
    if not points and found.rest is not None:
        points = [point_of(case, found.rest, effort=effort)]
    if points:
        settled = Settled(case, met, points[0].choice, points[0].load, gaps)
    else:
        settled = told_kit(question, effort=effort)
        found = replace(found, complete=False, checked=False)
        if settled.choice.checked and not effort.over:
            found = front_of(settled.case, against=against, effort=effort)
        points = found.points or [point_of(settled.case, settled.choice, effort=effort)]
    view = SolutionView(question, settled)
    return FrontAnswer(
        name=trip.name,
        against=against,
        status="uncovered" if settled.gaps else "optimal" if found.complete else "feasible",
        checked=found.checked,
        points=[_front_point(view, point) for point in points],
        gaps=settled.gaps,
        cautions=cautions_of(view),
    )


def _front_point(view: SolutionView, point: Point) -> FrontPoint:
    """Return one point of a front."""
    of_point = SolutionView(view.question, replace(view.settled, choice=point.choice, load=point.load))
    kit = kit_of(of_point)
    return FrontPoint(
        ids=[tool.id for tool in kit.tools for _ in range(tool.count)],
        methods=kit.methods,
        mass_g=kit.mass_g,
        work_min_per_day=kit.work_min_per_day,
        price=round(point.price / UNITS_PER_PRICE, 2),
        unpriced=[tool.id for tool in of_point.carried if tool.price is None],
    )
