"""Jobs: what has to be worked, a need's amount a day or a kilogram of firewood, by each way of working."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Final, Generic, Literal

import numpy as np

from catalog.tables.ledger import Ledger
from catalog.tables.number import Floats, Ints, N, Truth, somewhere
from catalog.wood.cut import (
    chop_rate_id,
    cleft_time_factor,
    clefts_per_round,
    face_area_cm2,
    later_cleft_mm,
    notch_volume_cm3,
)
from catalog.wood.rate import rates
from solver.forms.task import TASK_ROWS
from solver.forms.trip import TaskName
from solver.place.site import Site

KNIFE: Final = "knife"  # a way that takes no time: a knife does it by being in the pack
Part = Literal["open", "pieces"]
_OF_WEDGES = ("split", "chop", "carve")
_RATES = {"split": "cleave_rate", "saw": "saw_rate", "carve": "carve_minutes", "buck": "buck"}  # chopping's by size


@dataclass(frozen=True)
class _Load(Generic[N]):
    """What one way of working has to do: minutes at score 10, wear in that way's unit of life, and handling [min].

    The units of life are clefts, cm2 of cut face, pieces carved and cm3 of notch; rounds where wedges open them.

    Attributes:
        minutes: at a score of 10.
        wear: in units of life.
        carving: minutes at a carving score of 10, of the wedges.
        extra: minutes whatever the score.
        handling: minutes of setting up and moving, whatever the score.
        there: whether the way is open; of draws, in which.
    """

    minutes: N
    wear: N
    carving: N = 0.0
    extra: N = 0.0
    handling: N = 0.0
    there: Truth = True


@dataclass(frozen=True)
class Job(Generic[N]):
    """A job: task, diameter, least score, and its load by way of working; whether it is due, of draws in which.

    A split is two jobs: opening the rounds, then splitting their pieces, whose diameter is what a cleft runs through.
    """

    task: TaskName | Literal["knife"]
    diameter_mm: float
    min_score: float
    loads: dict[str, _Load[N]]
    part: Part | None = None
    there: Truth = True

    def reads(self, way: str) -> bool:
        """Tell whether a tool's figures of a way of working count: wedges take those of three."""
        return way in self.loads or ("wedge" in self.loads and way in _OF_WEDGES)


def job_of(
    task: TaskName,
    *,
    diameter_mm: float,
    amount: N,
    min_score: float,
    site: Site[N],
    ledger: Ledger[N],
    minutes_each: N | None = None,
    ways: Sequence[str] | None = None,
    there: Truth = True,
) -> Job[N]:
    """Return the job of an amount (cuts or pieces) at a diameter; for splitting see `split_jobs`.

    Args:
        task: what is to be done.
        diameter_mm: diameter of the wood [mm].
        amount: cuts, or pieces to carve.
        min_score: least score of a tool.
        site: the place of work.
        ledger: reads and notes the assumptions.
        minutes_each: minutes of a carved piece at score 10, the usual where nothing is said.
        ways: the ways of working that will do; all those of the task where nothing is said.
        there: whether it is due.
    """
    loads = {}
    for mode in ways or TASK_ROWS[task].ways:
        handling = amount * _handling_min(mode, diameter_mm, site, ledger)
        loads[mode] = _load_of(
            mode,
            diameter_mm=diameter_mm,
            amount=amount,
            site=site,
            ledger=ledger,
            each=minutes_each,
            handling=handling,
        )
    return Job(task, diameter_mm, min_score, loads, there=there)


def _handling_min(mode: str, diameter_mm: float, site: Site[N], ledger: Ledger[N]) -> N:
    """Return the handling of a cut or a round [min], where the rate of a way of working leaves it out."""
    name = chop_rate_id(diameter_mm=diameter_mm) if mode == "chop" else _RATES[mode]
    handling = rates()[name].handling
    return 0.0 if handling is None else ledger(handling) / site.pace


def split_jobs(
    *,
    diameter_mm: float,
    amount: N,
    min_score: float,
    site: Site[N],
    ledger: Ledger[N],
    clefts: N | None = None,
    there: Truth = True,
) -> tuple[Job[N], ...]:
    """Return the jobs of splitting rounds: the cleft that opens each, then those of its pieces, where any are due.

    Wedges can open a round, if a carried tool starts the cleft; its halves and quarters are split by any tool that
    reaches through them. A round is handled once, where it is opened.

    Args:
        diameter_mm: diameter of the rounds [mm].
        amount: number of rounds.
        min_score: least score of a tool.
        site: the place of work.
        ledger: reads and notes the assumptions.
        clefts: in each round; None = as many as make it burnable.
        there: whether they are due.
    """
    if clefts is None:
        clefts = clefts_per_round(diameter_mm=diameter_mm, burnable_mm=site.burnable_mm)
    handling = amount * _handling_min("split", diameter_mm, site, ledger)
    loads = {"split": replace(_cleaving(diameter_mm, amount, site, ledger), handling=handling)}
    wedging = site.wedging
    opened = False if wedging is None else wedging.there & (diameter_mm >= wedging.least_mm)
    if wedging is not None and somewhere(opened):
        loads["wedge"] = _Load(
            loads["split"].minutes,
            wear=amount,
            carving=amount * wedging.carving_min / site.pace,
            extra=amount * wedging.start_min / site.pace,
            handling=handling,
            there=opened,
        )
    opening = Job("split", diameter_mm, min_score, loads, "open", there)
    further = there & (clefts > 1)
    if not somewhere(further):
        return (opening,)
    through = later_cleft_mm(diameter_mm=diameter_mm)
    rest = {"split": _cleaving(through, amount * (clefts - 1), site, ledger)}
    return opening, Job("split", through, min_score, rest, "pieces", further)


