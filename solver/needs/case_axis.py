"""The cases of a trip over an axis of draws of its assumptions: the formulas run once, and like jobs are told once."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from catalog.equipment.tool import TASKS
from catalog.scores.score_spread import ScoreDraws
from catalog.tables.ledger import Ledger
from catalog.tables.number import Bools, Floats, Ints, Number, Truth
from solver.forms.effort import Effort
from solver.forms.limit import WORK
from solver.forms.quantity import GRAMS_PER_KG
from solver.forms.trip import Trip
from solver.model.case import FIXED, LIFE, PARTS, Case
from solver.model.case_blocks import cases_in_a_block
from solver.model.copies import original_of
from solver.model.reduction import kept_where
from solver.model.rest import Rest
from solver.model.slower_ways import SlowerWays
from solver.needs.ability import Ability, Workers, ability_at, kcal_per_ms
from solver.needs.candidates import WAYS
from solver.needs.case_builder import (
    Asked,
    WoodFigures,
    asked_of,
    build_case,
    firewood_of,
    rest_of,
    shut_methods,
    work_cap_of,
)
from solver.needs.job import Job, JobRows
from solver.needs.question import Question, reckoned

_TRUST = 1e-9  # judged: far above what sums of floats are off by
_MOST_TIME = 2.0**62  # derived: thousandths of a ms: as far as whole numbers go; no limit is so long


@dataclass(frozen=True)
class CaseAxis:
    """E cases of one trip, whose J jobs may not all be due in each.

    Attributes:
        like: the trip's own case, whose masses and rules hold in all.
        ability: who does which of R rows in what time; a row is a job as it is in one case or in several.
        row: the row of each job in each case, -1 where it is not due, int[E, J].
        asked: what each job is due for.
        firewood: of a day, int[E] and int[E, C].
        rests: what a day's work takes besides, of any case.
        rest: which of these it is in each case, int[E].
        kcal_per_g: what carrying costs a day.
        needs: the need that each job of a fixed amount is of.
        read: ids of the assumptions that were read.
    """

    trip: Trip
    like: Case
    ability: Ability
    row: Ints
    asked: Asked
    firewood: WoodFigures
    rests: Sequence[Rest]
    rest: Ints
    kcal_per_g: Floats
    needs: tuple[str, ...]
    read: frozenset[str]

    def __len__(self) -> int:
        """Return the number of cases."""
        return len(self.row)

    @cached_property
    def job_of_row(self) -> Ints:
        """The job of each row, int[R]."""
        job = np.zeros(len(self.ability.work), dtype=np.int64)
        for place, rows in enumerate(self.row.T):
            job[rows[rows >= 0]] = place
        return job

    @cached_property
    def columns(self) -> "_WorkerColumns":
        """What each worker does in all rows."""
        return _WorkerColumns(self.ability)

    def _all_jobs(self, of_rows: Bools) -> Bools:
        """Tell in which cases something holds of the rows of all jobs that are due, bool[E]."""
        return np.asarray(np.append(of_rows, True)[self.row].all(axis=1))

    def needed(self, places: Ints) -> Ints:
        """Return the tools (indices, ascending) that some lightest kit of these cases may need."""
        tools, used = self.like.tools, np.unique(self.row[places])
        rows = used[used >= 0]
        backed = rows[self.asked.backup[self.job_of_row[rows]] > 0]
        table = self.ability
        told = [*table.work[rows, :tools].astype(float), *(~table.able[backed, :tools]).astype(float)]
        return kept_where(self.like, told, self._mortal(places))

    def _mortal(self, places: Ints) -> Bools:
        """Tell which tools may wear out in one of some cases if they did all the work they are able at."""
        tools, table, wood, classes = self.like.tools, self.ability, self.firewood, self.asked.wood_class
        most = table.further.ways.most_worn(table.wear[:, :tools], table.part[:, :tools], PARTS)
        spent = np.zeros((len(PARTS), len(places), tools))
        for job, one in enumerate(classes.tolist()):
            rows = self.row[places, job]
            grams = GRAMS_PER_KG if one == FIXED else np.minimum(wood.reach_g[places, one], wood.demand_g[places])
            amount = np.where(rows >= 0, grams, 0) / GRAMS_PER_KG
            spent += most[:, rows] * amount[:, None]
        return np.asarray((spent > LIFE * (1 - _TRUST)).any(axis=(0, 1)))

    def keep(self, tools: Ints) -> "CaseAxis":
        """Return the cases with only these tools (indices, ascending)."""
        workers = np.append(tools, np.arange(self.like.tools, len(self.like.workers)))
        return replace(self, like=self.like.keep(tools), ability=self.ability.of_workers(workers))

    def compared(self, place: int, worn: Bools) -> tuple[Bools, Bools]:
        """Tell which cases ask the same of every kit as the one at a place, and which are as hard in every figure.

        Some are as hard though it is not told, since their further ways are not the same ones.

        Args:
            place: along the axis.
            worn: the workers that can wear out there, bool[W].
        """
        table, wood = self.ability, self.firewood
        first = np.maximum(self.row[place][self.job_of_row], 0)  # of a job that is not due there any: see below
        as_due = ((self.row >= 0) == (self.row[place] >= 0)).all(axis=1)
        every = np.ones(len(worn), dtype=bool)
        part = table.part
        same = (part == part[first]).all(axis=1) & table.further.against(first, every)[0]
        for each in (table.work, table.wear):
            same &= (each == each[first]).all(axis=1)
        hard = (table.work >= table.work[first]).all(axis=1) & (table.able <= table.able[first]).all(axis=1)
        hard &= ((part == part[first]) & (table.wear >= table.wear[first]))[:, worn].all(axis=1)
        hard &= table.further.against(first, worn)[1]
        caps = self.work_caps
        demand, reach, gather = wood.demand_g, wood.reach_g, wood.gather
        as_much = (
            (demand == demand[place]) & (reach == reach[place]).all(axis=1) & (gather == gather[place]).all(axis=1)
        )
        more = (demand >= demand[place]) & (reach <= reach[place]).all(axis=1) & (gather >= gather[place]).all(axis=1)
        return (
            as_due & as_much & (caps == caps[place]) & self._all_jobs(same),
            as_due & more & (caps <= caps[place]) & self._all_jobs(hard),
        )

    @cached_property
    def work_caps(self) -> Floats:
        """The limit on a day's work in each case [ms], float[E]; without end where there is none."""
        caps = [work_cap_of(self.trip, rest) for rest in self.rests]
        return np.array([np.inf if cap is None else float(cap) for cap in caps])[self.rest]

    def case(self, place: int) -> Case:
        """Return one of the cases: in every figure the one that its draw makes by itself."""
        row, rest = self.row[place], int(self.rest[place])
        jobs, asked = self._due(row)
        return build_case(
            self.trip,
            asked,
            self.ability.of_jobs(row[jobs]),
            firewood=self.firewood.at(place),
            kcal_per_g=float(self.kcal_per_g[place]),
            rest=self.rests[rest],
            rules=self._rules_with(rest),
        )

    def _due(self, row: Ints) -> tuple[Ints, Asked]:
        """Return the jobs that are due, and what for; most cases of an axis have the same."""
        due = row >= 0
        key = due.tobytes()
        if key not in self._dues:
            jobs = np.flatnonzero(due)
            self._dues[key] = jobs, self.asked.of_jobs(jobs)
        return self._dues[key]

    def _rules_with(self, rest: int) -> Case:
        """Return a case with the masses and rules of all, and the limits that go with a rest (place)."""
        if WORK.field not in self.like.caps:
            return self.like
        if rest not in self._rules:
            caps = {**self.like.caps, WORK.field: work_cap_of(self.trip, self.rests[rest])}
            self._rules[rest] = self.like.changed(caps=caps)
        return self._rules[rest]

    @cached_property
    def _dues(self) -> dict[bytes, tuple[Ints, Asked]]:
        """By which jobs are due: these, and what for."""
        return {}

    @cached_property
    def _rules(self) -> dict[int, Case]:
        """By rest (place), what `_rules_with` returned."""
        return {}


