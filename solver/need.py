"""Needs: what the traveller asked for, each with how much of it a day."""

from dataclasses import dataclass

from solver.trip import Task, TaskName, Trip


@dataclass(frozen=True)
class Need:
    """One need of the trip.

    Attributes:
        id: names it in the answer.
        per_day: rounds, cuts or pieces a day.
        backup: able carried tools asked for (0 or 2).
        text: why it is there, for a person.
    """

    id: str
    task: TaskName
    diameter_mm: float
    per_day: float
    min_score: float
    critical: bool
    backup: int
    text: str


UNITS = {
    "split": "rounds split",
    "saw": "cuts sawn",
    "chop": "cuts chopped",
    "buck": "cuts",
    "carve": "pieces carved",
}


def needs_of(trip: Trip) -> list[Need]:
    """Return the needs of a trip, stated tasks in the order asked."""
    used: dict[str, int] = {}
    return [stated_need(task, trip, used) for task in trip.tasks]


def stated_need(task: Task, trip: Trip, used: dict[str, int]) -> Need:
    """Return the need that a stated task is."""
    wanted = trip.backup == "all" or (trip.backup == "critical" and task.critical)
    return Need(
        id=own_id(f"{task.task}-{task.diameter_mm:g}", used),
        task=task.task,
        diameter_mm=task.diameter_mm,
        per_day=task.per_day,
        min_score=task.min_score,
        critical=task.critical,
        backup=2 if wanted else 0,
        text=f"stated: {task.per_day:g} {UNITS[task.task]} a day at {task.diameter_mm:g} mm",
    )


def own_id(wish: str, used: dict[str, int]) -> str:
    """Return the id wished for, numbered from the second on."""
    used[wish] = used.get(wish, 0) + 1
    return wish if used[wish] == 1 else f"{wish}-{used[wish]}"
