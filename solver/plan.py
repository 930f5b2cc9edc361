"""The main job: a trip in, the provably lightest kit out."""

from dataclasses import replace

from solver.answer import Answer
from solver.choice import choose
from solver.engine import Effort
from solver.explanation import tell
from solver.kit import Settled, load_of, settle
from solver.question import Question, question_of
from solver.trip import Trip


def plan(trip: Trip, *, effort: Effort | None = None) -> Answer:
    """Return the lightest kit that covers a trip, with its reasons, margins, minutes and cautions.

    Args:
        trip: what the traveller asks.
        effort: what each solve may cost; the usual effort where nothing is said.

    Raises:
        TripError: fields that don't go together.
        Unfinished: the effort ran out before any kit was found.
    """
    effort = effort or Effort()
    question = question_of(trip)
    settled = settled_of(question, effort=effort)
    return tell(question, settled, lightest_of(question, settled, effort=effort))


def settled_of(question: Question, *, effort: Effort) -> Settled:
    """Return the best kit for a question, or its gaps and the best kit for the rest."""
    return settle(
        question.trip,
        question.case,
        question.needs,
        question.classes,
        question.workers,
        question.barred,
        effort=effort,
    )


def lightest_of(question: Question, settled: Settled, *, effort: Effort) -> Settled:
    """Return the lightest kit to compare with, where something else than mass was the aim."""
    if question.trip.aim == "mass":
        return settled
    choice = choose(settled.case, effort=effort)
    return replace(settled, choice=choice, load=load_of(settled.case, choice, effort=effort))
