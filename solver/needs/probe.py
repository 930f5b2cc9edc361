"""A kit held fixed while figures of its tools or needs change: does it still keep every rule, by how much?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate
from math import ceil, inf

import numpy as np

from catalog import Method, Tool
from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort
from solver.model.case import FIXED, LIFE, NEVER, PARTS, Case, keeps_rules
from solver.model.case import present_workers as those_of
from solver.model.day_work import Workload, lasts, life_of, unworn, workload
from solver.model.slower_ways import SlowerWays
from solver.needs.ability import Ability, Workers, ability_of, workers_from
from solver.needs.candidates import Candidates
from solver.needs.case_builder import burning_of
from solver.needs.job import Job
from solver.needs.question import Question


def _room_for(case: Case, kit: frozenset[int], *, effort: Effort) -> float | None:
    """Return the time that a kit leaves of the work limit [ms], without end where there is none.

    None where the kit breaks a rule; below 0 where only the work limit is broken.
    """
    if not keeps_rules(case, kit):
        return None
    load = workload(case, kit, effort=effort, shares=False)
    return None if load is None else _room_of(case, load.work)


def _room_of(case: Case, work: int) -> float:
    """Return the time that a day's work leaves of the work limit [ms], without end where there is none."""
    return inf if case.work_cap is None else case.work_cap - work


def holds_for(case: Case, kit: frozenset[int], *, effort: Effort) -> bool:
    """Tell whether a kit keeps every rule of a case."""
    room = _room_for(case, kit, effort=effort)
    return room is not None and room >= 0


@dataclass(frozen=True)
class _Tables:
    """The table of a kit's case told anew K times: who can do which job, in what time, at what wear."""

    work: Ints  # [K, J, W]
    able: Bools  # [K, J, W]
    wear: Ints  # [K, J, W]
    part: Ints  # [K, J, W]
    slower: Callable[[int], SlowerWays]  # of each, asked for where ways count

    def case(self, place: int, like: Case) -> Case:
        """Return a case with one of the tables."""
        work, able, wear, part = (each[place] for each in (self.work, self.able, self.wear, self.part))
        return replace(like, work=work, able=able, wear=wear, part=part, slower=self.slower(place))


class _Standing:
    """A kit's day in which every job goes to its fastest worker and none wears out, for quick looks at changes."""

    def __init__(self, case: Case, has: Bools, load: Workload) -> None:
        """Note what firewood takes, in time and wear.

        Args:
            case: the kit's own case.
            has: the workers that it has.
            load: the day's work.
        """
        self.case, self.has = case, has
        self.fixed = case.wood_class == FIXED
        self.wood_work = load.work - sum(int(case.work[j, w]) for j, w, _ in load.done if self.fixed[j])
        self.wood_wear = np.zeros((len(PARTS), len(has)), dtype=np.int64)
        for (j, w, _), amount in load.done.items():
            if not self.fixed[j]:
                self.wood_wear[case.part[j, w], w] += ceil(amount * int(case.wear[j, w]))
        kit = frozenset(range(case.tools))
        self.lives = np.full((len(PARTS), len(has)), inf)
        for part in PARTS:
            self.lives[part, : case.tools] = [life_of(case, kit, tool, part) for tool in range(case.tools)]

    def room_with(self, places: Sequence[int], ability: Ability, backup: int) -> tuple[bool, float | None]:
        """Return the time left with other jobs in the place of some [ms], and whether to believe it; see `rooms`.

        Args:
            places: of the fixed jobs that go.
            ability: who does the others, each with a fixed amount, in what time.
            backup: able tools that the first of them asks for.
        """
        stays = self.fixed.copy()
        stays[list(places)] = False
        work = np.where(self.has, np.concatenate([self.case.work[stays], ability.work]), NEVER)
        each = np.arange(len(work)), work.argmin(axis=1)
        times = work[each]
        worn, spent = (
            np.concatenate([mine[stays], theirs])[each]
            for mine, theirs in ((self.case.part, ability.part), (self.case.wear, ability.wear))
        )
        lives = self.wood_wear.copy()
        np.add.at(lives, (worn, each[1]), spent)
        sure = bool(((lives <= LIFE) | (self.lives == inf)).all())
        backed = int(ability.able[0, : self.case.tools].sum()) >= backup
        if not backed or (times >= NEVER).any():
            return sure, None
        return sure, _room_of(self.case, int(times.sum()) + self.wood_work)

    def rooms(self, tables: _Tables) -> tuple[Bools, list[float | None]]:
        """Return the time left with each table [ms], None where a rule is broken, and which of them to believe.

        Not where firewood is worked otherwise, or where a tool wears out.
        """
        changes, fixed = np.arange(len(tables.work))[:, None], np.flatnonzero(self.fixed)
        work = np.where(self.has, tables.work[:, fixed], NEVER)
        worker = work.argmin(axis=2)
        times = work.min(axis=2)
        spent, worn = tables.wear[changes, fixed, worker], tables.part[changes, fixed, worker]
        each = worker[:, :, None] == np.arange(len(self.has))
        sure = np.ones(len(tables.work), dtype=bool)
        for part in PARTS:
            lives = (each * (spent * (worn == part))[:, :, None]).sum(axis=1) + self.wood_wear[part]
            sure &= ((lives <= LIFE) | (self.lives[part] == inf)).all(axis=1)
        sure &= (tables.work[:, ~self.fixed] == self.case.work[~self.fixed]).all(axis=(1, 2))
        done = (times < NEVER).all(axis=1)
        done &= (tables.able[:, :, : self.case.tools].sum(axis=2) >= self.case.backup).all(axis=1)
        days = times.sum(axis=1) + self.wood_work
        left = [
            _room_of(self.case, day) if one else None for day, one in zip(days.tolist(), done.tolist(), strict=True)
        ]
        return sure, left


