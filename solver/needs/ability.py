"""Who can do what, and in how much time: the ability table of a trip."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from catalog import Tool
from catalog.tables.number import Bools, Floats, Ints, N, Number, Places, abreast, upright
from catalog.walking.labour import activity_of, net_kcal_per_min
from catalog.wood.cut import baton_share, sawing_share
from solver.forms.aim import AIMS
from solver.forms.effort import Effort, heed
from solver.forms.quantity import MILLIONTHS, MS_PER_MINUTE
from solver.forms.trip import Trip
from solver.model.case import NEVER
from solver.needs.candidates import MOST_WEAR, WAYS, Candidates
from solver.needs.further_way import NO_FURTHER, PART_OF_WAY, FurtherWays, WayTable, further_ways, joined_ways
from solver.needs.job import KNIFE, Job
from solver.needs.sawing import Sawing, pair_gain, usable_scores
from solver.place.site import Site
from solver.place.wedging import Wedging

_LONGEST_MS = 2.0**40  # derived: 34 years; a thousand times as much is still exact below 2**53
_TEN = 10  # a score of ten works at the reference rate, by the definition of a score
_MOST_CELLS = 250_000  # judged: times of workers at jobs that are told at once, 2 MB in an array


@dataclass(frozen=True)
class Workers:
    """Tools, then methods, with scores, largest diameters and lives in this wood, by way of working.

    Figures are float[W], or float[E, W] where they differ along an axis of draws. A tool is able by its score, the
    median; it works at `drawn` times that, where draws of the scores say so.
    """

    candidates: Candidates
    score: dict[str, Floats]
    largest: dict[str, Floats]
    lives: dict[str, Floats]
    sawing: Sawing
    baton_slowing: Number  # exponent of a cleft under a baton, less that of an axe's; one, or float[E]
    drawn: Mapping[str, Floats] = field(default_factory=dict)  # of each way that has one

    @property
    def rows(self) -> tuple[Tool, ...]:
        """The tools, then the methods."""
        return self.candidates.rows

    @property
    def carried(self) -> int:
        """How many of them are tools."""
        return self.candidates.carried

    def pace(self, way: str) -> Floats:
        """Return what each works at in a way, in scores, float[W] or [E, W]."""
        return self.score[way] * self.drawn[way] if way in self.drawn else self.score[way]


def workers_from(candidates: Candidates, site: Site[N], sawing: Sawing) -> Workers:
    """Return the workers as they are in the wood of a site.

    Its knots take from the largest splitting diameters, and its strength says how thick a round is broken.
    """
    own = [way for way in WAYS if way != "wedge"]
    score = {way: usable_scores(candidates, way, sawing) for way in own}
    largest = {way: candidates.figures[f"{way}_max_mm"] for way in own} | {"saw": candidates.sawn_mm}
    largest["split"] = largest["split"] * upright(site.split_share)
    largest["buck"] = _bucked_mm(candidates, site)
    lives = dict(zip(own, candidates.lives, strict=True))
    score["wedge"], largest["wedge"], lives["wedge"] = _wedging(candidates, score, largest, lives, site.wedging)
    return Workers(candidates, score, largest, lives, sawing, site.baton_slowing)


def _bucked_mm(candidates: Candidates, site: Site[N]) -> Floats:
    """Return the largest diameter that each worker cuts to length in a way of its own [mm], float[W] or [E, W]."""
    stated, methods = candidates.figures["buck_max_mm"], candidates.rows[candidates.carried :]
    if any(isinstance(mm, np.ndarray) for mm in site.broken_mm.values()):
        figures = stated.tolist()
        return abreast([site.broken_mm.get(row.id, mm) for row, mm in zip(candidates.rows, figures, strict=True)])
    found = stated.copy()
    for place, row in enumerate(methods, start=candidates.carried):
        found[place] = site.broken_mm.get(row.id, found[place])
    return found


def _wedging(
    candidates: Candidates,
    score: Mapping[str, Floats],
    largest: Mapping[str, Floats],
    lives: Mapping[str, Floats],
    wedging: Wedging[N] | None,
) -> tuple[Floats, Floats, Floats]:
    """Return score, largest round and life in rounds of each worker that opens rounds with wedges.

    It starts the cleft and carves the wedges itself, so it is a carried tool that splits or chops, and carves.
    """
    none = np.zeros(len(candidates.rows))
    if wedging is None:
        return none, none, none + np.inf
    starts = np.fmax(
        np.where(score["split"] > 0, largest["split"] * upright(wedging.start_split), 0.0),
        np.where(score["chop"] > 0, largest["chop"] * upright(wedging.start_chop), 0.0),
    )
    able = (starts > 0) & (score["carve"] > 0) & (np.arange(len(none)) < candidates.carried)
    start = np.where(np.isfinite(lives["split"]), 1 / lives["split"], upright(wedging.start_cm3) / lives["chop"])
    spent = start + upright(wedging.carved) / lives["carve"]
    life = np.divide(1.0, spent, out=np.full(spent.shape, np.inf), where=spent > 0)
    return np.where(able, wedging.score, 0.0), np.where(able, np.fmin(starts, wedging.largest_mm), 0.0), life


@dataclass(frozen=True)
class Ability:
    """J jobs against W workers: able by itself, time, life spent, energy, and fastest way; whole units as of a case.

    `further` are the ways worth having besides.
    """

    able: Bools  # without wedges
    work: Ints
    wear: Ints
    kcal: Ints
    fastest: Places  # [J, W], a place in WAYS
    further: FurtherWays

    @property
    def part(self) -> Places:
        """The part of each worker that wears at each job, int[J, W]."""
        part: Places = PART_OF_WAY[self.fastest]
        return part

    def way(self, job: int, worker: int, number: int = 0) -> str:
        """Return a way in which a worker does a job: 0 is the fastest, then the further ones in their order."""
        return self.further.name(job, worker, number) if number else WAYS[self.fastest[job, worker]]

    def without(self, jobs: Ints | Sequence[int] | slice, workers: Ints | Sequence[int]) -> "Ability":
        """Return the table in which workers can't do jobs in any way: pair by pair, or all the jobs of a slice."""
        work, able, ways = self.work.copy(), self.able.copy(), self.further.ways
        work[jobs, workers], able[jobs, workers] = NEVER, False
        return replace(self, work=work, able=able, further=self.further.chosen(work[ways.job, ways.worker] < NEVER))

    def of_workers(self, workers: Ints) -> "Ability":
        """Return the table of some of its workers (places, ascending)."""
        work, wear, kcal = (each[:, workers] for each in (self.work, self.wear, self.kcal))
        place = {old: new for new, old in enumerate(workers.tolist())}
        further = self.further.of_workers(place)
        return Ability(self.able[:, workers], work, wear, kcal, self.fastest[:, workers], further)

    def of_jobs(self, rows: Ints) -> "Ability":
        """Return the table of some of its jobs (places, in any order)."""
        work, wear, kcal = (each[rows] for each in (self.work, self.wear, self.kcal))
        return Ability(self.able[rows], work, wear, kcal, self.fastest[rows], self.further.of_jobs(rows))


