"""Sibling cases settled side by side, each against the integer program by itself."""

from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
import pytest
from random_trips import random_trip
from random_wood_trips import random_wood_trip, with_binding_work

from catalog import assumptions
from solver import Trip
from solver.answers.gap import unmet
from solver.answers.sensitivity import lightest_of
from solver.forms.effort import Effort
from solver.model.case import Case
from solver.model.case_blocks import kept_alike
from solver.needs.question import question_of
from solver.programs.engine import Status
from solver.search.choice import Choice, choose

TRIPS = 12


def siblings_of(trip: Trip) -> list[Case]:
    """The cases of a trip at the ends of the bands of every third of its assumptions."""
    ends = []
    for name in sorted(question_of(trip).ledger.used)[::3]:
        for value in (assumptions()[name].low, assumptions()[name].high):
            other = question_of(trip, changed={name: value})
            ends.append(unmet(other, other.case)[0])
    return ends


def seeded_trip(number: int) -> Trip:
    """A small trip, every third without a fire, every other with a day that its kit just fills."""
    rng = Random(number)
    form = random_trip(rng, fewest=3, most=8) if number % 3 == 0 else random_wood_trip(rng, fewest=3, most=8)
    return Trip.model_validate((with_binding_work(rng, form) if number % 2 else None) or form)


@cache
def judged(number: int) -> tuple[list[Case], list[Choice], int]:
    """The cases of a seeded trip, the kit that each gets by itself, and a mass near it: now and then, limits bind."""
    cases = siblings_of(seeded_trip(number))
    alone = [choose(case, solver="highs") for case in cases]
    near = Random(number).choice([0, alone[0].mass, alone[-1].mass])
    if number % 3 == 1:
        cases = [
            case.lighter_than(one.mass + index % 2) for index, (case, one) in enumerate(zip(cases, alone, strict=True))
        ]
        alone = [choose(case, solver="highs") for case in cases]
    return cases, alone, near


def test_siblings_that_keep_some_tools_are_those_that_each_keeps_by_itself() -> None:
    """In every field, though the rules are cut down once; also of a case whose rules are its own."""
    cases = siblings_of(seeded_trip(1))
    cases.append(replace(cases[0], must=frozenset([1])))
    tools = np.arange(1, cases[0].tools)
    for case, kept in zip(cases, kept_alike(cases, tools), strict=True):
        alone = case.keep(tools)
        assert repr(kept) == repr(alone)
        assert (kept.mortal_parts == alone.mortal_parts).all()


@pytest.mark.parametrize(("kits", "at_once"), [(5_000, 10**9), (150, 0)])
def test_each_sibling_gets_the_kit_that_it_gets_by_itself(
    kits: int, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Grams and ids, whatever mass is guessed and wherever it ends; what is not settled is not told."""
    monkeypatch.setattr("solver.siblings.sibling_search._MOST_ROWS", kits)
    monkeypatch.setattr("solver.siblings.sibling_search._AT_ONCE", at_once)
    settled, apart, left = 0, 0, 0
    for number in range(TRIPS):
        cases, alone, near = judged(number)
        for one, truth in zip(lightest_of(cases, near, effort=Effort()), alone, strict=True):
            left += one is None
            if one is not None:
                assert (one.ids, one.mass) == (truth.ids, truth.mass), number
                settled += one.status is Status.OPTIMAL
        apart += len({one.ids for one in alone}) > 1
    assert settled > TRIPS
    assert apart
    assert (left > 0) == (kits == 150)
