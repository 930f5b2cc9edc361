"""The cases of scenarios, made a block at a time: those in the same wood differ only in their stated tasks."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Any

import numpy as np

from solver.forms.effort import Effort, Unfinished
from solver.forms.trip import Task, Trip
from solver.model.case import FIXED, NEVER, Case
from solver.model.case_blocks import cases_in_a_block
from solver.model.slower_ways import NO_SLOWER, SlowerWays
from solver.needs.ability import Ability, ability_of
from solver.needs.case_builder import burning_of, with_ways_against_wear
from solver.needs.need import Need, stated_needs
from solver.needs.question import Question

# Judged: times of workers at jobs in all cases that stay in memory, some 70 MB with all else; and as many in the
# questions of places of work, up to 230 MB.
_MOST_HELD = 2_000_000

_Place = tuple[str, float, bool]
_TaskKey = tuple[object, ...]


@dataclass(frozen=True)
class _Told:
    """Tasks of one place of work as rows of one table of abilities: the needs that each task is, and their rows."""

    needs: dict[_TaskKey, list[Need]]
    rows: dict[_TaskKey, list[int]]
    ability: Ability  # without methods that serve only the fire


class ScenarioAxis:
    """The cases of variants of one trip, which differ in wood and stated tasks."""

    def __init__(self, trips: Sequence[Trip], ask: Callable[[int, Question | None], Question]) -> None:
        """Begin with the first.

        Args:
            trips: the variants.
            ask: returns the question of the variant at a place, like that of another variant.
        """
        self.trips, self.ask = trips, ask
        self.reading: Effort | None = None  # what reading the cases may take, while they are first read
        self.each_s = 0.0  # what a question takes, where that is known
        self.first = ask(0, None)
        self.bases: dict[_Place, Question] = {}
        self.woods: dict[int, str] = {}
        self.held: dict[int, Sequence[Case]] = {}
        self.size = cases_in_a_block(self.first.case)
        self.most_held = _MOST_HELD // max(1, self.first.case.work.size)

    def __len__(self) -> int:
        """Return the number of scenarios."""
        return len(self.trips)

    def late_for(self, effort: Effort) -> bool:
        """Tell whether the time of an effort is over before one more question can stand."""
        return effort.spent() or (effort.until < inf and effort.until - effort.clock() < self.each_s)

    def question(self, place: int) -> Question:
        """Return the question of a scenario.

        Raises:
            Unfinished: the time to read them is over.
        """
        if place and self.reading is not None and self.late_for(self.reading):
            raise Unfinished
        return self.first if place == 0 else self.ask(place, self.first)

    def block(self, first: int, last: int) -> Sequence[Case]:
        """Return the cases from one place to before another.

        Raises:
            TripError: fields of a scenario that don't go together.
        """
        if len(self) > self.most_held:
            return self.made(range(first, last))
        found = list[Case]()
        for number in range(first // self.size, -(-last // self.size)):
            start = number * self.size
            if number not in self.held:
                self.held[number] = self.made(range(start, min(start + self.size, len(self.trips))))
            found += self.held[number][max(first - start, 0) : last - start]
        return found

    def made(self, places: Sequence[int]) -> list[Case]:
        """Return the cases at some places.

        Raises:
            Unfinished: the time to read them is over.
        """
        at: dict[_Place, list[int]] = {}
        found: dict[int, Case] = {}
        for place in places:
            if self.reading is not None:
                self.reading.go_on()
            if self.trips[place].trials or not self.trips[place].tasks:
                found[place] = self.question(place).case
            else:
                at.setdefault(self.place_of(self.trips[place]), []).append(place)
        for key, several in at.items():
            base = self.base(key, several[0])
            told = self.told(base, several)
            before = sum(len(stated_needs(task, base.trip, base.site, base.ledger, {})) for task in base.trip.tasks)
            for place in several:
                found[place] = _case_of(base, told, self.trips[place].tasks, before=before)
        return [found[place] for place in places]

    def base(self, key: _Place, place: int) -> Question:
        """Return the question of a place of work, that of a scenario in it; as many are kept as cases may be."""
        base = self.bases.get(key)
        if base is None:
            base = self.question(place)
            if len(self.bases) < self.most_held:
                self.bases[key] = base
        return base

    def place_of(self, trip: Trip) -> _Place:
        """Return what the place of work hangs on: the wood, the thickest round split, and whether wood is broken."""
        wood = self.woods.get(id(trip.wood))
        if wood is None:
            wood = self.woods[id(trip.wood)] = trip.wood.model_dump_json()
        split = max((task.diameter_mm for task in trip.tasks if task.task == "split"), default=0.0)
        return wood, split, any(task.task == "buck" for task in trip.tasks)

    def told(self, base: Question, places: Sequence[int]) -> _Told:
        """Return the tasks of some variants in one place of work, each told once."""
        needs: dict[_TaskKey, list[Need]] = {}
        rows: dict[_TaskKey, list[int]] = {}
        number = 0
        for place in places:
            for task in self.trips[place].tasks:
                key = _key(task)
                if key not in needs:
                    needs[key] = stated_needs(task, base.trip, base.site, base.ledger, {})
                    rows[key] = list(range(number, number + len(needs[key])))
                    number += len(needs[key])
        jobs = [need.job for several in needs.values() for need in several]
        ability = ability_of(jobs, base.workers, base.trip, body_kg=base.body_kg)
        return _Told(needs, rows, ability.without(slice(None), burning_of(base.workers)))


def _key(task: Task) -> _TaskKey:
    """Return what tells one stated task from another."""
    return tuple(task.__dict__.values())


def _case_of(base: Question, told: _Told, tasks: Sequence[Task], *, before: int) -> Case:
    """Return the case of a trip that differs from another only in its stated tasks, of which that has so many jobs."""
    keys = [_key(task) for task in tasks]
    rows = [row for key in keys for row in told.rows[key]]
    needs = [need for key in keys for need in told.needs[key]]
    case, ability = base.case, told.ability
    moved = len(needs) - before
    rest = len(case.wood_class) > before
    figures: dict[str, Any] = {
        name: np.concatenate([new[rows], getattr(case, name)[before:]]) if rest else new[rows]
        for name in ("work", "able", "wear", "kcal", "part")
        for new in [getattr(ability, name)]
    }
    backup = np.array([need.backup for need in needs], dtype=np.int64)
    found = replace(
        case,
        **figures,
        backup=np.concatenate([backup, case.backup[before:]]),
        wood_class=np.concatenate([np.full(len(needs), FIXED), case.wood_class[before:]]),
        each_carries=frozenset(job + moved for job in case.each_carries),
        slower=NO_SLOWER,
    )
    ways = _slower_ways(base, ability.further.ways, rows, before, moved)
    if not len(ways):
        return found
    there = found.work[ways.job, ways.worker] < NEVER
    return with_ways_against_wear(replace(found, slower=ways.chosen(there)))


def _slower_ways(base: Question, told: SlowerWays, rows: Sequence[int], before: int, moved: int) -> SlowerWays:
    """Return the further ways of the jobs of a trip: those of its stated tasks, then the others of the base."""
    found = NO_SLOWER
    others = base.ability.further.ways
    if len(told):
        for job, row in enumerate(rows):
            mine = told.chosen(told.job == row)
            found = found.with_others(replace(mine, job=np.full(len(mine), job)))
    if len(others):
        rest = others.chosen(others.job >= before)
        found = found.with_others(replace(rest, job=rest.job + moved))
    return found
