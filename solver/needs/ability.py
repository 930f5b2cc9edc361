"""Who can do what, and in how much time: the ability table of a trip."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal

import numpy as np

from catalog import Tool
from catalog.tables.number import Bools, Floats, Ints
from catalog.walking.labour import activity_of, net_kcal_per_min
from catalog.wood.cut import sawing_share
from solver.forms.aim import AIMS
from solver.forms.quantity import MILLIONTHS, MS_PER_MINUTE
from solver.forms.trip import Trip
from solver.model.case import NEVER
from solver.needs.candidates import MOST_WEAR, WAYS, Candidates
from solver.needs.further_way import NO_FURTHER, PART_OF_WAY, FurtherWays, WayTable, further_ways
from solver.needs.job import KNIFE, Job
from solver.needs.sawing import Sawing, pair_gain, usable_scores
from solver.place.site import Site
from solver.place.wedging import Wedging

_LONGEST_MS = 2.0**40  # derived: 34 years; a thousand times as much is still exact below 2**53
_TEN = 10  # a score of ten works at the reference rate, by the definition of a score


@dataclass(frozen=True)
class Workers:
    """Tools, then methods, with scores, largest diameters and lives in this wood, by way of working.

    A tool is able by its score, the median; it works at `drawn` times that, where a draw of the scores says so.
    """

    candidates: Candidates
    score: dict[str, Floats]
    largest: dict[str, Floats]
    lives: Floats  # [7, W], in the order of WAYS
    sawing: Sawing
    drawn: Mapping[str, Floats] = field(default_factory=dict)  # float[W] of each way that has one

    @property
    def rows(self) -> tuple[Tool, ...]:
        """The tools, then the methods."""
        return self.candidates.rows

    @property
    def carried(self) -> int:
        """How many of them are tools."""
        return self.candidates.carried

    def pace(self, way: str) -> Floats:
        """Return what each works at in a way, in scores, float[W]."""
        return self.score[way] * self.drawn[way] if way in self.drawn else self.score[way]


def workers_from(candidates: Candidates, site: Site, sawing: Sawing) -> Workers:
    """Return the workers as they are in the wood of a site.

    Its knots take from the largest splitting diameters, and its strength says how thick a round is broken.
    """
    own = [way for way in WAYS if way != "wedge"]
    score = {way: usable_scores(candidates, way, sawing) for way in own}
    largest = {way: candidates.figures[f"{way}_max_mm"] for way in own} | {"saw": candidates.sawn_mm}
    largest["split"] = largest["split"] * site.split_share
    largest["buck"] = _bucked_mm(candidates, site)
    score["wedge"], largest["wedge"], life = _wedging(candidates, score, largest, site.wedging)
    return Workers(candidates, score, largest, np.vstack([candidates.lives, life]), sawing)


def _bucked_mm(candidates: Candidates, site: Site) -> Floats:
    """Return the largest diameter that each worker cuts to length in a way of its own [mm], float[W]."""
    stated = candidates.figures["buck_max_mm"]
    return np.array([site.broken_mm.get(row.id, mm) for row, mm in zip(candidates.rows, stated, strict=True)])


def _wedging(
    candidates: Candidates, score: dict[str, Floats], largest: dict[str, Floats], wedging: Wedging | None
) -> tuple[Floats, Floats, Floats]:
    """Return score, largest round and life in rounds of each worker that opens rounds with wedges.

    It starts the cleft and carves the wedges itself, so it is a carried tool that splits or chops, and carves.
    """
    none = np.zeros(len(candidates.rows))
    if wedging is None:
        return none, none, none + np.inf
    starts = np.fmax(
        np.where(score["split"] > 0, largest["split"] * wedging.start_split, 0.0),
        np.where(score["chop"] > 0, largest["chop"] * wedging.start_chop, 0.0),
    )
    able = (starts > 0) & (score["carve"] > 0) & (np.arange(len(none)) < candidates.carried)
    split, carve, chop = (candidates.lives[WAYS.index(way)] for way in ("split", "carve", "chop"))
    start = np.where(np.isfinite(split), 1 / split, wedging.start_cm3 / chop)
    spent = start + wedging.carved / carve
    life = np.divide(1.0, spent, out=np.full(len(none), np.inf), where=spent > 0)
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
    fastest: Ints  # [J, W], a place in WAYS
    further: FurtherWays

    @property
    def part(self) -> Ints:
        """The part of each worker that wears at each job, int[J, W]."""
        part: Ints = PART_OF_WAY[self.fastest]
        return part

    def way(self, job: int, worker: int, number: int = 0) -> str:
        """Return a way in which a worker does a job: 0 is the fastest, then the further ones in their order."""
        return self.further.name(job, worker, number) if number else WAYS[self.fastest[job, worker]]

    def with_rows(self, rows: Sequence[int], other: "Ability") -> "Ability":
        """Return the table in which some jobs are told by another table of the same ways of working."""
        tables = []
        for name in ("able", "work", "wear", "kcal", "fastest"):
            tables.append(getattr(self, name).copy())
            tables[-1][rows] = getattr(other, name)
        able, work, wear, kcal, fastest = tables
        return Ability(able, work, wear, kcal, fastest, self.further.with_jobs(rows, other.further))


def ability_of(jobs: Sequence[Job], workers: Workers, trip: Trip, *, body_kg: float) -> Ability:
    """Return the ability table: each worker at each job in the way that is fastest for it, and in further ways.

    Args:
        jobs: what has to be worked, a day.
        workers: who there is.
        trip: says over how many nights wear adds up, whether anything wears, and whether energy counts.
        body_kg: body of who works [kg].
    """
    size = (len(jobs), len(workers.rows))
    work, own, by = np.full(size, NEVER), np.full(size, NEVER), np.zeros(size, dtype=np.int64)
    loads = np.zeros((len(jobs), len(WAYS)))
    timed: list[tuple[int, list[int], Ints]] = []
    for index, way in enumerate(WAYS):
        rows = [j for j, job in enumerate(jobs) if way in job.loads]
        if not rows:
            continue
        times = _way_work([jobs[j] for j in rows], way, workers)
        timed.append((index, rows, times))
        if trip.life:
            loads[rows, index] = [trip.nights * jobs[j].loads[way].wear for j in rows]
        if way != "wedge":  # a backup is a tool that does the work by itself
            own[rows] = np.fmin(own[rows], times)
        better = times < work[rows]  # of equally fast ways the first
        work[rows], by[rows] = np.where(better, times, work[rows]), np.where(better, index, by[rows])
    each, everyone = np.arange(len(jobs))[:, None], np.arange(len(workers.rows))
    wear = _wear_of(loads[each, by], workers.lives[by, everyone], work)
    kcal_per_ms, by_effort = _kcal_per_ms(body_kg), AIMS[trip.aim].by_kcal
    further = NO_FURTHER
    if by_effort or wear[:, : workers.carried].any():
        tables = [
            WayTable(
                index,
                rows,
                times,
                _wear_of(loads[rows, index][:, None], workers.lives[index], times),
                _kcal_of(times, kcal_per_ms[index]),
            )
            for index, rows, times in timed
        ]
        further = further_ways(tables, carried=workers.carried, by_effort=by_effort)
    return Ability(own < NEVER, work, wear, _kcal_of(work, kcal_per_ms[by]), by, further)


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
def _kcal_per_ms(body_kg: float) -> Floats:
    """Return what each way of working costs above rest [kcal/ms], float[7]."""
    return np.array([way_kcal_per_min(way, "met", body_kg=body_kg) / MS_PER_MINUTE for way in WAYS])


@lru_cache
def way_kcal_per_min(way: str, met: Literal["met", "met_low", "met_high"], *, body_kg: float) -> float:
    """Return what a way of working, or gathering, costs above rest [kcal/min].

    Breaking counts as carrying wood does, driving wedges as splitting; a knife in the pack does no work.
    """
    activity = activity_of({"buck": "gather", KNIFE: "gather", "wedge": "split"}.get(way, way))
    return net_kcal_per_min(met=float(getattr(activity, met)), body_kg=body_kg)


def _way_work(jobs: Sequence[Job], way: str, workers: Workers) -> Ints:
    """Return the time of every worker that does jobs in this way [ms], int[J, W], NEVER where it can't.

    By score above 0, least score, and diameter.
    """
    score, largest = workers.score[way], workers.largest[way]
    diameter = np.array([job.diameter_mm for job in jobs])
    least = np.array([job.min_score for job in jobs])[:, None]
    able = (score > 0) & (score >= least) & (largest >= diameter[:, None])
    work = np.full(able.shape, NEVER)
    job, worker = np.nonzero(able)
    rate = workers.pace(way)[worker] / _TEN
    if way == "saw":
        stroke_mm = np.maximum(workers.candidates.figures["saw_max_mm"][worker], 1.0)  # least range of the formula
        rate = rate * sawing_share(diameter_mm=diameter[job], largest_mm=stroke_mm, turned=workers.sawing.turned)
        rate = rate * pair_gain(workers.candidates, workers.sawing)[worker]
    minutes = np.array([one.loads[way].minutes for one in jobs])
    handling = np.array([one.loads[way].handling for one in jobs])
    with np.errstate(over="ignore", divide="ignore"):  # scores near 0 take for ever
        besides = handling[job] + _besides(jobs, way, workers, job, worker)
        milliseconds = (minutes[job] / rate + besides) * MS_PER_MINUTE
    work[able] = np.rint(np.fmin(milliseconds, _LONGEST_MS))
    return work


def _besides(jobs: Sequence[Job], way: str, workers: Workers, job: Ints, worker: Ints) -> Floats:
    """Return the minutes of pairs of a job and a worker besides those at the way's own score."""
    extra = np.array([one.loads[way].extra for one in jobs])[job]
    carving = np.array([one.loads[way].carving for one in jobs])[job]
    besides: Floats = extra + np.divide(
        carving * _TEN, workers.pace("carve")[worker], out=np.zeros(len(job)), where=carving > 0
    )
    return besides
