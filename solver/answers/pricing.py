"""Prices in grams: what a need costs, a tool left at home, and a day no longer than assumed. Exact, by re-solving."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from math import floor

import numpy as np

from solver.answers.gap import met_case
from solver.answers.kit import Settled
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import WORK
from solver.forms.quantity import MS_PER_MINUTE, decimal_of
from solver.model.case import Case
from solver.model.copies import last_copy, original_of
from solver.model.day_work import unworn_ms
from solver.model.reduction import ALL_AGAINST_ALL
from solver.needs.knife import originals
from solver.needs.need import whole_needs
from solver.needs.question import Question, question_of
from solver.programs.engine import Status
from solver.search.branching_data import BranchingData
from solver.search.choice import choose, least_mass
from solver.siblings.kit_guess import guessed_mass
from solver.siblings.sibling_search import least_masses

_FIRE_FIELDS: Mapping[str, Mapping[str, object]] = {
    "hot-water": {"hot_water_l_per_person": 0.0},
    "snow-melt": {"melt_snow": False},
    "warmth": {"warmth_h": 0.0},
    "drying": {"drying_h": 0.0},
}

_MORE_MINUTES = 30  # judged: a day's work is thought of in such steps


@dataclass(frozen=True)
class LongerDay:
    """A longer limit on a day's work [min], the lightest kit within it, and the 0.01 g that it weighs less."""

    minutes: float
    saves: int
    ids: tuple[str, ...]


def lighter_in_longer_day(settled: Settled, *, limit_min: float, effort: Effort) -> LongerDay | None:
    """Return by how much the lightest kit is lighter in a longer day; None where twice the limit makes none lighter.

    Of half an hour more and twice the limit, what is shorter is told if a kit is lighter in it, else what is longer.
    What can't be proven within the effort is not told.

    Args:
        settled: the lightest kit of a trip with a work limit.
        limit_min: that limit [min].
        effort: what each solve may cost.
    """
    case, least = settled.case, settled.choice.mass
    if case.work_cap is None or not least:
        return None
    light = np.flatnonzero(case.mass < least)
    days = {
        longer: floor(case.rest.work(decimal_of(longer) * MS_PER_MINUTE))
        for longer in sorted((2 * limit_min, limit_min + _MORE_MINUTES), reverse=True)  # mostly the longer ends it
    }
    if unworn_ms(case, frozenset(light.tolist())) > max(days.values()):  # all that are lighter together
        return None
    lighter, found = case.keep(light).lighter_than(least), None
    for longer, work_cap in days.items():
        longer_day = lighter.capped(WORK.field, work_cap)
        laid = BranchingData([longer_day])
        if laid.lowest() is None:
            break
        few = longer_day.tools <= ALL_AGAINST_ALL  # a search among so few ends before they would be reduced
        choice = choose(
            longer_day,
            effort=effort,
            ties=False,
            near=least,
            reduced=not few,
            laid=laid if few else None,
            at_last=False,
        )
        if choice.status is not Status.OPTIMAL:
            break
        found = LongerDay(longer, least - choice.mass, choice.ids or ())
    return found


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
    wholes, uses = whole_needs(question.needs), question.uses
    unlit = [_case_without_use(question, use.id) for use in uses]
    together = bool(unlit) and all(one.ids == settled.case.ids for one in unlit)
    whole = settled.case if together else case
    fewer = [whole.only_jobs(np.flatnonzero(~np.isin(met, places))) for places in wholes]
    if together:
        masses = least_masses([*fewer, *unlit], least, effort=effort, reduced=False)
    else:
        masses = least_masses(fewer, least, effort=effort, reduced=True)
        masses += least_masses(unlit, least, effort=effort, reduced=False)
    names = [question.needs[places[0]].id for places in wholes] + [use.id for use in uses]
    return {name: least - (mass or 0) for name, mass in zip(names, masses, strict=True)}


def _case_without_use(question: Question, use: str) -> Case:
    """Return the case of a trip whose fire does not serve one of its uses."""
    trip = question.trip
    assert trip.fire is not None
    fire = trip.fire.model_copy(update=_FIRE_FIELDS[use])
    return met_case(question_of(trip.model_copy(update={"fire": fire}), like=question))


def tool_prices(settled: Settled, case: Case, *, effort: Effort) -> dict[str, int | None]:
    """Return the grams added [0.01 g] if a tool of the kit stayed home; None where no kit does without it.

    A tool that had to go is let off for this; its price may be below 0. Without a tool go its copies.

    Args:
        settled: the lightest kit of a trip.
        case: the trip's case, reduced for prices.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    least = settled.choice.mass
    prices: dict[str, int | None] = {}
    for name in originals(settled.choice.ids or ()):
        if name in prices:
            continue
        fewer = case.without(case.place[name])
        laid = BranchingData([fewer], timed=True)
        near = max(least, guessed_mass(laid, settled.choice.ids or ()) or 0)
        timed = laid if case.work_cap is not None else None  # else its times would only lengthen the search
        without = least_mass(fewer, effort=effort, near=near, reduced=False, laid=timed)
        prices[name] = None if without is None else without - least
    return prices


def growths_of_several(settled: Settled, case: Case, *, effort: Effort) -> dict[str, int | None]:
    """Return by how much each tool that a kit holds several of may grow in mass [0.01 g] and stay; None without end.

    A kit with fewer of them grows by less. A lightest kit at some growth either is the one told, or tells a growth at
    which it is as light: that is tried next, until none is lighter (Dinkelbach 1967).

    Args:
        settled: the lightest kit of a trip.
        case: the trip's case, reduced for prices.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    least, found = settled.choice.mass, dict[str, int | None]()
    for name, number in Counter(originals(settled.choice.ids or ())).items():
        if number == 1:
            continue
        alike = [tool for tool, other in enumerate(case.ids) if original_of(other) == name]
        last = case.place[last_copy(name, settled.choice.ids or ())]
        fewer = least_mass(case.without(last), effort=effort, near=least, reduced=False)
        growth, lighter = (None, False) if fewer is None else (fewer - least, True)
        while growth and lighter:
            mass = case.mass.copy()
            mass[alike] += growth
            grown = least + number * growth
            heavier = case.changed(mass=mass)
            choice = choose(heavier, effort=effort, ties=False, near=grown, reduced=False, at_last=False)
            if choice.ids is None or choice.status is Status.STOPPED:
                raise Unfinished
            lighter = choice.mass < grown
            if lighter:
                held = sum(original_of(one) == name for one in choice.ids)
                growth = (choice.mass - held * growth - least) // (number - held)
        found[name] = growth
    return found
