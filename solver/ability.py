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
    fastest: Ints  # [J, W], a place in the ways of the job

    def way(self, job: int, worker: int) -> str:
        """Return the way of working that is fastest for a worker at a job."""
        way: str = self.ways[job][self.fastest[job, worker]]
        return way

    def with_rows(self, rows: Sequence[int], other: "Ability") -> "Ability":
        """Return the table in which some jobs are told by another table of the same ways of working."""
        tables = []
        for name in ("able", "work", "wear", "kcal", "fastest"):
            tables.append(getattr(self, name).copy())
            tables[-1][rows] = getattr(other, name)
        able, work, wear, kcal, fastest = tables
        return Ability(able, work, wear, kcal, self.ways, fastest)


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
    table = Ability(
        able=np.zeros(size, dtype=bool),
        work=np.full(size, NEVER),
        wear=np.zeros(size),
        kcal=np.zeros(size),
        ways=[MODES[job.task] for job in jobs],
        fastest=np.zeros(size, dtype=np.int64),
    )
    for way in WAYS:
        rows = np.array([j for j, job in enumerate(jobs) if way in job.loads], dtype=np.int64)
        if not len(rows):
            continue
        work = way_work([jobs[j] for j in rows], way, workers)
        rank = np.array([table.ways[j].index(way) for j in rows])
        row, worker = np.nonzero(work < table.work[rows])  # of equally fast ways the first
        at = rows[row], worker
        table.able[at] = True
        table.work[at] = work[row, worker]
        table.fastest[at] = rank[row]
        table.kcal[at] = work[row, worker] * kcal_per_ms(way, body_kg)
        if life:
            spent = np.array([nights * jobs[j].loads[way].wear for j in rows])
            table.wear[at] = spent[row] / workers.life[way][worker]
    return table


def kcal_per_ms(way: str, body_kg: float) -> float:
    """Return what a way of working costs above rest [kcal/ms]; breaking counts as carrying wood does."""
    activity = activity_of("gather" if way == "buck" else way)
    return net_kcal_per_min(met=activity.met, body_kg=body_kg) / MS_PER_MINUTE


def way_work(jobs: Sequence[Job], way: str, workers: Workers) -> Ints:
    """Return the time of every worker that does jobs in this way [ms], int[J, W], NEVER where it can't.

    By score above 0, least score, and diameter.
    """
    score, largest = workers.score[way], workers.largest[way]
    diameter = np.array([job.diameter_mm for job in jobs])
    least = np.array([job.min_score for job in jobs])[:, None]
    able = (score > 0) & (score >= least) & (largest >= diameter[:, None])
    work = np.full(able.shape, NEVER)
    job, worker = np.nonzero(able)
    rate = score[worker] / TEN
    if way == "saw":
        rate = rate * stroke_share(diameter_mm=diameter[job], largest_mm=largest[worker])
    minutes = np.array([one.loads[way].minutes for one in jobs])
    with np.errstate(over="ignore", divide="ignore"):  # scores near 0 take for ever
        milliseconds = minutes[job] / rate * MS_PER_MINUTE
    work[able] = np.rint(np.fmin(milliseconds, LONGEST_MS))
    return work