def _cleaving(through_mm: float, count: N, site: Site[N], ledger: Ledger[N]) -> _Load[N]:
    """Return the load of clefts that run through so much wood."""
    factor = cleft_time_factor(diameter_mm=through_mm, exponent=ledger("cleft_exponent"))
    return _Load(count * factor / ledger("cleave_rate") * site.factor["split"] / site.pace, count)


def knife_job(*, min_score: float) -> Job:
    """Return the job of a knife that stays in the pack, done by any carried one of a least score as such."""
    return Job(KNIFE, 0.0, min_score, {KNIFE: _Load(0.0, 0.0)})


def _load_of(
    mode: str,
    *,
    diameter_mm: float,
    amount: N,
    site: Site[N],
    ledger: Ledger[N],
    each: N | None,
    handling: N,
) -> _Load[N]:
    """Return the load of one way of working."""
    scale = site.factor[mode] / site.pace
    if mode == "chop":
        chips = amount * notch_volume_cm3(diameter_mm=diameter_mm)
        return _Load(chips / ledger(chop_rate_id(diameter_mm=diameter_mm)) * scale, chips, handling=handling)
    if mode == "carve":
        return _Load(amount * (ledger("carve_minutes") if each is None else each) * scale, amount, handling=handling)
    face = amount * face_area_cm2(diameter_mm=diameter_mm)
    return _Load(face / ledger("saw_rate") * scale, face if mode == "saw" else 0.0, handling=handling)


@dataclass(frozen=True)
class JobRows:
    """Jobs as rows of figures, J of them.

    Attributes:
        diameter: of the wood [mm], float[J].
        least: least scores, float[J].
        loads: by place in WAYS, the rows that are due so, ascending, and of these minutes, wear, carving, extra and
            handling, float[5, N].
        element: where along an axis of draws each stands, by which workers may differ, int[J]; None without an axis.
    """

    diameter: Floats
    least: Floats
    loads: Mapping[int, tuple[Ints, Floats]]
    element: Ints | None = None

    def between(self, first: int, last: int) -> "JobRows":
        """Return the rows from one place to before another, told by their places among these."""
        if first == 0 and last >= len(self.diameter):
            return self
        loads = {}
        for way, (rows, figures) in self.loads.items():
            begin, end = np.searchsorted(rows, [first, last])
            if begin < end:
                loads[way] = rows[begin:end] - first, figures[:, begin:end]
        element = None if self.element is None else self.element[first:last]
        return JobRows(self.diameter[first:last], self.least[first:last], loads, element)


class WayRows:
    """Jobs in each way in which they are due, R of them, those of a way together.

    Attributes:
        ways: the ways, by place in WAYS.
        start: where the rows of each way begin, and of the last one end.
        way: of each, a place in WAYS, int[R].
        job: of each, int[R].
        load: minutes, wear, carving, extra and handling, float[5, R].
        element: as of `JobRows`, int[R].
    """

    def __init__(self, jobs: JobRows) -> None:
        self.ways = list(jobs.loads)
        found = list(jobs.loads.values())
        self.start = [0, *accumulate(len(rows) for rows, _ in found)]
        self.way = np.array(self.ways).repeat([len(rows) for rows, _ in found])
        self.job = np.concatenate([rows for rows, _ in found])
        self.load = np.concatenate([figures for _, figures in found], axis=1)
        self.element = None if jobs.element is None else jobs.element[self.job]

    def part(self, way: int) -> slice:
        """Return the rows of a way."""
        if way not in self.ways:
            return slice(0, 0)
        place = self.ways.index(way)
        return slice(self.start[place], self.start[place + 1])

    def along(self, way: int, figures: Floats) -> Floats:
        """Return figures of the workers in a way as they are in its rows, float[W] or [N, W].

        Args:
            way: a place in WAYS.
            figures: float[W], or float[E, W] where they differ along an axis.
        """
        if figures.ndim == 1:
            return figures
        assert self.element is not None
        return np.asarray(figures[self.element[self.part(way)]])

    def of_pairs(self, of_way: Callable[[int], Floats], row: Ints, worker: Ints) -> Floats:
        """Return figures of workers as they are in some rows, float[P].

        Args:
            of_way: gives those of a way, float[W] or [E, W].
            row: ascending, int[P].
            worker: of each, int[P].
        """
        found, ends = [np.zeros(0)], np.searchsorted(row, self.start).tolist()
        for way, first, last in zip(self.ways, ends, ends[1:], strict=False):
            figures, here = of_way(way), worker[first:last]
            if figures.ndim > 1:
                assert self.element is not None
                found.append(figures[self.element[row[first:last]], here])
            else:
                found.append(figures[here])
        return np.concatenate(found)

    def levels(self, jobs: int) -> tuple[Ints, int]:
        """Return of each the number of ways of its job before it, int[R], and the most ways that a job has."""
        counts = np.bincount(self.job, minlength=jobs)
        most = int(counts.max())
        if most == 1:
            return np.zeros_like(self.job), most
        order = self.job.argsort(kind="stable")
        level = np.empty_like(self.job)
        level[order] = np.arange(len(order)) - (counts.cumsum() - counts).repeat(counts)
        return level, most
