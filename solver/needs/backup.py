"""Backup of firewood: two carried tools that could each cut enough of it, and two that could split enough."""

from collections.abc import Callable, Sequence

from catalog import Method
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, Truth, minimum, negated, plain_number, somewhere, where
from solver.forms.kit_answer import Because
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
    trip: Trip, site: Site[N], uses: list[FireUse[N]], classes: list[WoodClass[N]], workers: Workers, ledger: Ledger[N]
) -> list[Need[N]]:
    """Return the needs without work that ask for a second tool for firewood.

    A tool that takes a thickness takes every thinner one. So it can work enough of the wood within reach if it takes
    the thinnest thickness up to which there is enough, beside the wood that is worked without tools.
    """
    if trip.backup != "all" or not classes:
        return []
    wanted: N = minimum(sum(use.kg for use in uses), sum(one.reach_kg for one in classes))
    hands = [row for row in workers.rows[workers.carried :] if isinstance(row, Method)]

    def cut_by_hand(one: WoodClass[N]) -> Truth:
        cut: Truth = False
        for row in hands:
            cut = cut | _cuts(row, one, workers)
        return cut

    def left_whole(one: WoodClass[N]) -> Truth:
        return negated(one.split)

    asked: list[tuple[TaskName, Callable[[WoodClass[N]], Truth]]] = [("buck", cut_by_hand), ("split", left_whole)]
    return [
        _standby(task, mm, wanted, there & classes[0].buck.there, site, ledger)
        for task, free in asked
        for mm, there in _thickest(classes, wanted, free)
    ]


def _cuts(method: Method, one: WoodClass[N], workers: Workers) -> Truth:
    """Tell whether a field method cuts the wood of a class to length."""
    place = workers.rows.index(method, workers.carried)
    largest = workers.largest["buck"][..., place]
    able = (workers.score["buck"][..., place] > 0) & (largest >= one.diameter_mm)
    return (able if able.ndim else bool(able)) & one.worked_by(method)


def _thickest(
    classes: Sequence[WoodClass[N]], wanted_kg: N, free: Callable[[WoodClass[N]], Truth]
) -> list[tuple[float, Truth]]:
    """Return how thick a round a tool must take [mm] to have enough, beside what is free; nothing where that is enough.

    Of draws, each thickness with those in which it is so thick.
    """
    freed = [free(one) for one in classes]
    have: N = sum(_where_so(there, one.reach_kg) for one, there in zip(classes, freed, strict=True))
    short: Truth = have < wanted_kg - _TRACE_KG
    found = []
    for one, there in zip(classes, freed, strict=True):
        have = have + _where_so(negated(there), one.reach_kg)
        enough = short & negated(there) & (have >= wanted_kg - _TRACE_KG)
        if somewhere(enough):
            found.append((one.diameter_mm, enough))
        short = short & negated(enough)
    return found


def _where_so(there: Truth, kg: N) -> N:
    """Return kilograms where something is so, and none elsewhere."""
    return where(there, lambda: kg, lambda: 0.0)


def _standby(
    task: TaskName, diameter_mm: float, wanted_kg: N, there: Truth, site: Site[N], ledger: Ledger[N]
) -> Need[N]:
    """Return the need of two tools that could each do a task on enough firewood."""
    name = "backup-cut" if task == "buck" else "backup-split"

    def because() -> Because:
        text = (
            f"backup: two tools that can each {_DOES[task]} firewood of {diameter_mm:g} mm, without which the wood "
            f"within reach is too little for {wanted_kg:.1f} kg a day"
        )
        return Because(text=text, facts={"stated": False, "kg_per_day": round(plain_number(wanted_kg), ANSWER_DIGITS)})

    return Need(
        id=name,
        job=_no_work(task, diameter_mm, there, site, ledger),
        per_day=0.0,
        critical=False,
        backup=2,
        because=because,
        amount=0.0,
        minutes_each=None,
        diameter_mm=diameter_mm,
        clefts=1,
    )


def _no_work(task: TaskName, diameter_mm: float, there: Truth, site: Site[N], ledger: Ledger[N]) -> Job[N]:
    """Return a job of no amount; who opens a round by itself splits its pieces too."""
    if task == "split":
        return split_jobs(
            diameter_mm=diameter_mm, amount=0.0, min_score=0.0, site=site, ledger=ledger, clefts=1, there=there
        )[0]
    return job_of(task, diameter_mm=diameter_mm, amount=0.0, min_score=0.0, site=site, ledger=ledger, there=there)
