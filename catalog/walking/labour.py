"""Labour: the energy that a person spends at wood work, by the METs of the Compendium."""

from dataclasses import dataclass
from functools import cache

from catalog.tables.number import N
from catalog.tables.table import read_rows
from catalog.tables.validity import require


@dataclass(frozen=True)
class _Activity:
    """An activity of the Compendium; met is its gross cost in multiples of rest (1 kcal/kg/h), with its band."""

    id: str
    code: str
    activity: str
    met: float
    met_low: float
    met_high: float
    edition: int
    task: str
    source: str
    note: str


@cache
def activities() -> dict[str, _Activity]:
    """Return id -> activity. Source: Compendium of Physical Activities, codes in the table."""
    found: dict[str, _Activity] = {}
    for row in read_rows("walking/mets.csv"):
        found[row["id"]] = _Activity(
            id=row["id"],
            code=row["code"],
            activity=row["activity"],
            met=float(row["met"]),
            met_low=float(row["met_low"] or row["met"]),
            met_high=float(row["met_high"] or row["met"]),
            edition=int(row["edition"]),
            task=row["task"],
            source=row["source"],
            note=row["note"],
        )
    return found


def activity_of(task: str) -> _Activity:
    """Return the activity that stands for a task of the program.

    Args:
        task: ``saw``, ``chop``, ``split``, ``carve`` or ``gather``.

    Raises:
        KeyError: The table gives no activity for this task.
    """
    for one in activities().values():
        if one.task == task:
            return one
    raise KeyError(task)


def gross_kcal_per_min(*, met: N, body_kg: N) -> N:
    """Return the energy spent, rest included [kcal/min]: 1 MET is 1 kcal/kg/h (Ainsworth 2011).

    Args:
        met: Cost of the activity [MET].
        body_kg: Person [kg].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("walking.labour.gross_kcal_per_min", met=met, body_kg=body_kg)
    return met * body_kg / 60


def net_kcal_per_min(*, met: N, body_kg: N) -> N:
    """Return the energy spent above rest [kcal/min]: (MET - 1) x body / 60.

    Args:
        met: Gross cost of the activity [MET].
        body_kg: Person [kg].

    Raises:
        RangeError: Outside ranges.csv.
    """
    return gross_kcal_per_min(met=met, body_kg=body_kg) - gross_kcal_per_min(met=1, body_kg=body_kg)
