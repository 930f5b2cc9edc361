"""Who can do what, and in how much time: the ability table of a trip."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Literal, NamedTuple

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
from solver.needs.further_way import NO_FURTHER, PART_OF_WAY, FurtherWays, further_ways, joined_ways, kcal_of
from solver.needs.job import KNIFE, Job, JobRows, WayRows
from solver.needs.sawing import Sawing, pair_gain, usable_scores
from solver.place.site import Site
from solver.place.wedging import Wedging

_LONGEST_MS = 2.0**40  # derived: 34 years; a thousand times as much is still exact below 2**53
_SAW, _SPLIT, _WEDGE = (WAYS.index(way) for way in ("saw", "split", "wedge"))
_TEN = 10  # a score of ten works at the reference rate, by the definition of a score
_MOST_PLACES = 16  # judged: woods and parties in which the same tools are remembered
_MOST_PLACED = 40_000  # judged: tools in all of these, some 15 MB
_MOST_CELLS = 50_000  # measured: times of workers at jobs that are told at once, 0.4 MB in an array, stay near


class _Alike(NamedTuple):
    """Figures of workers that are the same all along an axis, or without one, float[7, W]."""

    score: Floats
    largest: Floats
    lives: Floats


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

    @cached_property
    def alike(self) -> "_Alike | None":
        """Scores, largest diameters and lives, a row for each of WAYS; None where some differ along an axis."""
        found = [[each[way] for way in WAYS] for each in (self.score, self.largest, self.lives)]
        if self.drawn or any(one.ndim > 1 for each in found for one in each):
            return None
        return _Alike(*map(np.array, found))

    def pace(self, way: str) -> Floats:
        """Return what each works at in a way, in scores, float[W] or [E, W]."""
        return self.score[way] * self.drawn[way] if way in self.drawn else self.score[way]


def workers_from(candidates: Candidates, site: Site[N], sawing: Sawing) -> Workers:
    """Return the workers as they are in the wood of a site, the same ones for the same wood and party.

    Its knots take from the largest splitting diameters, and its strength says how thick a round is broken.
    """
    hangs_on = (site.split_share, site.baton_slowing, *site.broken_mm.items(), site.wedging, sawing)
    try:
        known = candidates.worked_in.get(hangs_on)
    except TypeError:  # arrays of draws, which are asked for once
        return _workers_in(candidates, site, sawing)
    if known is None:
        if len(candidates.worked_in) >= max(1, min(_MOST_PLACES, _MOST_PLACED // max(1, len(candidates.rows)))):
            candidates.worked_in.clear()
        known = candidates.worked_in[hangs_on] = _workers_in(candidates, site, sawing)
    return known


def _workers_in(candidates: Candidates, site: Site[N], sawing: Sawing) -> Workers:
    """Return what `workers_from` does, anew."""
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
    fastest: Places  # [J, W], a place in WAYS
    further: FurtherWays
    kcal_per_ms: Floats  # of each way of working, [7] or [J, 7]

    @cached_property
    def kcal(self) -> Ints:
        """What work costs above rest [millionths of a kcal], int[J, W]."""
        return kcal_of(self.work, self.fastest, np.arange(len(self.work))[:, None], self.kcal_per_ms)

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
        work, wear = (each[:, workers] for each in (self.work, self.wear))
        further = self.further.of_workers({old: new for new, old in enumerate(workers.tolist())})
        return Ability(self.able[:, workers], work, wear, self.fastest[:, workers], further, self.kcal_per_ms)

    def of_jobs(self, rows: Ints) -> "Ability":
        """Return the table of some of its jobs (places, in any order)."""
        work, wear, per_ms = self.work[rows], self.wear[rows], _of_rows(self.kcal_per_ms, rows)
        return Ability(self.able[rows], work, wear, self.fastest[rows], self.further.of_jobs(rows), per_ms)


def _of_rows(kcal_per_ms: Floats, rows: Ints | slice) -> Floats:
    """Return what each way of working costs in some jobs [kcal/ms], float[7], or float[R, 7]."""
    return kcal_per_ms if kcal_per_ms.ndim == 1 else kcal_per_ms[rows]


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
    each = max(1, _MOST_CELLS // max(1, size[1]))
    if size[0] <= each:
        return _ability_at_once(jobs, workers, trip, kcal_per_ms=kcal_per_ms)
    able, work = np.empty(size, dtype=bool), np.empty(size, dtype=np.int64)
    wear, fastest, further = np.zeros(size, dtype=np.int64), np.empty(size, dtype=np.int8), list[FurtherWays]()
    for first in range(0, size[0], each):
        heed(effort)
        rows = slice(first, first + each)
        own = jobs.between(first, first + each)
        part = _ability_at_once(own, workers, trip, kcal_per_ms=_of_rows(kcal_per_ms, rows))
        able[rows], work[rows], fastest[rows] = part.able, part.work, part.fastest
        if part.wear.any():
            wear[rows] = part.wear  # memory that is not written to takes none
        further.append(part.further.after(first))
    return Ability(able, work, wear, fastest, joined_ways(further), kcal_per_ms)


def _ability_at_once(jobs: JobRows, workers: Workers, trip: Trip, *, kcal_per_ms: Floats) -> Ability:
    """Return the ability table of a few jobs; see `ability_at`."""
    size = (len(jobs.diameter), len(workers.rows))
    if not jobs.loads:
        none = np.zeros(size, dtype=np.int64)
        return Ability(none > 0, none + NEVER, none, none.astype(np.int8), NO_FURTHER, kcal_per_ms)
    rows = WayRows(jobs)
    row, worker, times = _way_work(jobs, rows, workers)
    job = rows.job[row]
    level, most = rows.levels(size[0])
    way_at = np.zeros((most, size[0]), dtype=np.int8)
    way_at[level, rows.job] = rows.way
    work = np.full((most, *size), NEVER)
    wear, at = np.zeros_like(work), (level[row], job, worker)
    work[at] = times
    if trip.life and (spent := _wear_of(rows.load[1] * trip.nights, rows, row, worker, workers)) is not None:
        wear[at] = spent
    able = np.zeros(size, dtype=bool)
    alone = slice(0, np.searchsorted(row, rows.part(_WEDGE).start)) if _WEDGE in rows.ways else slice(None)
    able[job[alone], worker[alone]] = True  # a backup is a tool that does the work by itself
    by_effort = AIMS[trip.aim].by_kcal
    further = NO_FURTHER
    if most > 1 and (by_effort or wear[..., : workers.carried].any()):
        further = further_ways(work, wear, way_at, kcal_per_ms, carried=workers.carried, by_effort=by_effort)
    if most == 1:
        fastest = np.where(work[0] < NEVER, way_at[0][:, None], np.int8(0))
        return Ability(able, work[0], wear[0], fastest, further, kcal_per_ms)
    fastest = np.where(work[0] < NEVER, way_at[0][:, None], np.int8(0))
    for late in range(1, most):  # of equally fast ways the first
        quicker = work[late] < work[0]
        for each in (work, wear):
            np.copyto(each[0], each[late], where=quicker)
        np.copyto(fastest, way_at[late][:, None], where=quicker)
    return Ability(able, work[0].copy(), wear[0].copy(), fastest, further, kcal_per_ms)


def _wear_of(loads: Floats, rows: WayRows, row: Ints, worker: Ints, workers: Workers) -> Ints | None:
    """Return what the loads of rows spend of the lives of workers [millionths], int[P]; None where nothing wears."""
    if not loads.any():
        return None
    with np.errstate(over="ignore", divide="ignore"):  # lives near 0 are spent at once
        if workers.alike is None:
            lives = rows.of_pairs(lambda way: workers.lives[WAYS[way]], row, worker)
        else:
            lives = workers.alike.lives[rows.way[row], worker]
        spent = loads[row] / lives
    wear: Ints = np.rint(np.minimum(spent * MILLIONTHS, MOST_WEAR)).astype(np.int64)
    return wear


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


def _way_work(jobs: JobRows, rows: WayRows, workers: Workers) -> tuple[Ints, Ints, Ints]:
    """Return who can do what: P rows, workers and times [ms], int[P] each, by row and worker.

    By score above 0, least score, and diameter.
    """
    if workers.alike is None:
        parts = [_able_in(way, jobs, rows, workers) for way in rows.ways]
        row, worker = np.nonzero(np.concatenate(parts))
        rate = rows.of_pairs(lambda way: workers.pace(WAYS[way]), row, worker) / _TEN
    else:
        score, largest = workers.alike.score[rows.way], workers.alike.largest[rows.way]
        able = (score > 0) & (score >= jobs.least[rows.job, None]) & (largest >= jobs.diameter[rows.job, None])
        row, worker = np.nonzero(able)
        rate = score[row, worker] / _TEN
    first, last = np.searchsorted(row, (sawn := rows.part(_SAW)).start), np.searchsorted(row, sawn.stop)
    if first < last:
        rate[first:last] *= _saw_share(jobs, rows, workers, row[first:last], worker[first:last])
        rate[first:last] *= pair_gain(workers.candidates, workers.sawing)[worker[first:last]]
    first, last = np.searchsorted(row, (split := rows.part(_SPLIT)).start), np.searchsorted(row, split.stop)
    if first < last and (batoned := workers.candidates.batoned[worker[first:last]]).any():
        struck = first + np.flatnonzero(batoned)
        rate[struck] *= _baton_share(jobs, rows, workers, row[struck])
    minutes, _, carving, extra, handling = rows.load[:, row]
    with np.errstate(over="ignore", divide="ignore"):  # scores near 0 take for ever
        if carving.any():
            pace = workers.pace("carve")
            carver = pace[worker] if rows.element is None or pace.ndim == 1 else pace[rows.element[row], worker]
            extra = extra + np.divide(carving * _TEN, carver, out=np.zeros(len(row)), where=carving > 0)
        milliseconds = (minutes / rate + (handling + extra)) * MS_PER_MINUTE
    return row, worker, np.rint(np.fmin(milliseconds, _LONGEST_MS)).astype(np.int64)


def _able_in(way: int, jobs: JobRows, rows: WayRows, workers: Workers) -> Bools:
    """Tell who can do the rows of a way, by score above 0, least score, and diameter, bool[N, W]."""
    name, job = WAYS[way], rows.job[rows.part(way)]
    score, largest = rows.along(way, workers.score[name]), rows.along(way, workers.largest[name])
    able = (score > 0) & (score >= jobs.least[job, None]) & (largest >= jobs.diameter[job, None])
    return np.asarray(able)


def _saw_share(jobs: JobRows, rows: WayRows, workers: Workers, row: Ints, worker: Ints) -> Floats:
    """Return the share of a saw's rate that the diameter leaves, of pairs of a row and a saw."""
    stroke_mm = np.maximum(workers.candidates.figures["saw_max_mm"], 1.0)  # least range of the formula
    turned = workers.sawing.turned
    if isinstance(turned, np.ndarray):
        assert rows.element is not None
        turned = turned[rows.element[row]]
    return sawing_share(diameter_mm=jobs.diameter[rows.job[row]], largest_mm=stroke_mm[worker], turned=turned)


def _baton_share(jobs: JobRows, rows: WayRows, workers: Workers, row: Ints) -> Floats:
    """Return the rate under a baton over that of an axe of equal score, of rows that split."""
    slowing = workers.baton_slowing
    if isinstance(slowing, np.ndarray):
        assert rows.element is not None
        slowing = slowing[rows.element[row]]
    return np.asarray(baton_share(diameter_mm=jobs.diameter[rows.job[row]], slowing=slowing))
