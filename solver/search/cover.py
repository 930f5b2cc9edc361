"""The abstract cover program: the lightest columns that serve every row often enough."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from catalog.tables.python_form import misuse
from solver.forms.arguments import effort_given
from solver.forms.effort import Effort, Unfinished
from solver.model.case import EDGE, FIXED, NEVER, Case
from solver.programs.engine import Status
from solver.search.choice import choose

_UNITS_PER_GRAM = 100
_NUMBERS = "biuf"  # NumPy's kinds: truth values, whole numbers with and without sign, and floats
_MOST_UNITS = 2.0**53  # up to here a float holds every whole number
_MOST_WANTED = 2**31 - 1  # far above any number of columns
_PATIENT = Effort(nodes=10_000_000, seconds=900.0)  # a library call waits longer than a request


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
        able: bool[N, T], which column serves which row; 0 and 1 are taken too.
        at_least: int or int[N], able columns that each row asks for (0 or more); 2.0 is 2.
        effort: what a solve may cost; a patient one where nothing is said.

    Raises:
        TypeError: an argument that holds no numbers, or a masked array.
        ValueError: shapes that don't fit, masses that are negative, not finite or too large, marks other than 0 and 1,
            a number of columns that is not whole or below 0.
        Unfinished: the effort ran out before any cover was found.
    """
    grams, serves, wanted = _checked(mass, able, at_least)
    units, per_gram = _whole_units(grams)
    asked = wanted > 0
    case = Case(
        ids=tuple(f"{column:09d}" for column in range(len(units))),
        mass=units,
        price=np.zeros_like(units),
        work=np.where(serves, np.int64(0), NEVER)[asked],
        able=serves[asked],
        backup=np.where(wanted > 1, wanted, 0)[asked],
        wood_class=np.full(asked.sum(), FIXED),
        wear=np.zeros(serves[asked].shape, dtype=np.int64),
        kcal=np.zeros(serves[asked].shape, dtype=np.int64),
        part=np.full(serves[asked].shape, EDGE),
    )
    choice = choose(case, effort=effort_given(effort, _PATIENT), ties=False)
    if choice.status is Status.INFEASIBLE:
        return Cover((), 0.0, None, "uncovered")
    if choice.ids is None:
        raise Unfinished
    bound = None if choice.bound is None else choice.bound / per_gram
    return Cover(tuple(int(name) for name in choice.ids), choice.mass / per_gram, bound, choice.told_status)


def _checked(mass: ArrayLike, able: ArrayLike, at_least: int | ArrayLike) -> tuple[np.ndarray, ...]:
    """Return the arguments as arrays of the right shapes."""
    grams = _numbers("mass", mass, "a list or array of masses").astype(float)
    marks = _numbers("able", able, "a list of rows, or a table, of truth values or of 0 and 1")
    wanted = _numbers("at_least", at_least, "a whole number, or one a row")
    wanted = wanted.astype(float) if wanted.dtype.kind == "f" else wanted  # a short float can't hold the most
    if grams.ndim != 1 or marks.ndim != 2 or marks.shape[1] != len(grams):
        raise ValueError(f"able is {marks.shape} and mass is {grams.shape}: they must be (N, T) and (T,)")
    if wanted.shape not in ((), (len(marks),)):
        raise ValueError(f"at_least is {wanted.shape} and able is {marks.shape}: it must be one number, or one a row")
    _refuse_any("mass", grams, ~np.isfinite(grams) | (grams < 0), "every mass must be a finite number of at least 0")
    _refuse_any("able", marks, (marks != 0) & (marks != 1), "every mark must be true or false, 1 or 0")
    wrong = ~((wanted >= 0) & (wanted <= _MOST_WANTED) & (wanted == np.floor(wanted)))
    _refuse_any("at_least", wanted, wrong, f"it must be a whole number from 0 to {_MOST_WANTED}")
    return grams, marks.astype(bool), np.broadcast_to(wanted.astype(np.int64), (len(marks),))


def _numbers(name: str, value: ArrayLike, takes: str) -> np.ndarray:
    """Return an argument as an array of numbers or truth values.

    Raises:
        TypeError: it holds anything else, or rows of different lengths.
    """
    if np.ma.isMaskedArray(value):
        raise misuse(name, value, f"{takes}, none of them masked")
    try:
        found = np.asarray(value)
    except ValueError:
        raise misuse(name, value, takes) from None
    if found.dtype.kind not in _NUMBERS:
        raise misuse(name, value, takes)
    return found


def _refuse_any(name: str, values: np.ndarray, wrong: np.ndarray, allowed: str) -> None:
    """Raise a ValueError that names the first wrong value, where there is one."""
    if wrong.any():
        raise ValueError(f"{name} holds {values[wrong].flat[0].item()!r}: {allowed}")


def _whole_units(grams: np.ndarray) -> tuple[np.ndarray, int]:
    """Return the masses in whole units, 0.01 g where that is exact, else 1e-6 g; and units per gram.

    Raises:
        ValueError: they come to more units than a float counts.
    """
    for per_gram in (_UNITS_PER_GRAM, _UNITS_PER_GRAM**3):
        most = _MOST_UNITS / per_gram
        _refuse_any("mass", grams, grams > most, f"masses in steps of {1 / per_gram:g} g can be {most:g} g at most")
        if grams.sum() > most:
            raise ValueError(f"mass comes to {grams.sum():g} g: in steps of {1 / per_gram:g} g it can be {most:g} g")
        units = np.rint(grams * per_gram).astype(np.int64)
        if np.abs(units / per_gram - grams).max(initial=0.0) < 1e-9:
            break
    return units, per_gram