@dataclass(frozen=True)
class JobRows:
    """Jobs as rows of figures, R of them.

    Attributes:
        diameter: of the wood [mm], float[R].
        least: least scores, float[R].
        loads: by place in WAYS the rows that are due so, and of these minutes, wear, carving, extra and handling,
            float[5, N].
        element: where along an axis of draws each stands, by which workers may differ, int[R]; None without an axis.
    """

    diameter: Floats
    least: Floats
    loads: Mapping[int, tuple[Ints, Floats]]
    element: Ints | None = None

    def of_each(self, figures: Floats, rows: Ints, workers: Ints) -> Floats:
        """Return figures of some workers as they are for some rows: float[C], or float[N, C]."""
        some = figures[..., workers]
        return some if self.element is None or some.ndim == 1 else some[self.element[rows]]

    def between(self, first: int, last: int) -> "JobRows":
        """Return the rows from one place to before another, told by their places among these."""
        loads = {}
        for way, (rows, figures) in self.loads.items():
            inside = (rows >= first) & (rows < last)
            if inside.any():
                loads[way] = rows[inside] - first, figures[:, inside]
        element = None if self.element is None else self.element[first:last]
        return JobRows(self.diameter[first:last], self.least[first:last], loads, element)


def _rows_of(jobs: Sequence[Job]) -> JobRows:
    """Return jobs as rows."""
    loads = {}
    for index, way in enumerate(WAYS):
        rows = [j for j, job in enumerate(jobs) if way in job.loads]
        if rows:
            found = [jobs[j].loads[way] for j in rows]
            figures = [[one.minutes, one.wear, one.carving, one.extra, one.handling] for one in found]
            loads[index] = np.array(rows), np.array(figures).T
    return JobRows(np.array([job.diameter_mm for job in jobs]), np.array([job.min_score for job in jobs]), loads)


