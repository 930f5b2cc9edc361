"""Prices in grams: what a need costs, and what it would cost to leave a tool at home. Exact, by re-solving."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from solver.case import Case, mass_of
from solver.choice import Unfinished, least_mass
from solver.engine import Effort, Engine, Status, default_solver
from solver.gap import met_case
from solver.kit import Settled
from solver.probe import holds_for
from solver.program import build, limit_can_bind
from solver.question import Question, question_of
from solver.reduction import reduce_for_prices
from solver.trip import Trip

FIRE_FIELDS: Mapping[str, Mapping[str, object]] = {
    "hot-water": {"hot_water_l_per_person": 0.0},
    "snow-melt": {"melt_snow": False},
    "warmth": {"warmth_h": 0.0},
    "drying": {"drying_h": 0.0},
}


class Pricing:
    """One reduced program of a settled case, solved anew with a job dropped or a tool at home."""

    def __init__(self, settled: Settled, *, effort: Effort) -> None:
        self.settled = settled
        self.effort = effort
        self.case = reduce_for_prices(settled.case)
        self.program = build(self.case, with_minutes=limit_can_bind(self.case), optional=True)
        self.engine = Engine(self.program.model, solver=default_solver(), effort=effort)

    def without_need(self, need: int) -> int:
        """Return the least mass where a need is dropped [0.01 g]."""
        rows = [row for row, job in enumerate(self.settled.met) if job == need]
        others = np.array([row for row, job in enumerate(self.settled.met) if job != need], dtype=np.int64)
        off = {self.program.switches[row]: 0.0 for row in rows}
        whole = self.settled.case.only_jobs(others)
        return self.least(self.case.only_jobs(others), off, whole) or 0

    def without_tool(self, name: str) -> int | None:
        """Return the least mass where a tool stays home [0.01 g], or None where no kit does without it."""
        place = self.case.place[name]
        case = replace(self.case, must=self.case.must - {place})
        whole = self.settled.case.without(self.settled.case.place[name])
        return self.least(case, {self.program.carried[place]: 0.0}, whole)

    def least(self, case: Case, fixed: Mapping[int, float], whole: Case) -> int | None:
        """Return the least mass of a variant; where only a tolerance let a kit through, by a search of its own.

        Raises:
            Unfinished: the effort ran out.
        """
        outcome = self.engine.minimise(self.program.mass, fixed=fixed)
        if outcome.status is Status.STOPPED:
            raise Unfinished
        if outcome.values is None:
            return None
        kit = self.program.kit(outcome.values)
        return mass_of(case, kit) if holds_for(case, kit, effort=self.effort) else least_mass(whole, effort=self.effort)


def need_prices(question: Question, pricing: Pricing, least: int, *, effort: Effort) -> dict[str, int]:
    """Return the grams saved [0.01 g] if a need were dropped, by need.

    The price of a need is the difference of two plans: with it and without it.
    """
    prices = {need.id: least - pricing.without_need(n) for n, need in enumerate(question.needs)}
    for use in question.uses:
        lighter = least_mass(case_without_use(question.trip, use.id), effort=effort)
        prices[use.id] = least - (lighter or 0)
    return prices


def case_without_use(trip: Trip, use: str) -> Case:
    """Return the case of a trip whose fire does not serve one of its uses."""
    assert trip.fire is not None
    fire = trip.fire.model_copy(update=FIRE_FIELDS[use])
    return met_case(question_of(trip.model_copy(update={"fire": fire})))


def tool_prices(settled: Settled, pricing: Pricing, least: int) -> dict[str, int | None]:
    """Return the grams added [0.01 g] if a tool of the kit stayed home; None where no kit does without it.

    A tool that had to go is let off for this; its price may be below 0.
    """
    found = {name: pricing.without_tool(name) for name in settled.choice.ids or ()}
    return {name: None if without is None else without - least for name, without in found.items()}