class _WorkerColumns:
    """The figures of a table worker after worker, for who looks at few of them: int[W, R], and whether able, bool."""

    def __init__(self, table: Ability) -> None:
        """Lay them out."""
        self.work, self.wear, self.part = (
            np.ascontiguousarray(each.T) for each in (table.work, table.wear, table.part)
        )
        self.able = np.ascontiguousarray(table.able.T)
        self._ways = table.further.ways
        self._order = np.argsort(self._ways.worker, kind="stable")
        self._ends = np.searchsorted(self._ways.worker[self._order], np.arange(len(self.work) + 1))

    def further(self, workers: Ints) -> SlowerWays:
        """Return the further ways of some workers; those of one job and worker stay in their order."""
        none = np.zeros(0, dtype=np.int64)
        parts = [self._order[self._ends[one] : self._ends[one + 1]] for one in workers.tolist()]
        return self._ways.chosen(np.concatenate([none, *parts]))


def cases_over(
    question: Question, changed: Mapping[str, Floats], *, drawn: Mapping[str, Floats] | None = None
) -> CaseAxis:
    """Return the cases of a question over draws of its assumptions, and of the scores of its workers.

    All formulas are reckoned once, with arrays in the place of numbers. Many draws of many tools are better asked for
    in blocks: each job that differs takes a row of figures of every worker.

    Args:
        question: a trip's question.
        changed: what assumptions are in each draw, by id, float[E]; the others stay as they are.
        drawn: what scores are times what they were, by way of working, float[E, W]; the others stay as they are.

    Raises:
        RangeError: a figure outside the range of its formula, or of what any trip may have.
        TripError: a route that the models don't hold for.
    """
    (size,) = {len(values) for values in (*changed.values(), *(drawn or {}).values())}
    trip, people = question.trip, question.workers.sawing.people
    ledger: Ledger[Number] = Ledger({**question.ledger.changed, **changed})
    found = reckoned(trip, question.workers.candidates, ledger, at_work=people, waived=question.knife_waived)
    jobs = found.jobs
    shut = shut_methods(found.needs, found.classes, found.workers)
    rows = _Rows(jobs, shut, replace(found.workers, drawn=drawn or {}), found.body_kg, size)
    pairs = np.stack(np.broadcast_arrays(*found.rest), axis=-1).reshape(-1, len(found.rest))
    unlike, rest = np.unique(pairs, axis=0, return_inverse=True)
    return CaseAxis(
        trip=trip,
        like=question.case,
        ability=rows.ability(trip),
        row=rows.row,
        asked=asked_of(found.needs, found.classes),
        firewood=firewood_of(found.uses, found.classes, found.body_kg).over(size),
        rests=[rest_of(people, share=share, free_min=free_min) for share, free_min in unlike.tolist()],
        rest=np.broadcast_to(rest.reshape(-1), size),
        kcal_per_g=np.broadcast_to(found.carrying.pandolf_santee_kcal_per_g, size),
        needs=tuple(need.id for need in found.needs),
        read=frozenset(ledger.used),
    )


