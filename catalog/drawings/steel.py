from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from catalog.tables.table import read_rows


@dataclass(frozen=True, slots=True)
class Toughness:
    """One impact test: energy [J] at a hardness [HRC], meaningful only beside tests of the same kind.

    Attributes:
        temper_c: tempering temperature [C], None where the source gives none.
        specimen: the bar that was broken: its size and its notch.
    """

    grade: str
    hrc: float
    energy_j: float
    test: str
    source: str
    temper_c: float | None
    specimen: str


@dataclass(frozen=True, slots=True)
class _FractureTest:
    """A measured fracture toughness: K_IC [MPa m0.5] of a pre-cracked bar at a hardness [HRC]."""

    hrc: float
    k_ic_mpa_m: float
    specimen: str
    source: str


@dataclass(frozen=True, slots=True)
class _Steel:
    """A grade of steel by its AISI or SAE designation; density in kg/m3, hardness in HRC, or None."""

    grade: str
    family: str
    density_kg_m3: float
    hardness_low_hrc: float | None
    hardness_high_hrc: float | None
    wear_class: str
    stainless: bool
    toughness: tuple[Toughness, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ToughnessOrder:
    """Grades compared in one test only, toughest first, and those with no such test."""

    test: str
    measured: tuple[Toughness, ...]
    unmeasured: tuple[str, ...]


def _number(text: str) -> float | None:
    return float(text) if text else None


def _tests() -> dict[str, list[Toughness]]:
    found: dict[str, list[Toughness]] = {}
    for row in read_rows("drawings/steel_toughness.csv"):
        test = Toughness(
            grade=row["grade"],
            hrc=float(row["hrc"]),
            energy_j=float(row["energy_j"]),
            test=row["test"],
            source=row["source"],
            temper_c=_number(row["temper_c"]),
            specimen=row["specimen"],
        )
        found.setdefault(test.grade, []).append(test)
    return found


@lru_cache(maxsize=1)
def steels() -> dict[str, _Steel]:
    """Every grade of the table."""
    tests = _tests()
    found = {}
    for row in read_rows("drawings/steels.csv"):
        found[row["grade"]] = _Steel(
            grade=row["grade"],
            family=row["family"],
            density_kg_m3=float(row["density_kg_m3"]),
            hardness_low_hrc=_number(row["hardness_low_hrc"]),
            hardness_high_hrc=_number(row["hardness_high_hrc"]),
            wear_class=row["wear_class"],
            stainless=row["stainless"] == "yes",
            toughness=tuple(tests.get(row["grade"], [])),
            sources=tuple(filter(None, (row["density_source"], row["hardness_source"], row["wear_source"]))),
        )
    return found


def known_grade(said: str) -> str:
    """Return a grade as the table writes it, where only case, spaces or the name of its list differ; else as said."""
    plain = said.casefold().removeprefix("aisi").removeprefix("sae").replace(" ", "").replace("-", "")
    return next((grade for grade in steels() if grade.casefold() == plain), said)


def toughness_of(grade: str) -> tuple[Toughness, ...]:
    """Return the impact tests of a grade; none for one without."""
    steel = steels().get(grade)
    return steel.toughness if steel else ()


def order_by_toughness(grades: list[str], *, test: str) -> ToughnessOrder:
    """Compare grades by one kind of impact test; results of another notch are never mixed in.

    Args:
        grades: AISI grades; an unknown one counts as unmeasured.
        test: kind of test as written in the table, such as ``charpy c-notch``.
    """
    measured: list[Toughness] = []
    unmeasured: list[str] = []
    for grade in grades:
        same = [one for one in toughness_of(grade) if one.test == test]
        measured.extend(same)
        if not same:
            unmeasured.append(grade)
    measured.sort(key=lambda t: (-t.energy_j, t.grade, t.hrc))
    return ToughnessOrder(test=test, measured=tuple(measured), unmeasured=tuple(unmeasured))


@lru_cache(maxsize=1)
def _fracture_tests() -> dict[str, list[_FractureTest]]:
    found: dict[str, list[_FractureTest]] = {}
    for row in read_rows("drawings/fracture_toughness.csv"):
        test = _FractureTest(
            hrc=float(row["hrc"]),
            k_ic_mpa_m=float(row["k_ic_mpa_m"]),
            specimen=row["specimen"],
            source=row["source"],
        )
        found.setdefault(row["grade"], []).append(test)
    return found


def fracture_tests_of(grade: str) -> tuple[_FractureTest, ...]:
    """Return the fracture tests of a grade; none for one without. An impact test is none of them."""
    return tuple(_fracture_tests().get(grade, ()))
