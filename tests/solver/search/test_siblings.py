"""Sibling cases settled side by side, each against the integer program by itself."""

from collections.abc import Iterator
from random import Random

import pytest
from random_trips import random_trip
from random_wood_trips import random_wood_trip, with_binding_work

from catalog import assumptions
from solver import Trip
from solver.answers.gap import unmet
from solver.answers.sensitivity import End, together
from solver.model.case import Case
from solver.model.engine import Effort, Status
from solver.needs.question import changed_question, question_of
from solver.search.choice import choose
from solver.search.related_cases import lightest_of

pytestmark = pytest.mark.quick

TRIPS = 12


def siblings_of(trip: Trip) -> Iterator[list[Case]]:
    """The cases of a trip at the ends of the bands of its assumptions, those of the same jobs together."""
    question = question_of(trip)
    ends = []
    for name in sorted(question.ledger.used):
        for value in (assumptions()[name].low, assumptions()[name].high):
            other = changed_question(question, {name: value})
            ends.append(End(name, value, unmet(other, other.case)[0], holds=False))
    yield from ([end.case for end in group] for group in together(ends) if len(group) > 1)


def seeded_trip(number: int) -> Trip:
    """A small trip, every third without a fire, every other with a day that its kit just fills."""
    rng = Random(number)
    form = random_trip(rng, fewest=3, most=8) if number % 3 == 0 else random_wood_trip(rng, fewest=3, most=8)
    return Trip.model_validate((with_binding_work(rng, form) if number % 2 else None) or form)


@pytest.mark.parametrize("kits", [2_000, 12])
def test_each_sibling_gets_the_kit_that_it_gets_by_itself(kits: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Grams and ids, whatever mass is guessed and wherever it ends; what is not settled is not told."""
    monkeypatch.setattr("solver.search.related_cases.MOST_KITS", kits)
    settled, apart, left = 0, 0, 0
    for number in range(TRIPS):
        for cases in siblings_of(seeded_trip(number)):
            alone = [choose(case, solver="highs") for case in cases]
            near = Random(number).choice([0, alone[0].mass, 2 * alone[0].mass])
            if number % 3 == 1:
                cases = [
                    case.lighter_than(one.mass + index % 2)
                    for index, (case, one) in enumerate(zip(cases, alone, strict=True))
                ]
                alone = [choose(case, solver="highs") for case in cases]
            for one, truth in zip(lightest_of(cases, near, effort=Effort()), alone, strict=True):
                left += one is None
                if one is not None:
                    assert (one.ids, one.mass) == (truth.ids, truth.mass), number
                    settled += one.status is Status.OPTIMAL
            apart += len({one.ids for one in alone}) > 1
    assert settled > TRIPS
    assert apart
    assert (left > 0) == (kits == 12)
