"""The main job: a trip in, the provably lightest kit out."""

from dataclasses import replace

from solver.answers.details import details_of, made_robust
from solver.answers.kit import Settled, load_of, settled_kit
from solver.forms.aim import AIMS
from solver.forms.answer import Answer
from solver.forms.arguments import TripGiven, effort_given, trip_given
from solver.forms.effort import Effort
from solver.needs.question import Question, question_of
from solver.search.choice import choose
from solver.telling.explanation import tell
from solver.telling.solution_view import SolutionView


def plan(trip: TripGiven, *, effort: Effort | None = None) -> Answer:
    """Return the lightest kit that covers a trip, with its reasons, margins, minutes and cautions.

    Args:
        trip: what the traveller asks: a Trip, or a dict of its fields, checked as it is over HTTP.
        effort: what each solve may cost; the usual effort where nothing is said.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
        Unfinished: the effort ran out before any kit was found.
    """
    effort = effort_given(effort)
    question = question_of(trip_given(trip))
    plain = settled_kit(question, effort=effort)
    lightest = _lightest_of(question, plain, effort=effort)
    settled, robust, left = made_robust(question, plain, lightest.choice.mass, effort=effort)
    details = details_of(question, settled, robust, effort=effort)
    details = replace(details, not_settled=[*left, *details.not_settled])
    view = SolutionView(question, settled, details.need_prices, details.tool_prices)
    return tell(view, lightest, details)


def _lightest_of(question: Question, settled: Settled, *, effort: Effort) -> Settled:
    """Return the lightest kit to compare with, where something else than mass was the aim."""
    if question.trip.aim == "mass":
        return settled
    choice = choose(settled.case, effort=effort)
    load = load_of(settled.case, choice, effort=effort, by_kcal=AIMS[question.trip.aim].by_kcal)
    return replace(settled, choice=choice, load=load)
