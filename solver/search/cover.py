"""The abstract cover program: the lightest columns that serve every row often enough."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solver.model.case import FIXED, NEVER, Case
from solver.model.engine import Effort, Status
from solver.search.choice import Unfinished, choose

UNITS_PER_GRAM = 100
PATIENT = Effort(nodes=10_000_000, seconds=900.0)  # a library call waits longer than a request


@dataclass(frozen=True)
class Cover:
    """A cover: column indices, their mass [g], the proven lower bound [g], and the status.

    Status is optimal, feasible (a limit stopped the solve) or uncovered (no columns, mass 0, bound None).
    """

    columns: tuple[int, ...]
    mass: float
    bound: float | None
    status: str


def lightest(mass: ArrayLike, able: ArrayLike, at_least: int | ArrayLike = 1, *, effort: Effort | None = None) -> Cover:
    """Return the lightest set of columns in which every row has at least so many able ones.

    This is the weighted set cover program (set multicover where `at_least` is above 1); POST /v1/kits
    solves the same program with more rules on it.

    Args:
        mass: float[T], the mass of each column [g]; what is finer than 1e-6 g is rounded off.
        able: bool[N, T], which column serves which row.
        at_least: int or int[N], able columns that each row asks for.
        effort: what a solve may cost; a patient one where nothing is said.

    Raises:
        ValueError: shapes that don't fit, masses that are negative or not finite.
        Unfinished: the effort ran out before any cover was found.
    """
    grams, serves, wanted = checked(mass, able, at_least)
    units, per_gram = whole_units(grams)
    asked = wanted > 0
    case = Case(
        ids=tuple(f"{column:09d}" for column in range(len(units))),
        mass=units,
        price=np.zeros_like(units),
        work=np.where(serves, np.int64(0), NEVER)[asked],
        able=serves[asked],
        backup=np.where(wanted > 1, wanted, 0)[asked],
        klass=np.full(asked.sum(), FIXED),
        wear=np.zeros(serves[asked].shape),
        kcal=np.zeros(serves[asked].shape),
    )
    choice = choose(case, effort=effort or PATIENT, ties=False)
    if choice.status is Status.INFEASIBLE:
        return Cover((), 0.0, None, "uncovered")
    if choice.ids is None:
        raise Unfinished
    status = "optimal" if choice.status is Status.OPTIMAL else "feasible"
    bound = None if choice.bound is None else choice.bound / per_gram
    return Cover(tuple(int(name) for name in choice.ids), choice.mass / per_gram, bound, status)


def checked(mass: ArrayLike, able: ArrayLike, at_least: int | ArrayLike) -> tuple[np.ndarray, ...]:
    """Return the arguments as arrays of the right shapes."""
    grams = np.asarray(mass, dtype=float)
    serves = np.asarray(able, dtype=bool)
    if grams.ndim != 1 or serves.ndim != 2 or serves.shape[1] != len(grams):
        raise ValueError(f"able is {serves.shape} and mass is {grams.shape}: they must be (N, T) and (T,)")
    if not np.isfinite(grams).all() or (grams < 0).any():
        raise ValueError("every mass must be a finite number of at least 0")
    wanted = np.broadcast_to(np.asarray(at_least, dtype=np.int64), (len(serves),))
    return grams, serves, wanted


def whole_units(grams: np.ndarray) -> tuple[np.ndarray, int]:
    """Return the masses in whole units, 0.01 g where that is exact, else 1e-6 g; and units per gram."""
    for per_gram in (UNITS_PER_GRAM, UNITS_PER_GRAM**3):
        units = np.rint(grams * per_gram).astype(np.int64)
        if np.abs(units / per_gram - grams).max(initial=0.0) < 1e-9:
            break
    return units, per_gram
