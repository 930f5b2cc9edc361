"""Needs: what the traveller asked for, stated tasks and camp work, each with its job and why it is there."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import reduce
from operator import or_
from typing import Generic

import numpy as np
from numpy.typing import NDArray

from catalog.equipment.camp_work import CampItem, amount_in_words, camp_items
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, plain_number, somewhere, where
from solver.forms.kit_answer import Because, FactValue
from solver.forms.task import TASK_ROWS
from solver.forms.trip import CampWork, Task, TaskName, Trip
from solver.needs.job import KNIFE, Job, Part, job_of, split_jobs
from solver.place.fire_use import FireUse
from solver.place.site import Site


@dataclass(frozen=True)
class Need(Generic[N]):
    """One need with a fixed amount a day, or a part of one: a split is opening the rounds, then their pieces.

    Attributes:
        id: names it in the answer; the parts of a need share it.
        per_day: rounds, cuts or pieces a day.
        backup: able carried tools asked for (0 or 2).
        because: why it is there, for a person, and the figures behind it.
        diameter_mm: as it was asked for.
        clefts: of each round that is split, where that does not follow from the burnable thickness.
    """

    id: str
    job: Job[N]
    per_day: N
    critical: bool
    backup: int
    because: Callable[[], Because] = field(compare=False)
    amount: N
    minutes_each: N | None
    diameter_mm: float
    clefts: int | None = None

    @property
    def text(self) -> str:
        """Why it is there, for a person."""
        return self.because().text

    @property
    def facts(self) -> dict[str, FactValue]:
        """The figures behind it."""
        return self.because().facts

    @property
    def part(self) -> Part | None:
        """Which part of a need it is."""
        return self.job.part

    @property
    def weight(self) -> N:
        """How much of the whole need it is: clefts, where it is a part of a split."""
        return self.job.loads["split"].wear if self.part else 1.0

    @property
    def standby(self) -> bool:
        """Whether it asks for able tools and no work: the backup of firewood."""
        return somewhere(self.amount == 0)

    @property
    def at_rest(self) -> bool:
        """Whether no rest of a kit is asked for it after a loss: a knife in the pack, a tool on standby."""
        return self.standby or self.job.task == KNIFE

    def at(self, diameter_mm: float, site: Site[N], ledger: Ledger[N]) -> tuple[Job[N], ...]:
        """Return the jobs of the whole need at another diameter, which a knife has none of."""
        if self.job.task == KNIFE:
            return (self.job,)
        return _jobs_of(
            self.job.task,
            diameter_mm=diameter_mm,
            amount=self.amount,
            min_score=self.job.min_score,
            site=site,
            ledger=ledger,
            minutes_each=self.minutes_each,
            clefts=self.clefts,
            ways=tuple(self.job.loads),
        )


def _jobs_of(
    task: TaskName,
    *,
    diameter_mm: float,
    amount: N,
    min_score: float,
    site: Site[N],
    ledger: Ledger[N],
    minutes_each: N | None = None,
    clefts: int | None = None,
    ways: Sequence[str] | None = None,
) -> tuple[Job[N], ...]:
    """Return the jobs of an amount at a diameter: one, or two for a split."""
    if task == "split":
        return split_jobs(
            diameter_mm=diameter_mm, amount=amount, min_score=min_score, site=site, ledger=ledger, clefts=clefts
        )
    return (
        job_of(
            task,
            diameter_mm=diameter_mm,
            amount=amount,
            min_score=min_score,
            site=site,
            ledger=ledger,
            minutes_each=minutes_each,
            ways=ways,
        ),
    )


def whole_needs(needs: Sequence[Need]) -> list[list[int]]:
    """Return the places of needs, those of one need together, in their order."""
    found: dict[str, list[int]] = {}
    for place, need in enumerate(needs):
        found.setdefault(need.id, []).append(place)
    return list(found.values())


def first_parts(needs: Sequence[Need], told: Sequence[bool] | NDArray[np.bool_]) -> list[int]:
    """Return the places of needs of which something is told, of each need its first such part."""
    found = (next((n for n in places if told[n]), None) for places in whole_needs(needs))
    return [n for n in found if n is not None]


_KINDLING_MM = 25  # judged: thumb-thick sticks


def needs_of(trip: Trip, site: Site[N], ledger: Ledger[N]) -> list[Need[N]]:
    """Return the needs with fixed amounts: stated tasks in the order asked, then camp work.

    Raises:
        KeyError: camp work that the table does not have.
    """
    used: dict[str, int] = {}
    stated = [need for task in trip.tasks for need in stated_needs(task, trip, site, ledger, used)]
    camp = [(work, item) for work in trip.camp_work for item in _items_of(work)]
    return stated + [need for work, item in camp for need in _camp_needs(item, work, trip, site, ledger, used)]


def _items_of(work: CampWork) -> list[CampItem]:
    """Return the camp work of a line, and what each of its pieces brings with it."""
    item = camp_items()[work.id]
    return [item] if item.comes_with is None else [item, camp_items()[item.comes_with]]


def stated_needs(task: Task, trip: Trip, site: Site[N], ledger: Ledger[N], used: dict[str, int]) -> list[Need[N]]:
    """Return the need that a stated task is, by its parts."""
    wanted = trip.backup == "all" or (trip.backup == "critical" and task.critical)
    name = _own_id(f"{task.task}-{task.diameter_mm:g}", used)
    jobs = _jobs_of(
        task.task,
        diameter_mm=task.diameter_mm,
        amount=task.per_day,
        min_score=task.min_score,
        site=site,
        ledger=ledger,
    )

    def because() -> Because:
        amount = amount_in_words(task.per_day, TASK_ROWS[task.task].counted)
        return Because(
            text=f"stated: {amount} a day at {task.diameter_mm:g} mm",
            facts={"stated": True, "min_score": task.min_score, "critical": task.critical},
        )

    return [
        Need(
            id=name,
            job=job,
            per_day=task.per_day,
            critical=task.critical,
            backup=2 if wanted and job.part != "pieces" else 0,  # what opens a round splits its pieces too
            because=because,
            amount=task.per_day,
            minutes_each=None,
            diameter_mm=task.diameter_mm,
        )
        for job in jobs
    ]


def _camp_needs(
    item: CampItem, work: CampWork, trip: Trip, site: Site[N], ledger: Ledger[N], used: dict[str, int]
) -> list[Need[N]]:
    """Return the need that an item of a line of camp work is, by its parts; a piece to split takes one cleft."""
    pieces = work.per_day if work.per_day is not None else (work.per_trip or 0.0) / trip.nights
    carved = item.task == "carve"
    amount = pieces if carved else pieces * item.amount
    each = item.amount if carved else None  # a carved piece takes its own minutes
    clefts = 1 if item.task == "split" else None
    name = _own_id(item.id, used)
    jobs = _jobs_of(
        item.task,
        diameter_mm=item.diameter_mm,
        amount=amount,
        min_score=item.min_score,
        site=site,
        ledger=ledger,
        minutes_each=each,
        clefts=clefts,
        ways=item.ways,
    )

    def because() -> Because:
        return Because(
            text=f"camp work: {pieces:.3g} a day of {item.name.lower()} ({item.amount:g} {item.unit} each)",
            facts={
                "stated": False,
                "pieces_per_day": pieces,
                "amount_each": item.amount,
                "unit": item.unit,
                "min_score": item.min_score,
            },
        )

    return [
        Need(
            id=name,
            job=job,
            per_day=pieces,
            critical=False,
            backup=2 if trip.backup == "all" and job.part != "pieces" else 0,
            because=because,
            amount=amount,
            minutes_each=each,
            diameter_mm=item.diameter_mm,
            clefts=clefts,
        )
        for job in jobs
    ]


def kindling_need(site: Site[N], uses: list[FireUse[N]], ledger: Ledger[N]) -> list[Need[N]]:
    """Return the need of kindling where no dry twigs are to be had: a few feather sticks for each fire lit.

    A fire of the morning is lit where some of the water is heated apart.
    """
    if not uses or site.state == "dead-dry":
        return []
    heating = reduce(or_, [use.there for use in uses if use.id == "hot-water"], False)
    lit: N = where(heating & (ledger("water_apart") > 0), lambda: 2, lambda: 1) if somewhere(heating) else 1
    pieces = lit * ledger("kindling_pieces")
    each = ledger("kindling_minutes")
    job = job_of(
        "carve",
        diameter_mm=_KINDLING_MM,
        amount=pieces,
        min_score=0.0,
        site=site,
        ledger=ledger,
        minutes_each=each,
        there=reduce(or_, [use.there for use in uses]),
    )

    def because() -> Because:
        text = f"kindling: {pieces:g} feather sticks a day to light {lit} fire(s) of {site.state} wood"
        return Because(
            text=text, facts={"stated": False, "fires_a_day": plain_number(lit), "pieces_per_day": plain_number(pieces)}
        )

    return [Need("kindling", job, pieces, False, 0, because, pieces, each, _KINDLING_MM)]


def _own_id(wish: str, used: dict[str, int]) -> str:
    """Return the id wished for, numbered from the second on."""
    used[wish] = used.get(wish, 0) + 1
    return wish if used[wish] == 1 else f"{wish}-{used[wish]}"
