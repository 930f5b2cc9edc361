"""Backup of firewood: two carried tools that could each cut enough of it, and two that could split enough."""

from collections.abc import Callable, Sequence

from catalog import Method
from catalog.tables.ledger import Ledger
from solver.forms.trip import TaskName, Trip
from solver.needs.ability import Workers
from solver.needs.case_builder import ANSWER_DIGITS
from solver.needs.job import Job, job_of, split_jobs
from solver.needs.need import Need
from solver.needs.wood_class import WoodClass
from solver.place.fire_use import FireUse
from solver.place.site import Site

_TRACE_KG = 1e-9  # judged: wood that lacks no more than this of a day is enough
_DOES = {"buck": "cut to length", "split": "split"}


def firewood_backups(
    trip: Trip, site: Site, uses: list[FireUse], classes: list[WoodClass], workers: Workers, ledger: Ledger
) -> list[Need]:
    """Return the needs without work that ask for a second tool for firewood.

    A tool that takes a thickness takes every thinner one. So it can work enough of the wood within reach if it takes
    the thinnest thickness up to which there is enough, beside the wood that is worked without tools.
    """
    if trip.backup != "all" or not classes:
        return []
    wanted = min(sum(use.kg for use in uses), sum(one.reach_kg for one in classes))
    hands = [row for row in workers.rows[workers.carried :] if isinstance(row, Method)]

    def cut_by_hand(one: WoodClass) -> bool:
        return any(_cuts(row, one, workers) for row in hands)

    def left_whole(one: WoodClass) -> bool:
        return not one.splits

    asked: list[tuple[TaskName, Callable[[WoodClass], bool]]] = [("buck", cut_by_hand), ("split", left_whole)]
    found = [(task, _thickest(classes, wanted, free)) for task, free in asked]
    return [_standby(task, mm, wanted, site, ledger) for task, mm in found if mm is not None]


def _cuts(method: Method, one: WoodClass, workers: Workers) -> bool:
    """Tell whether a field method cuts the wood of a class to length."""
    place = workers.rows.index(method)
    able = workers.score["buck"][place] > 0 and workers.largest["buck"][place] >= one.diameter_mm
    return bool(able) and one.worked_by(method)


def _thickest(classes: Sequence[WoodClass], wanted_kg: float, free: Callable[[WoodClass], bool]) -> float | None:
    """Return how thick a round a tool must take [mm] to have enough, beside what is free; None where that is enough."""
    have = sum(one.reach_kg for one in classes if free(one))
    for one in classes:
        if have >= wanted_kg - _TRACE_KG:
            return None
        if not free(one):
            have += one.reach_kg
            if have >= wanted_kg - _TRACE_KG:
                return one.diameter_mm
    return None


def _standby(task: TaskName, diameter_mm: float, wanted_kg: float, site: Site, ledger: Ledger) -> Need:
    """Return the need of two tools that could each do a task on enough firewood."""
    name = "backup-cut" if task == "buck" else "backup-split"
    text = f"backup: two tools that can each {_DOES[task]} firewood of {diameter_mm:g} mm"
    return Need(
        id=name,
        job=_no_work(task, diameter_mm, site, ledger),
        per_day=0.0,
        critical=False,
        backup=2,
        text=f"{text}, without which the wood within reach is too little for {wanted_kg:.1f} kg a day",
        facts={"stated": False, "kg_per_day": round(wanted_kg, ANSWER_DIGITS)},
        amount=0.0,
        minutes_each=None,
        diameter_mm=diameter_mm,
        clefts=1,
    )


def _no_work(task: TaskName, diameter_mm: float, site: Site, ledger: Ledger) -> Job:
    """Return a job of no amount; who opens a round by itself splits its pieces too."""
    if task == "split":
        return split_jobs(diameter_mm=diameter_mm, amount=0.0, min_score=0.0, site=site, ledger=ledger, clefts=1)[0]
    return job_of(task, diameter_mm=diameter_mm, amount=0.0, min_score=0.0, site=site, ledger=ledger)
