"""The question of the one trip of a body."""

from solver.forms.effort import Effort
from solver.forms.trip import Trip
from solver.forms.validation import refuse_safety, under
from solver.needs.question import Question, question_of


def trip_question(trip: Trip, effort: Effort | None = None) -> Question:
    """Return the question of the one trip of a body.

    Raises:
        TripError: fields that don't go together, or safety, which these answers do not weigh.
        Cancelled: nobody waits for it any more.
    """
    with under("/trip"):
        refuse_safety(trip)
        return question_of(trip, effort=effort)
