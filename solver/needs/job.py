"""Jobs: what has to be worked, a need's amount a day or a kilogram of firewood, by each way of working."""

from dataclasses import dataclass

from catalog.tables.ledger import Ledger
from catalog.wood.cut import cleft_time_factor, clefts_per_round, face_area_cm2, notch_volume_cm3
from solver.forms.task import TASK_ROWS
from solver.forms.trip import TaskName
from solver.needs.site import Site


@dataclass(frozen=True)
class _Load:
    """What one way of working has to do: minutes at score 10, and wear in that way's unit of life.

    The units of life are clefts, cm2 of cut face, pieces carved and cm3 of notch.
    """

    minutes: float
    wear: float


@dataclass(frozen=True)
class Job:
    """A job: task, diameter, least score, and its load by way of working."""

    task: TaskName
    diameter_mm: float
    min_score: float
    loads: dict[str, _Load]


def job_of(
    task: TaskName,
    *,
    diameter_mm: float,
    amount: float,
    min_score: float,
    site: Site,
    ledger: Ledger,
    minutes_each: float | None = None,
) -> Job:
    """Return the job of an amount (rounds, cuts or pieces) at a diameter.

    Args:
        task: what is to be done.
        diameter_mm: diameter of the wood [mm].
        amount: rounds to split, cuts, or pieces to carve.
        min_score: least score of a tool.
        site: the place of work.
        ledger: reads and notes the assumptions.
        minutes_each: minutes of a carved piece at score 10, the usual where nothing is said.
    """
    loads = {
        mode: _load_of(mode, diameter_mm=diameter_mm, amount=amount, site=site, ledger=ledger, each=minutes_each)
        for mode in TASK_ROWS[task].ways
    }
    return Job(task, diameter_mm, min_score, loads)


def _load_of(mode: str, *, diameter_mm: float, amount: float, site: Site, ledger: Ledger, each: float | None) -> _Load:
    """Return the load of one way of working."""
    scale = site.factor[mode] / site.pace
    if mode == "split":
        count = amount * clefts_per_round(diameter_mm=diameter_mm, burnable_mm=site.burnable_mm)
        time = count * cleft_time_factor(diameter_mm=diameter_mm) / ledger("cleave_rate")
        return _Load(time * scale, count)
    if mode == "chop":
        chips = amount * notch_volume_cm3(diameter_mm=diameter_mm)
        return _Load(chips / ledger("chop_rate") * scale, chips)
    if mode == "carve":
        return _Load(amount * (ledger("carve_minutes") if each is None else each) * scale, amount)
    face = amount * face_area_cm2(diameter_mm=diameter_mm)
    return _Load(face / ledger("saw_rate") * scale, face if mode == "saw" else 0.0)
