"""What a tempering temperature makes of a hardened steel: its hardness, and what an ill chosen one costs it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from catalog.drawings.steel import steels, toughness_of
from catalog.tables.number import between
from catalog.tables.table import read_rows
from catalog.tables.validity import tabulated

_TROUGH_TEST = "charpy c-notch"


@lru_cache(maxsize=1)
def tempering_tables() -> dict[str, tuple[tuple[float, float], ...]]:
    """Return (temperature [C], hardness [HRC]) by grade, temperatures rising."""
    found: dict[str, list[tuple[float, float]]] = {}
    for row in read_rows("drawings/tempering.csv"):
        found.setdefault(row["grade"], []).append((float(row["temper_c"]), float(row["hrc"])))
    return {grade: tuple(sorted(points)) for grade, points in found.items()}


def tempered_hrc(grade: str, *, temper_c: float) -> float:
    """Return the hardness of a fully hardened steel after tempering [HRC], linear between the rows of its table.

    Raises:
        ValueError: a grade without a tempering table.
        RangeError: a temperature [C] outside its table.
    """
    points = tempering_tables().get(grade)
    if points is None:
        known = ", ".join(sorted(tempering_tables()))
        raise ValueError(f"no tempering table for the grade {grade!r}: state hardness_hrc; tables: {known}")
    return tabulated(points, temper_c, quantity="temper_c", unit="C", source=f"the tempering table of {grade}")


@dataclass(frozen=True, slots=True)
class _Trough:
    """Tempering temperatures of a family of steel that embrittle it [C], and the impact energy left at the worst."""

    from_c: float
    worst_c: float
    to_c: float
    energy_left: float


@lru_cache(maxsize=1)
def _troughs() -> dict[str, _Trough]:
    return {
        row["family"]: _Trough(
            from_c=float(row["from_c"]),
            worst_c=float(row["worst_c"]),
            to_c=float(row["to_c"]),
            energy_left=float(row["energy_left"]),
        )
        for row in read_rows("drawings/embrittlement.csv")
    }


def energy_left(grade: str, *, temper_c: float) -> float:
    """Return the impact energy that an embrittling temper leaves, as a share of a sound one's [-]; 1 elsewhere.

    Of a grade with impact tests by temperature: the energy there over the most at any lower temperature, all of one
    notch; a softer steel that is no tougher is embrittled. Of another: the trough of its family, straight lines.

    Args:
        grade: AISI grade.
        temper_c: tempering temperature [C].
    """
    own = sorted(
        (one.temper_c, one.energy_j)
        for one in toughness_of(grade)
        if one.test == _TROUGH_TEST and one.temper_c is not None
    )
    if len(own) > 1:
        energy = between(own, temper_c)
        return energy / max([energy, *(one for place, one in own if place <= temper_c)])
    steel = steels().get(grade)
    trough = None if steel is None else _troughs().get(steel.family)
    if trough is None or not trough.from_c <= temper_c <= trough.to_c:
        return 1.0
    return between(((trough.from_c, 1.0), (trough.worst_c, trough.energy_left), (trough.to_c, 1.0)), temper_c)
