"""Sibling cases settled side by side, each against the integer program by itself."""

from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import Any

import numpy as np
import pytest
from random_trips import random_trip
from random_wood_trips import random_wood_trip, with_binding_work

from catalog import assumptions
from solver import Trip
from solver.answers.gap import unmet
from solver.answers.sensitivity import End, lightest_of, together
from solver.forms.effort import Effort
from solver.model.case import Case, Firewood
from solver.model.easiest_case import easiest
from solver.needs.question import question_of
from solver.programs.engine import Status
from solver.search.choice import choose

TRIPS = 12


def siblings_of(trip: Trip) -> Iterator[list[Case]]:
    """The cases of a trip at the ends of the bands of its assumptions, those of the same jobs together."""
    question = question_of(trip)
    ends = []
    for name in sorted(question.ledger.used):
        for value in (assumptions()[name].low, assumptions()[name].high):
            other = question_of(trip, changed={name: value})
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
    monkeypatch.setattr("solver.answers.sensitivity.MOST_KITS", kits)
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


@pytest.mark.parametrize("number", range(TRIPS))
def test_the_easiest_is_as_easy_as_each_and_no_easier_than_all(number: int) -> None:
    """Figure by figure: least time, wear and wood wanted, most ability and reach, whatever their order."""
    rng = np.random.default_rng(number)
    case = question_of(seeded_trip(number)).case
    cases = [varied(case, rng) for _ in range(3)]
    found = easiest(cases)
    assert all(harder(found, one) for one in cases)
    for least in ("work", "wear"):
        assert (getattr(found, least) == np.min([getattr(one, least) for one in cases], axis=0)).all()
    assert (found.able == np.any([one.able for one in cases], axis=0)).all()
    if case.firewood is None:
        assert found.firewood is None
        return
    wood = [one.firewood for one in cases]
    assert found.firewood.demand_g == min(one.demand_g for one in wood)
    assert (found.firewood.reach_g == np.max([one.reach_g for one in wood], axis=0)).all()
    assert (found.firewood.gather == np.min([one.gather for one in wood], axis=0)).all()
    assert (found.firewood.gather_kcal == np.min([one.gather_kcal for one in wood], axis=0)).all()


def harder(one: Case, other: Case) -> bool:
    """Whether the other case is at least as hard on every kit, in every figure."""

    def ways(case: Case) -> dict[tuple[int, ...], list[list[int]]]:
        found: dict[tuple[int, ...], list[list[int]]] = {}
        slower = case.slower
        rows = np.array([slower.job, slower.worker, slower.part, slower.work, slower.wear, slower.kcal]).T.tolist()
        for job, worker, part, *figures in rows:
            found.setdefault((job, worker, part), []).append(figures)
        return found

    easier = ways(one)
    as_slow = all(
        any(all(a <= b for a, b in zip(known, mine, strict=True)) for known in easier.get(key, []))
        for key, several in ways(other).items()
        for mine in several
    )
    least = (other.work >= one.work).all() and (other.wear >= one.wear).all() and (other.able <= one.able).all()
    if one.firewood is None or other.firewood is None:
        return bool(as_slow and least and one.firewood is other.firewood)
    wood, more = one.firewood, other.firewood
    burns = more.demand_g >= wood.demand_g and (more.reach_g <= wood.reach_g).all()
    return bool(as_slow and least and burns and (more.gather >= wood.gather).all())


def varied(case: Case, rng: np.random.Generator) -> Case:
    """A case with other figures, up and down by as much as a third."""

    def some(figures: Any) -> Any:
        return (figures * rng.uniform(2 / 3, 4 / 3, figures.shape)).astype(figures.dtype)

    wood = case.firewood and Firewood(
        demand_g=int(case.firewood.demand_g * rng.uniform(2 / 3, 4 / 3)),
        reach_g=some(case.firewood.reach_g),
        gather=some(case.firewood.gather),
        gather_kcal=some(case.firewood.gather_kcal),
    )
    able = case.able & (rng.uniform(size=case.able.shape) < 2 / 3)
    return replace(case, work=some(case.work), wear=some(case.wear), able=able, firewood=wood)
