"""Quantities: what a kit comes to, in whole units. Limits hold them, aims make them least."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import ceil
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Objective = Mapping[int, float]  # a column -> its cost in an objective

DAY_DIGITS = 5  # of a minute: less than a millisecond, so that a told day given back as a limit is that day
UNITS_PER_GRAM = 100
UNITS_PER_PRICE = 100
MS_PER_MINUTE = 60_000  # Unit factor: milliseconds
GRAMS_PER_KG = 1000
MILLIONTHS = 1_000_000  # of a kcal, and of a life
_TENTHS = 10


@lru_cache
def decimal_of(value: float) -> Fraction:
    """Return a number as the decimal that stands for it: 17.4 is 174/10, and not its nearest binary fraction."""
    return Fraction(repr(float(value)))


def as_told(value: float) -> str:
    """Return a figure in words as it is told in numbers, so that it can be given back."""
    return f"{value:.{DAY_DIGITS}f}".rstrip("0").rstrip(".")


def up_to_tenth(value: float) -> float:
    """Return a figure rounded up to the tenth: short to read, and as a limit it suffices where the figure does."""
    return float(Fraction(ceil(decimal_of(value) * _TENTHS), _TENTHS))


class _Figures(Protocol):
    """The figures of tools that kits are measured by, as a case has them."""

    @property
    def mass(self) -> NDArray[np.int64]:
        """Packed mass of each tool [0.01 g]."""

    @property
    def price(self) -> NDArray[np.int64]:
        """Price of each tool [0.01]."""

    @property
    def carried_kcal(self) -> NDArray[np.int64]:
        """What carrying each tool costs [millionths of a kcal a day]."""

    def members_lack(self, kit: frozenset[int]) -> int:
        """By how much each member must be able to carry more, so that a kit can be dealt out [0.01 g]."""


class _Day(Protocol):
    """A day's work of a kit."""

    @property
    def work(self) -> int:
        """Time [ms]."""

    @property
    def kcal(self) -> int:
        """Energy above rest [millionths of a kcal]."""


class _Columns(Protocol):
    """The program of a case, as far as costs are read from it."""

    @property
    def case(self) -> _Figures:
        """The figures of its tools."""

    @property
    def carried(self) -> Sequence[int]:
        """The column of each tool."""

    @property
    def minutes(self) -> Objective:
        """The time of each column [thousandths of a ms]."""

    @property
    def effort(self) -> Objective:
        """What each column takes in carrying and working [thousandths of a millionth of a kcal a day]."""


Each = Callable[[_Figures], NDArray[np.int64]]


@dataclass(frozen=True)
class Quantity:
    """What a kit comes to, in whole numbers.

    Attributes:
        name: names it.
        scale: what a program counts for one.
        cost: the columns of a program that count, with what each counts.
        measure: what a kit with its day's work comes to.
        each: what each carried tool adds; None where the day's work decides.
    """

    name: str
    scale: int
    cost: Callable[[_Columns], Objective]
    measure: Callable[[_Figures, frozenset[int], _Day], int]
    each: Each | None = None


def _summed(name: str, each: Each) -> Quantity:
    """Return a quantity to which every carried tool adds a whole number.

    Args:
        name: names it.
        each: what each tool adds, from the figures of all.
    """
    return Quantity(
        name,
        scale=1,
        cost=lambda program: dict(zip(program.carried, map(float, each(program.case).tolist()), strict=True)),
        measure=lambda case, kit, _: sum_of(each(case), kit),
        each=each,
    )


def sum_of(each: NDArray[np.int64], kit: frozenset[int]) -> int:
    """Return what the tools of a kit add up to."""
    return int(each[sorted(kit)].sum())


MASS = _summed("mass", lambda case: case.mass)
PRICE = _summed("price", lambda case: case.price)
COUNT = _summed("count", lambda case: np.ones_like(case.mass))
MINUTES = Quantity(
    "minutes",
    scale=GRAMS_PER_KG,
    cost=lambda program: program.minutes,
    measure=lambda _, __, day: day.work,
)
LACKING = Quantity(
    "lacking",
    scale=1,
    cost=lambda _: {},  # no program counts it: see `search.relaxation`
    measure=lambda case, kit, _: case.members_lack(kit),
)
EFFORT = Quantity(
    "effort",
    scale=GRAMS_PER_KG,
    cost=lambda program: program.effort,
    measure=lambda case, kit, day: sum_of(case.carried_kcal, kit) + day.kcal,
)