def ability_of(
    jobs: Sequence[Job], workers: Workers, trip: Trip, *, body_kg: float, effort: Effort | None = None
) -> Ability:
    """Return the ability table: each worker at each job in the way that is fastest for it, and in further ways.

    Args:
        jobs: what has to be worked, a day.
        workers: who there is.
        trip: says over how many nights wear adds up, whether anything wears, and whether energy counts.
        body_kg: body of who works [kg].
        effort: whoever leaves ends it.
    """
    return ability_at(_rows_of(jobs), workers, trip, kcal_per_ms=kcal_per_ms(body_kg), effort=effort)


def ability_at(
    jobs: JobRows, workers: Workers, trip: Trip, *, kcal_per_ms: Floats, effort: Effort | None = None
) -> Ability:
    """Return the ability table of jobs as rows; see `ability_of`.

    Args:
        jobs: what has to be worked, a day.
        workers: who there is.
        trip: the trip.
        kcal_per_ms: what each way of working costs above rest [kcal/ms], float[7], or float[R, 7].
        effort: whoever leaves ends it.
    """
    size = (len(jobs.diameter), len(workers.rows))
    able, work = np.empty(size, dtype=bool), np.empty(size, dtype=np.int64)
    wear, kcal = np.zeros(size, dtype=np.int64), np.zeros(size, dtype=np.int64)
    fastest, further = np.empty(size, dtype=np.int8), list[FurtherWays]()
    each = max(1, _MOST_CELLS // max(1, size[1]))
    for first in range(0, size[0], each):
        heed(effort)
        rows = slice(first, first + each)
        per_ms = kcal_per_ms if kcal_per_ms.ndim == 1 else kcal_per_ms[rows]
        part = _ability_at_once(jobs.between(first, first + each), workers, trip, kcal_per_ms=per_ms)
        able[rows], work[rows], kcal[rows], fastest[rows] = part.able, part.work, part.kcal, part.fastest
        if part.wear.any():
            wear[rows] = part.wear  # memory that is not written to takes none
        further.append(part.further.after(first))
    return Ability(able, work, wear, kcal, fastest, joined_ways(further))


def _ability_at_once(jobs: JobRows, workers: Workers, trip: Trip, *, kcal_per_ms: Floats) -> Ability:
    """Return the ability table of a few jobs; see `ability_at`."""
    size = (len(jobs.diameter), len(workers.rows))
    work, able, by = np.full(size, NEVER), np.zeros(size, dtype=bool), np.zeros(size, dtype=np.int8)
    wear, kcal = np.zeros(size, dtype=np.int64), np.zeros(size, dtype=np.int64)
    tables = []
    for index in jobs.loads:
        each_kcal = kcal_per_ms[index] if kcal_per_ms.ndim == 1 else kcal_per_ms[jobs.loads[index][0], index, None]
        table = _way_table(jobs, index, workers, trip, each_kcal)
        if not len(table.workers):
            continue
        tables.append(table)
        row, column = np.nonzero(table.work < NEVER)
        at = table.jobs[row], table.workers[column]
        times = table.work[row, column]
        if WAYS[index] != "wedge":  # a backup is a tool that does the work by itself
            able[at] = True
        faster = np.flatnonzero(times < work[at])  # of equally fast ways the first
        row, column, at = row[faster], column[faster], (at[0][faster], at[1][faster])
        by[at] = index
        work[at], wear[at], kcal[at] = times[faster], table.wear[row, column], table.kcal[row, column]
    by_effort = AIMS[trip.aim].by_kcal
    further = NO_FURTHER
    if by_effort or wear[:, : workers.carried].any():
        further = further_ways(tables, jobs=size[0], carried=workers.carried, by_effort=by_effort)
    return Ability(able, work, wear, kcal, by, further)


def _way_table(jobs: JobRows, index: int, workers: Workers, trip: Trip, kcal_per_ms: Floats) -> WayTable:
    """Return what the workers that have a score in a way, by its place, do in it.

    Args:
        jobs: what has to be worked, a day.
        index: place of the way.
        workers: who there is.
        trip: the trip.
        kcal_per_ms: what the way costs above rest [kcal/ms], a number, or float[N, 1].
    """
    rows, load = jobs.loads[index]
    scored = workers.score[WAYS[index]] > 0
    some = np.flatnonzero(scored if scored.ndim == 1 else scored.any(axis=0))
    times = _way_work(jobs, index, workers, some)
    wearing = load[1] * trip.nights if trip.life else np.zeros(len(rows))
    wear = _wear_of(wearing[:, None], jobs.of_each(workers.lives[WAYS[index]], rows, some), times)
    return WayTable(index, rows, some, times, wear, _kcal_of(times, kcal_per_ms))


def _wear_of(loads: Floats, lives: Floats, times: Ints) -> Ints:
    """Return what loads spend of the lives of workers [millionths], nothing where they can't work; int[N, W] each."""
    if not loads.any():
        return np.zeros_like(times)
    with np.errstate(over="ignore", divide="ignore"):  # lives near 0 are spent at once
        spent = np.where(times < NEVER, loads / lives, 0.0)
    wear: Ints = np.rint(np.minimum(spent * MILLIONTHS, MOST_WEAR)).astype(np.int64)
    return wear


def _kcal_of(times: Ints, kcal_per_ms: Floats) -> Ints:
    """Return what work costs above rest [millionths of a kcal], nothing where it can't be done, int[N, W]."""
    kcal: Ints = np.where(times < NEVER, np.rint(times * (kcal_per_ms * MILLIONTHS)), 0.0).astype(np.int64)
    return kcal


@lru_cache
def kcal_per_ms(body_kg: float) -> Floats:
    """Return what each way of working costs above rest [kcal/ms], float[7]."""
    return np.array([way_kcal_per_min(way, "met", body_kg=body_kg) / MS_PER_MINUTE for way in WAYS])


@lru_cache
def way_kcal_per_min(way: str, met: Literal["met", "met_low", "met_high"], *, body_kg: float) -> float:
    """Return what a way of working, or gathering, costs above rest [kcal/min].

    Breaking counts as carrying wood does, driving wedges as splitting; a knife in the pack does no work.
    """
    activity = activity_of({"buck": "gather", KNIFE: "gather", "wedge": "split"}.get(way, way))
    return net_kcal_per_min(met=float(getattr(activity, met)), body_kg=body_kg)


def _way_work(jobs: JobRows, index: int, workers: Workers, some: Ints) -> Ints:
    """Return the time of some workers that do jobs in a way, by its place [ms], int[N, C], NEVER where they can't.

    By score above 0, least score, and diameter.
    """
    way, (rows, (minutes, _, carving, extra, handling)) = WAYS[index], jobs.loads[index]
    score, largest = (jobs.of_each(each[way], rows, some) for each in (workers.score, workers.largest))
    diameter, least = jobs.diameter[rows], jobs.least[rows]
    able = (score > 0) & (score >= least[:, None]) & (largest >= diameter[:, None])
    work = np.full(able.shape, NEVER)
    job, worker = np.nonzero(able)
    rate = _of_pairs(jobs.of_each(workers.pace(way), rows, some), job, worker) / _TEN
    if way == "saw":
        stroke_mm = np.maximum(workers.candidates.figures["saw_max_mm"][some], 1.0)  # least range of the formula
        turned = workers.sawing.turned
        if isinstance(turned, np.ndarray):
            assert jobs.element is not None
            turned = turned[jobs.element[rows[job]]]
        rate = rate * sawing_share(diameter_mm=diameter[job], largest_mm=stroke_mm[worker], turned=turned)
        rate = rate * pair_gain(workers.candidates, workers.sawing)[some[worker]]
    if way == "split":
        slowing = workers.baton_slowing
        if isinstance(slowing, np.ndarray):
            assert jobs.element is not None
            slowing = slowing[jobs.element[rows]]
        share = np.broadcast_to(baton_share(diameter_mm=diameter, slowing=slowing), diameter.shape)
        rate = rate * np.where(workers.candidates.batoned[some[worker]], share[job], 1.0)
    with np.errstate(over="ignore", divide="ignore"):  # scores near 0 take for ever
        besides = extra[job]
        if carving.any():
            carver, each = _of_pairs(jobs.of_each(workers.pace("carve"), rows, some), job, worker), carving[job]
            besides = besides + np.divide(each * _TEN, carver, out=np.zeros(len(job)), where=each > 0)
        milliseconds = (minutes[job] / rate + (handling[job] + besides)) * MS_PER_MINUTE
    work[able] = np.rint(np.fmin(milliseconds, _LONGEST_MS))
    return work


def _of_pairs(figures: Floats, job: Ints, worker: Ints) -> Floats:
    """Return figures of workers, float[W] or [N, W], for pairs of a job and a worker."""
    return figures[worker] if figures.ndim == 1 else figures[job, worker]