def drawn_questions(question: Question, *, count: int, seed: int, effort: Effort) -> Iterator[list[Question]]:
    """Yield a question under joint draws of the scores of its tools, a block at a time; methods stay as they are.

    Args:
        question: at the medians.
        count: how many draws.
        seed: any whole number; equal seeds draw a tool's scores alike on every trip.
        effort: what all that is done with them may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    workers = question.workers
    scores = ScoreDraws(count=count, seed=seed)
    factors = {task: np.ones((count, len(workers.rows))) for task in TASKS}
    for place, tool in enumerate(workers.candidates.tools):
        effort.go_on()
        for task in TASKS:
            if getattr(tool, f"{task}_score") > 0:
                factors[task][:, place] = scores.factors(tool, task, name=original_of(tool.id))
    size = cases_in_a_block(question.case)
    for first in range(0, count, size):
        effort.go_on()
        axis = cases_over(question, {}, drawn={task: each[first : first + size] for task, each in factors.items()})
        yield [replace(question, case=axis.case(place)) for place in range(len(axis))]


class _Rows:
    """Jobs along an axis as rows: each once as it is where it is first due, and where it differs from that."""

    def __init__(
        self,
        jobs: Sequence[Job[Number]],
        shut: Sequence[Sequence[tuple[int, Truth]]],
        workers: Workers,
        body_kg: Number,
        size: int,
    ) -> None:
        """Find the rows.

        Args:
            jobs: what has to be worked, a day.
            shut: the methods that can't do each job, with where they can't.
            workers: who there is.
            body_kg: body of who works [kg].
            size: of the axis.
        """
        self.jobs, self.shut, self.workers, self.body_kg, self.size = jobs, shut, workers, body_kg, size
        self.row = np.full((size, len(jobs)), -1)
        self.elements: list[Ints] = []  # of each job
        self.starts: list[int] = []
        number = 0
        for place, job in enumerate(jobs):
            due = np.flatnonzero(_along(job.there, size))
            own = due[self._differs(place, int(due[0]))[due]]
            self.elements.append(np.append(due[:1], own))
            self.starts.append(number)
            self.row[due, place] = number
            self.row[own, place] = number + 1 + np.arange(len(own))
            number += 1 + len(own)

    def _differs(self, place: int, first: int) -> Bools:
        """Tell where a job differs from how it is at a place of the axis."""
        job, found = self.jobs[place], np.zeros(self.size, dtype=bool)
        for each in self._figures(job) + [there for _, there in self.shut[place]]:
            if isinstance(each, np.ndarray):
                differs = each != each[first]
                found |= differs if differs.ndim == 1 else differs.any(axis=1)
                if np.count_nonzero(found) >= self.size - 1:  # all but the place itself
                    break
        return found

    def _figures(self, job: Job[Number]) -> list[Number | Truth]:
        """Return all that the row of a job hangs on."""
        found: list[Number | Truth] = [self.body_kg]
        if "saw" in job.loads:
            found.append(self.workers.sawing.turned)
        if "split" in job.loads:
            found.append(self.workers.baton_slowing)
        for way, load in job.loads.items():
            found += [load.minutes, load.wear, load.carving, load.extra, load.handling, load.there]
            found += [
                each[way]
                for each in (self.workers.score, self.workers.largest, self.workers.lives)
                if each[way].ndim > 1
            ]
            found += [self.workers.drawn[each] for each in (way, "carve") if each in self.workers.drawn]
        return found

    def ability(self, trip: Trip) -> Ability:
        """Return who does which row in what time."""
        element = np.concatenate([np.zeros(0, dtype=np.int64), *self.elements])
        counts = [len(one) for one in self.elements]
        rows = JobRows(
            np.array([job.diameter_mm for job in self.jobs]).repeat(counts),
            np.array([job.min_score for job in self.jobs]).repeat(counts),
            {index: self._loads(way) for index, way in enumerate(WAYS) if any(way in job.loads for job in self.jobs)},
            element,
        )
        kcal = kcal_per_ms(self.body_kg) if not isinstance(self.body_kg, np.ndarray) else self._kcal_per_ms()[element]
        ability = ability_at(rows, self.workers, trip, kcal_per_ms=kcal)
        shut = [self._shut_rows(place, *one) for place, several in enumerate(self.shut) for one in several]
        return ability.without(*(np.concatenate(each) for each in zip(*shut, strict=True))) if shut else ability

    def _loads(self, way: str) -> tuple[Ints, Floats]:
        """Return the rows that are due in a way, and the figures of their loads, float[5, N]."""
        rows, figures = [], []
        for job, start, elements in zip(self.jobs, self.starts, self.elements, strict=True):
            if way not in job.loads:
                continue
            load = job.loads[way]
            kept = elements if load.there is True else elements[_along(load.there, self.size)[elements]]
            each = (load.minutes, load.wear, load.carving, load.extra, load.handling)
            rows.append(start + np.searchsorted(elements, kept))
            told = np.empty((len(each), len(kept)))
            for line, one in zip(told, each, strict=True):
                line[:] = one[kept] if isinstance(one, np.ndarray) else one
            figures.append(told)
        return np.concatenate(rows), np.concatenate(figures, axis=1)

    def _shut_rows(self, place: int, worker: int, there: Truth) -> tuple[Ints, Ints]:
        """Return the rows of a job in which a method can't do it, each with the method."""
        rows = self.starts[place] + np.flatnonzero(_along(there, self.size)[self.elements[place]])
        return rows, np.full(len(rows), worker)

    def _kcal_per_ms(self) -> Floats:
        """Return what each way of working costs above rest along the axis [kcal/ms], float[E, 7]."""
        return np.array([kcal_per_ms(body) for body in _along(self.body_kg, self.size).tolist()])


def _along(value: Any, size: int) -> NDArray[Any]:
    """Return a number, or whether something is so, for each place of an axis."""
    return value if isinstance(value, np.ndarray) else np.full(size, value)