@dataclass(frozen=True)
class Probe:
    """The chosen kit alone: its case (with only its tools), its rows, and the jobs that are met."""

    question: Question
    case: Case
    rows: tuple[Tool, ...]
    jobs: tuple[Job, ...]
    effort: Effort

    def room(self, case: Case) -> float | None:
        """Return the time that the kit leaves in a case like its own; see `_room_for`."""
        self.effort.go_on()
        return _room_for(case, frozenset(range(case.tools)), effort=self.effort)

    @cached_property
    def room_now(self) -> float | None:
        """The time that the kit leaves as it is."""
        return self.room(self.case)

    @cached_property
    def standing(self) -> _Standing | None:
        """The kit's day as it is, or None where a tool wears out in it."""
        kit = frozenset(range(self.case.tools))
        has = those_of(self.case, kit)
        load = unworn(self.case, has)
        return _Standing(self.case, has, load) if load is not None and lasts(self.case, kit, load) else None

    def with_tools(self, tools: Sequence[tuple[int, str, dict[str, float]]]) -> list[float | None]:
        """Return the room of the kit with figures of one tool changed that only one way of working reads.

        Args:
            tools: for each room wanted, the tool, the way, and the figures changed.
        """
        rows = [self.rows[tool].model_copy(update=changed) for tool, _, changed in tools]
        touched = {way: [j for j, job in enumerate(self.jobs) if job.reads(way)] for _, way, _ in tools}
        jobs = sorted(set().union(*touched.values()))
        ability = self.ability([self.jobs[j] for j in jobs], self.as_workers(rows, []))
        rows_of = {way: np.searchsorted(jobs, at) for way, at in touched.items()}

        def slower(place: int) -> SlowerWays:
            tool, way, _ = tools[place]
            ways, old = ability.further.ways, self.case.slower
            new = ways.chosen((ways.worker == place) & np.isin(ways.job, rows_of[way]))
            new = replace(new, job=np.array(jobs, dtype=np.int64)[new.job], worker=np.full(len(new), tool))
            return old.chosen(~((old.worker == tool) & np.isin(old.job, touched[way]))).with_others(new)

        tables = self.tables(len(tools), slower)
        for place, (tool, way, _) in enumerate(tools):
            at, told = touched[way], rows_of[way]
            tables.work[place, at, tool] = ability.work[told, place]
            tables.able[place, at, tool] = ability.able[told, place]
            tables.wear[place, at, tool] = ability.wear[told, place]
            tables.part[place, at, tool] = ability.part[told, place]
        rooms = self.rooms(tables)
        for place, (tool, _, changed) in enumerate(tools):
            if 0.0 in changed.values():
                rooms[place] = self.room(self.rebound(tables.case(place, self.case), tool, rows[place]))
        return rooms

    def with_needs(self, needs: Sequence[tuple[Sequence[int], Sequence[Job]]]) -> list[float | None]:
        """Return the room of the kit with one need changed, for each of these in turn.

        Args:
            needs: the jobs of the need as it is, by their places, and those that it becomes; the first has the backup.
        """
        ability = self.at_needs([job for _, jobs in needs for job in jobs])
        firsts = [0, *accumulate(len(jobs) for _, jobs in needs)]
        whole = [place for place, (places, jobs) in enumerate(needs) if len(places) == len(jobs) == 1]
        alone = [(needs[place][0][0], firsts[place]) for place in whole]
        left = iter(
            self._with_jobs([old for old, _ in alone], ability.of_jobs(np.array([new for _, new in alone])))
            if whole
            else ()
        )
        return [
            next(left)
            if len(places) == len(jobs) == 1
            else self._with_need(places, ability.of_jobs(np.arange(first, first + len(jobs))))
            for (places, jobs), first in zip(needs, firsts, strict=False)
        ]

    def _with_jobs(self, places: Sequence[int], ability: Ability) -> list[float | None]:
        """Return the room of the kit with one job changed, for each of these in turn.

        Args:
            places: the jobs as they are.
            ability: of the jobs that they become.
        """

        def slower(place: int) -> SlowerWays:
            ways, old = ability.further.ways, self.case.slower
            new = ways.chosen(ways.job == place)
            return old.chosen(old.job != places[place]).with_others(replace(new, job=np.full(len(new), places[place])))

        tables = self.tables(len(places), slower)
        at = np.arange(len(places)), list(places)
        tables.work[at], tables.able[at], tables.wear[at] = ability.work, ability.able, ability.wear
        tables.part[at] = ability.part
        return self.rooms(tables)

    def _with_need(self, places: Sequence[int], ability: Ability) -> float | None:
        """Return the room of the kit with a need changed that may have other parts then.

        Args:
            places: the jobs of the need as it is.
            ability: of those that it becomes; the first needs the backup.
        """
        case, jobs = self.case, len(ability.work)
        if self.standing is not None:
            sure, room = self.standing.room_with(places, ability, int(case.backup[places[0]]))
            if sure:
                return room
        ways = ability.further.ways
        rest = case.only_jobs(np.setdiff1d(np.arange(len(case.wood_class)), places))
        backup = np.zeros(jobs, dtype=np.int64)
        backup[0] = case.backup[places[0]]
        changed = replace(
            rest,
            work=np.vstack([rest.work, ability.work]),
            able=np.vstack([rest.able, ability.able]),
            wear=np.vstack([rest.wear, ability.wear]),
            kcal=np.vstack([rest.kcal, ability.kcal]),
            part=np.vstack([rest.part, ability.part]),
            slower=rest.slower.with_others(replace(ways, job=ways.job + len(rest.wood_class))),
            backup=np.concatenate([rest.backup, backup]),
            wood_class=np.concatenate([rest.wood_class, np.full(jobs, FIXED)]),
        )
        return self.room(changed)

    def tables(self, number: int, slower: Callable[[int], SlowerWays]) -> _Tables:
        """Return so many copies of the table as it is, with slower ways of their own."""
        self.effort.go_on()
        case = self.case
        work, wear, part = (each[None].repeat(number, axis=0) for each in (case.work, case.wear, case.part))
        return _Tables(work, case.able[None].repeat(number, axis=0), wear, part, slower)

    def rooms(self, tables: _Tables) -> list[float | None]:
        """Return the room of the kit with each table: at a glance where that is sure, else by its day's work."""
        if self.standing is None:
            return [self.room(tables.case(place, self.case)) for place in range(len(tables.work))]
        sure, rooms = self.standing.rooms(tables)
        for place in np.flatnonzero(~sure).tolist():
            rooms[place] = self.room(tables.case(place, self.case))
        return rooms

    def rebound(self, case: Case, tool: int, row: Tool) -> Case:
        """Return a case with companions and renewals anew: a tool without a score no longer serves can:TASK."""
        rows = [row if index == tool else one for index, one in enumerate(self.rows)]
        candidates = Candidates(rows, self.methods, self.question.workers.candidates.renews)
        return replace(case, groups=candidates.groups, renewals=candidates.renewals(upkeep=self.question.trip.upkeep))

    @cached_property
    def workers(self) -> Workers:
        """The workers of the kit as they are."""
        return self.as_workers(self.rows, self.methods)

    def as_workers(self, rows: Sequence[Tool], able: Sequence[Method]) -> Workers:
        """Return tools and methods as workers on this trip."""
        return workers_from(Candidates(rows, able), self.question.site, self.question.workers.sawing)

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
