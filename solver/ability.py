"""Who can do what, and in how much time: the ability table of a trip."""

from collections.abc import Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np

from catalog import Method, Tool
from catalog.cut import Floats, stroke_share
from catalog.labour import activity_of, net_kcal_per_min
from solver.case import NEVER, Bools, Ints
from solver.job import MODES, Job
from solver.site import Site

MS_PER_MINUTE = 60_000  # Unit factor: milliseconds
LONGEST_MS = 2.0**46  # derived: two thousand years; the sum of 100 such needs is still exact below 2**53
TEN = 10  # a score of ten works at the reference rate, by the definition of a score
WEARING = ("split", "saw", "carve", "chop")


@dataclass(frozen=True)
class Workers:
    """The scores, largest diameters and lives of tools, then methods, by way of working."""

    rows: tuple[Tool, ...]
    carried: int
    score: dict[str, Floats]
    largest: dict[str, Floats]
    life: dict[str, Floats]


COLUMNS = (
    *(f"{way}_{figure}" for way in WEARING for figure in ("score", "max_mm")),
    *(f"{way}_life" for way in WEARING),
)
figures_of = attrgetter(*COLUMNS)


def workers_from(tools: Sequence[Tool], methods: Sequence[Method], site: Site) -> Workers:
    """Return the workers in a table; only methods buck in a way of their own, and no missing life ends."""
    rows = (*tools, *methods)
    table = np.array([figures_of(row) for row in rows], dtype=float).reshape(len(rows), len(COLUMNS))
    figure = dict(zip(COLUMNS, table.T, strict=True))
    score = {way: figure[f"{way}_score"] for way in WEARING}
    largest = {way: figure[f"{way}_max_mm"] for way in WEARING}
    score["buck"] = np.array([0.0] * len(tools) + [method.buck_score for method in methods])
    largest["buck"] = np.array([0.0] * len(tools) + [method.buck_max_mm for method in methods])
    largest["split"] = largest["split"] * site.split_share
    life = {way: np.nan_to_num(figure[f"{way}_life"], nan=np.inf, posinf=np.inf) for way in WEARING}
    return Workers(rows, len(tools), score, largest, life | {"buck": np.full(len(rows), np.inf)})


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
