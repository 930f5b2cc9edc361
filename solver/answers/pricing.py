"""Prices in grams: what a need costs, and what it would cost to leave a tool at home. Exact, by re-solving."""

from collections.abc import Mapping

import numpy as np

from solver.answers.gap import met_case
from solver.answers.kit import Settled
from solver.forms.effort import Effort
from solver.forms.trip import Trip
from solver.model.case import Case
from solver.needs.need import whole_needs
from solver.needs.question import Question, question_of
from solver.search.choice import least_mass

_FIRE_FIELDS: Mapping[str, Mapping[str, object]] = {
    "hot-water": {"hot_water_l_per_person": 0.0},
    "snow-melt": {"melt_snow": False},
    "warmth": {"warmth_h": 0.0},
    "drying": {"drying_h": 0.0},
}


def need_prices(question: Question, settled: Settled, case: Case, *, effort: Effort) -> dict[str, int]:
    """Return the grams saved [0.01 g] if a need were dropped, by need.

    The price of a need is the difference of two plans: with it and without it.

    Args:
        question: the trip's question.
        settled: its lightest kit.
        case: its case, reduced for prices.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    met, least = np.array(settled.met), settled.choice.mass
    prices = {}
    for places in whole_needs(question.needs):
        rest = case.only_jobs(np.flatnonzero(~np.isin(met, places)))
        prices[question.needs[places[0]].id] = least - (least_mass(rest, effort=effort, near=least, reduced=False) or 0)
    for use in question.uses:
        rest = _case_without_use(question.trip, use.id)
        prices[use.id] = least - (least_mass(rest, effort=effort, near=least) or 0)
    return prices


def _case_without_use(trip: Trip, use: str) -> Case:
    """Return the case of a trip whose fire does not serve one of its uses."""
    assert trip.fire is not None
    fire = trip.fire.model_copy(update=_FIRE_FIELDS[use])
    return met_case(question_of(trip.model_copy(update={"fire": fire})))


def tool_prices(settled: Settled, case: Case, *, effort: Effort) -> dict[str, int | None]:
    """Return the grams added [0.01 g] if a tool of the kit stayed home; None where no kit does without it.

    A tool that had to go is let off for this; its price may be below 0.

    Args:
        settled: the lightest kit of a trip.
        case: the trip's case, reduced for prices.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    least = settled.choice.mass
    prices: dict[str, int | None] = {}
    for name in settled.choice.ids or ():
        without = least_mass(case.without(case.place[name]), effort=effort, near=least, reduced=False)
        prices[name] = None if without is None else without - least
    return prices
