"""A kit held fixed while figures of its tools or needs change: does it still keep every rule, by how much?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from catalog import Method, Tool
from catalog.tables.number import Ints
from solver.forms.effort import Effort
from solver.model.case import FIXED, NEVER, Case
from solver.model.slower_ways import SlowerWays
from solver.needs.ability import Ability, Workers, ability_of, workers_from
from solver.needs.candidates import Candidates
from solver.needs.case_builder import burning_of
from solver.needs.job import Job
from solver.needs.question import Question
from solver.siblings.changed_days import ChangedDays, ChangedTables, room_for

_Figure = TypeVar("_Figure", np.bool_, np.int64, np.int8)


def holds_for(case: Case, kit: frozenset[int], *, effort: Effort) -> bool:
    """Tell whether a kit keeps every rule of a case."""
    room = room_for(case, kit, effort=effort)
    return room is not None and room >= 0


@dataclass(frozen=True)
class Probe:
    """The chosen kit alone: its case (with only its tools), its rows, and the jobs that are met."""

    question: Question
    case: Case
    rows: tuple[Tool, ...]
    jobs: tuple[Job, ...]
    effort: Effort

    def room(self, case: Case) -> float | None:
        """Return the time that the kit leaves in a case like its own; see `room_for`."""
        self.effort.go_on()
        return room_for(case, frozenset(range(case.tools)), effort=self.effort)

    @cached_property
    def room_now(self) -> float | None:
        """The time that the kit leaves as it is."""
        return self.room(self.case)

    @cached_property
    def days(self) -> ChangedDays:
        """The days of the kit while figures change."""
        return ChangedDays(self.case, self.effort)

    def with_tools(self, tools: Sequence[tuple[int, str, dict[str, float]]]) -> list[float | None]:
        """Return the room of the kit with figures of one tool changed that only one way of working reads.

        Args:
            tools: for each room wanted, the tool, the way, and the figures changed.
        """
        changed_tools = self.workers.candidates.with_figures([(tool, changed) for tool, _, changed in tools])
        ways_changed = dict.fromkeys(way for _, way, _ in tools)
        touched = {way: [j for j, job in enumerate(self.jobs) if job.reads(way)] for way in ways_changed}
        jobs = sorted(set().union(*touched.values()))
        ability = self.ability([self.jobs[j] for j in jobs], self.as_workers(changed_tools))
        rows_of = {way: np.searchsorted(jobs, at) for way, at in touched.items()}

        ways, old = ability.further.ways, self.case.slower

        def slower(place: int) -> SlowerWays:
            tool, way, _ = tools[place]
            new = ways.chosen((ways.worker == place) & np.isin(ways.job, rows_of[way]))
            new = replace(new, job=np.array(jobs, dtype=np.int64)[new.job], worker=np.full(len(new), tool))
            return old.chosen(~((old.worker == tool) & np.isin(old.job, touched[way]))).with_others(new)

        tables = self.tables(len(tools), slower if len(ways) or len(old) else None)
        for place, (tool, way, _) in enumerate(tools):
            at, told = touched[way], rows_of[way]
            tables.work[place, at, tool] = ability.work[told, place]
            tables.able[place, at, tool] = ability.able[told, place]
            tables.wear[place, at, tool] = ability.wear[told, place]
            tables.part[place, at, tool] = ability.part[told, place]
        rooms = self.days.rooms(tables, self.case, None)
        for place, (tool, _, changed) in enumerate(tools):
            if 0.0 in changed.values():
                row = self.rows[tool].model_copy(update=changed)
                rooms[place] = self.room(self.rebound(tables.case(place, self.case), tool, row))
        return rooms

    def with_needs(self, needs: Sequence[tuple[Sequence[int], Sequence[Job]]]) -> list[float | None]:
        """Return the room of the kit with one need changed, for each of these in turn.

        Args:
            needs: the jobs of the need as it is, by their places, and those that it becomes; the first has the backup.
        """
        ability = self.at_needs([job for _, jobs in needs for job in jobs])
        firsts = [0, *accumulate(len(jobs) for _, jobs in needs)]
        alike: dict[tuple[tuple[int, ...], int], list[int]] = {}
        for place, (places, jobs) in enumerate(needs):
            alike.setdefault((tuple(places), len(jobs)), []).append(place)
        rooms: list[float | None] = [None] * len(needs)
        for (places, number), group in alike.items():
            rows = np.array([firsts[place] for place in group])[:, None] + np.arange(number)
            for place, room in zip(group, self._with_need(places, ability, rows), strict=True):
                rooms[place] = room
        return rooms

    def _with_need(self, places: Sequence[int], ability: Ability, rows: Ints) -> list[float | None]:
        """Return the room of the kit with a need changed that may have other parts then, for each of K changes.

        Args:
            places: the jobs of the need as it is.
            ability: of all that it becomes.
            rows: of that the jobs in each change, int[K, N]; the first needs the backup.
        """
        self.effort.go_on()
        case, (changes, number) = self.case, rows.shape
        rest = case.only_jobs(np.setdiff1d(np.arange(len(case.wood_class)), places))
        backup = np.zeros(number, dtype=np.int64)
        backup[0] = case.backup[places[0]]
        like = rest.changed(
            kcal=np.vstack([rest.kcal, ability.kcal[rows[0]]]),  # of no weight for the time left
            backup=np.concatenate([rest.backup, backup]),
            wood_class=np.concatenate([rest.wood_class, np.full(number, FIXED)]),
        )

        def slower(place: int) -> SlowerWays:
            ways = ability.of_jobs(rows[place]).further.ways
            return rest.slower.with_others(replace(ways, job=ways.job + len(rest.wood_class)))

        def joined(old: NDArray[_Figure], new: NDArray[_Figure]) -> NDArray[_Figure]:
            return np.concatenate([old[None].repeat(changes, axis=0), new[rows]], axis=1)

        tables = ChangedTables(
            joined(rest.work, ability.work),
            joined(rest.able, ability.able),
            joined(rest.wear, ability.wear),
            joined(rest.part, ability.part),
            slower if len(rest.slower) or len(ability.further.ways) else None,
        )
        return self.days.rooms(tables, like, (tuple(places), number))

    def tables(self, number: int, slower: Callable[[int], SlowerWays] | None) -> ChangedTables:
        """Return so many copies of the table as it is, with slower ways of their own."""
        self.effort.go_on()
        case = self.case

        def copied(table: NDArray[_Figure]) -> NDArray[_Figure]:
            return table[None].repeat(number, axis=0)

        return ChangedTables(copied(case.work), copied(case.able), copied(case.wear), copied(case.part), slower)

    def rebound(self, case: Case, tool: int, row: Tool) -> Case:
        """Return a case with companions and renewals anew: a tool without a score no longer serves can:TASK."""
        rows = [row if index == tool else one for index, one in enumerate(self.rows)]
        candidates = Candidates(rows, self.methods, self.question.workers.candidates.renews)
        return case.changed(groups=candidates.groups, renewals=candidates.renewals(upkeep=self.question.trip.upkeep))

    @cached_property
    def workers(self) -> Workers:
        """The workers of the kit as they are."""
        return self.as_workers(Candidates(self.rows, self.methods))

    def as_workers(self, candidates: Candidates) -> Workers:
        """Return tools and methods as workers on this trip."""
        return workers_from(candidates, self.question.site, self.question.workers.sawing)

    @property
    def methods(self) -> list[Method]:
        """The field methods of the trip."""
        workers = self.question.workers
        return [row for row in workers.rows[workers.carried :] if isinstance(row, Method)]

    def at_needs(self, jobs: Sequence[Job]) -> Ability:
        """Return the abilities of the kit's workers at needs, where the fire's own methods can't work."""
        return self.ability(jobs, self.workers).without(slice(None), burning_of(self.workers))

    def ability(self, jobs: Sequence[Job], workers: Workers) -> Ability:
        """Return the abilities of workers at jobs on this trip."""
        return ability_of(jobs, workers, self.question.trip, body_kg=self.question.body_kg)


def probe_of(question: Question, case: Case, ids: Sequence[str], met: Sequence[int], effort: Effort) -> Probe:
    """Return the probe of a kit."""
    tools = np.array(sorted(case.kit(ids)), dtype=np.int64)
    rows = {row.id: row for row in question.workers.rows[: question.workers.carried]}
    kit = case.keep(tools)
    kit = replace(kit, slower=_slower_of(question, kit, met))
    jobs = question.jobs
    return Probe(question, kit, tuple(rows[name] for name in kit.ids), tuple(jobs[job] for job in met), effort)


def _slower_of(question: Question, kit: Case, met: Sequence[int]) -> SlowerWays:
    """Return the slower ways of a kit at the jobs that are met, those of tools that only a change wears out too."""
    place, carried = question.workers.candidates.place, question.workers.carried
    workers = {place[name]: index for index, name in enumerate(kit.ids)}
    workers |= {carried + index: kit.tools + index for index in range(len(kit.methods))}
    ways = question.ability.further.ways.only_jobs(np.array(met, dtype=np.int64)).keep(workers)
    return ways.chosen(kit.work[ways.job, ways.worker] < NEVER)
