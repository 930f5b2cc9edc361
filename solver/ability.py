"""Who can do what, and in how much time: the ability table of a trip."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog import Tool
from catalog.cut import Floats, stroke_share
from catalog.labour import activity_of, net_kcal_per_min
from solver.case import NEVER, Bools, Ints
from solver.crew import WEARING, Crew
from solver.job import MODES, Job
from solver.site import Site

MS_PER_MINUTE = 60_000  # Unit factor: milliseconds
LONGEST_MS = 2.0**46  # derived: two thousand years; the sum of 100 such needs is still exact below 2**53
TEN = 10  # a score of ten works at the reference rate, by the definition of a score
WAYS = (*WEARING, "buck")  # only methods buck in a way of their own


@dataclass(frozen=True)
class Workers:
    """Tools, then methods, with scores, largest diameters in this wood, and lives, by way of working."""

    crew: Crew
    score: dict[str, Floats]
    largest: dict[str, Floats]
    life: dict[str, Floats]

    @property
    def rows(self) -> tuple[Tool, ...]:
        """The tools, then the methods."""
        return self.crew.rows

    @property
    def carried(self) -> int:
        """How many of them are tools."""
        return self.crew.carried


def workers_of(crew: Crew, site: Site) -> Workers:
    """Return the workers as they are in the wood of a site, whose knots take from the largest splitting diameters."""
    score, largest, life = (
        {way: crew.figures[f"{way}_{kind}"] for way in WAYS} for kind in ("score", "max_mm", "life")
    )
    return Workers(crew, score, largest | {"split": largest["split"] * site.split_share}, life)


@dataclass(frozen=True)
class Ability:
    """J jobs against W workers: able, time [ms], share of life spent, kcal above rest, fastest way of working."""

    able: Bools
    work: Ints
    wear: Floats
    kcal: Floats
    ways: list[tuple[str, ...]]  # of each job
    fastest: list[Ints]  # of each job and worker, a place in the ways of the job

    def way(self, job: int, worker: int) -> str:
        """Return the way of working that is fastest for a worker at a job."""
        way: str = self.ways[job][self.fastest[job][worker]]
        return way


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
    able, work = np.zeros(size, dtype=bool), np.full(size, NEVER)
    wear, kcal = np.zeros(size), np.zeros(size)
    fastest: list[Ints] = []
    everyone = np.arange(len(workers.rows))
    for j, job in enumerate(jobs):
        ways = MODES[job.task]
        times = np.stack([way_work(job, way, workers) for way in ways])
        best = times.argmin(axis=0)
        work[j] = times[best, everyone]
        able[j] = work[j] < NEVER
        rate = np.array([kcal_per_ms(way, body_kg) for way in ways])
        kcal[j] = np.where(able[j], work[j] * rate[best], 0.0)
        if life:
            spent = np.stack([nights * job.loads[way].wear / workers.life[way] for way in ways])
            wear[j] = np.where(able[j], spent[best, everyone], 0.0)
        fastest.append(best)
    return Ability(able, work, wear, kcal, [MODES[job.task] for job in jobs], fastest)


def kcal_per_ms(way: str, body_kg: float) -> float:
    """Return what a way of working costs above rest [kcal/ms]; breaking counts as carrying wood does."""
    activity = activity_of("gather" if way == "buck" else way)
    return net_kcal_per_min(met=activity.met, body_kg=body_kg) / MS_PER_MINUTE


def can(job: Job, way: str, workers: Workers) -> Bools:
    """Tell which workers can do a job in this way: by score above 0, least score, and diameter."""
    score, largest = workers.score[way], workers.largest[way]
    able: Bools = (score > 0) & (score >= job.min_score) & (largest >= job.diameter_mm)
    return able


def way_work(job: Job, way: str, workers: Workers) -> Ints:
    """Return the time of every worker that does a job in this way [ms], NEVER where it can't."""
    able = can(job, way, workers)
    work = np.full(len(able), NEVER)
    if able.any():
        rate = workers.score[way][able] / TEN
        if way == "saw":
            rate = rate * stroke_share(diameter_mm=job.diameter_mm, largest_mm=workers.largest[way][able])
        with np.errstate(over="ignore", divide="ignore"):  # scores near 0 take for ever
            milliseconds = job.loads[way].minutes / rate * MS_PER_MINUTE
        work[able] = np.rint(np.fmin(milliseconds, LONGEST_MS))
    return work
