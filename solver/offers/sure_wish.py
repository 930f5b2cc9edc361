"""Whether an offer is in some lightest kit that suffices in a share of joint draws of all that is not known."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from catalog import Tool
from solver.answers.confidence import Scenarios, to_reach
from solver.answers.gap import missing_must
from solver.draws.joint_draws import draws_of
from solver.forms.effort import Effort, Unfinished
from solver.forms.trip import Trip
from solver.needs.question import Question, question_of
from solver.offers.kit_lines import trip_with
from solver.several.chance_front import NO_KIT, Sufficing

SURE_DRAWS = 32  # judged: few, since so many trips are asked; one more or less moves a share of 0.9 by 0.03


SureWish = Literal["held", "not_held", "no_kit"]


def wished_surely(
    trip: Trip, rows: Sequence[Tool], confidence: float, *, effort: Effort, seed: int = 1, draws: int = SURE_DRAWS
) -> SureWish | None:
    """Tell whether some lightest kit that suffices in a share of the draws holds all that is offered, as it weighs.

    `no_kit`: no kit suffices in so many draws. None where it is not proven, or the trip asks for `robust`.

    Args:
        trip: the trip.
        rows: the tools offered.
        confidence: the least share of the draws in which a kit must suffice.
        effort: what each search may cost.
        seed: of the draws; equal seeds draw a figure alike on every trip.
        draws: how many.

    Raises:
        TripError: fields that don't go together.
        Cancelled: nobody waits for it.
    """
    if trip.robust is not None:
        return None
    offered = trip_with(trip, rows)
    must = list(dict.fromkeys([*offered.must_carry, *(row.id for row in rows)]))
    try:
        free = lightest_in_draws(offered, confidence, draws, seed, effort=effort)
        if free is None or free.ids is None:
            return None if free is None else "no_kit"
        carried, mine = offered.model_copy(update={"must_carry": must}), {row.id for row in rows}
        held = lightest_in_draws(carried, confidence, draws, seed, effort=effort, working=mine)
    except Unfinished:
        return None
    if held is None:
        return None
    return "held" if held.ids is not None and held.mass == free.mass else "not_held"


def lightest_in_draws(
    trip: Trip, confidence: float, count: int, seed: int, *, effort: Effort, working: Collection[str] = ()
) -> Sufficing | None:
    """Return the lightest kit that suffices in a share of the draws, or that there is none; None if not proven.

    Args:
        trip: the trip.
        confidence: the least share of the draws.
        count: how many draws.
        seed: of the draws.
        effort: what it may cost.
        working: ids of tools that need work of their own as assumed though they must go.

    Raises:
        Unfinished: the effort ran out.
    """
    question: Question = question_of(trip)
    if missing_must(question.trip, question.barred, question.case):
        return NO_KIT
    draws = draws_of(question, count=count, seed=seed, effort=effort)
    odds = [Fraction(1, count)] * count
    assumed = replace(question.case, must=question.case.must - question.case.kit(working))
    scenarios = Scenarios(draws, odds, effort=effort, glance=draws.glance, by_program=False, assumed=assumed)
    found = scenarios.lightest(to_reach(confidence))
    return found if scenarios.checked else None
