"""Who can do what, and in how much time: the ability table of a trip."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from catalog import Tool
from catalog.tables.number import Floats
from catalog.walking.labour import activity_of, net_kcal_per_min
from catalog.wood.cut import stroke_share
from solver.forms.quantity import MS_PER_MINUTE
from solver.model.case import NEVER, Bools, Ints
from solver.needs.candidates import WAYS, Candidates
from solver.needs.job import Job
from solver.needs.site import Site

_LONGEST_MS = 2.0**46  # derived: two thousand years; the sum of 100 such needs is still exact below 2**53
_TEN = 10  # a score of ten works at the reference rate, by the definition of a score


@dataclass(frozen=True)
class Workers:
    """Tools, then methods, with scores and largest diameters in this wood, by way of working."""

    candidates: Candidates
    score: dict[str, Floats]
    largest: dict[str, Floats]

    @property
    def rows(self) -> tuple[Tool, ...]:
        """The tools, then the methods."""
        return self.candidates.rows

    @property
    def carried(self) -> int:
        """How many of them are tools."""
        return self.candidates.carried


def workers_from(candidates: Candidates, site: Site) -> Workers:
    """Return the workers as they are in the wood of a site, whose knots take from the largest splitting diameters."""
    score, largest = ({way: candidates.figures[f"{way}_{kind}"] for way in WAYS} for kind in ("score", "max_mm"))
    return Workers(candidates, score, largest | {"split": largest["split"] * site.split_share})


@dataclass(frozen=True)
class Ability:
    """J jobs against W workers: able, time [ms], share of life spent, kcal above rest, fastest way of working."""

    able: Bools
    work: Ints
    wear: Floats
    kcal: Floats
    fastest: Ints  # [J, W], a place in WAYS

    def way(self, job: int, worker: int) -> str:
        """Return the way of working that is fastest for a worker at a job."""
        return WAYS[self.fastest[job, worker]]

    def with_rows(self, rows: Sequence[int], other: "Ability") -> "Ability":
        """Return the table in which some jobs are told by another table of the same ways of working."""
        tables = []
        for name in ("able", "work", "wear", "kcal", "fastest"):
            tables.append(getattr(self, name).copy())
            tables[-1][rows] = getattr(other, name)
        able, work, wear, kcal, fastest = tables
        return Ability(able, work, wear, kcal, fastest)


def ability_of(jobs: Sequence[Job], workers: Workers, *, nights: int, body_kg: float, life: bool) -> Ability:
    """Return the ability table: each worker at each job in the way that is fastest for it.

    Args:
        jobs: what has to be worked, a day.
        workers: who there is.
        nights: days that wear adds up over.
        body_kg: body of who works [kg].
        life: False = nothing wears.
    """
    size = (len(jobs), len(workers.rows))
    work, by = np.full(size, NEVER), np.zeros(size, dtype=np.int64)
    loads = np.zeros((len(jobs), len(WAYS)))
    for index, way in enumerate(WAYS):
        rows = [j for j, job in enumerate(jobs) if way in job.loads]
        if not rows:
            continue
        loads[rows, index] = [nights * jobs[j].loads[way].wear for j in rows]
        times = _way_work([jobs[j] for j in rows], way, workers)
        better = times < work[rows]  # of equally fast ways the first
        work[rows], by[rows] = np.where(better, times, work[rows]), np.where(better, index, by[rows])
    able = work < NEVER
    wear = np.zeros(size)
    if life:
        each, everyone = np.arange(len(jobs))[:, None], np.arange(len(workers.rows))
        wear = np.where(able, loads[each, by] / workers.candidates.lives[by, everyone], 0.0)
    return Ability(able, work, wear, np.where(able, work * _kcal_per_ms(body_kg)[by], 0.0), by)


@lru_cache
def _kcal_per_ms(body_kg: float) -> Floats:
    """Return what each way of working costs above rest [kcal/ms], float[5]; breaking counts as carrying wood does."""
    activities = [activity_of("gather" if way == "buck" else way) for way in WAYS]
    return np.array([net_kcal_per_min(met=one.met, body_kg=body_kg) / MS_PER_MINUTE for one in activities])


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
    rate = score[worker] / _TEN
    if way == "saw":
        rate = rate * stroke_share(diameter_mm=diameter[job], largest_mm=largest[worker])
    minutes = np.array([one.loads[way].minutes for one in jobs])
    with np.errstate(over="ignore", divide="ignore"):  # scores near 0 take for ever
        milliseconds = minutes[job] / rate * MS_PER_MINUTE
    work[able] = np.rint(np.fmin(milliseconds, _LONGEST_MS))
    return work
