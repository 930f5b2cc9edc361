"""The main question: a trip in, the lightest kit out."""

from solver import Answer, Effort, Trip, plan


def answer_plan(trip: Trip, effort: Effort) -> Answer:
    """Return the lightest kit for a trip."""
    return plan(trip, effort=effort)
