"""In what a kit may be better than the first: what it comes to in each regard, and the case of those better in it."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Literal, Protocol

import numpy as np

from catalog import Tool
from solver.forms.limit import MONEY, WORK, limit_of
from solver.forms.quantity import COUNT, PRICE
from solver.model.case import FIXED, NEVER, Case, mass_of
from solver.model.day_work import Workload
from solver.search.choice import Choice

Regard = Literal["mass", "time", "tools", "price", "length", "loss", "backup"]
_TOOLS = limit_of("tools_at_most")
_TWO = 2  # carried tools for a need of which one is a backup


@dataclass(frozen=True)
class Margins:
    """By how much a kit must be quicker [ms a day] or its longest tool shorter [mm] to be better in it."""

    quicker_ms: Fraction
    shorter_mm: float


class BorneLosses(Protocol):
    """What tells whether kits bear the loss of any one tool."""

    def borne_by(self, ids: Sequence[str]) -> bool:
        """Tell whether a kit still does all its work, whichever of its tools is lost."""

    def lightest(self, case: Case, *, near: int) -> Choice | None:
        """Return the lightest kit of a case that bears it, without ids where there is none; None: it took too long."""


@dataclass(frozen=True)
class WorkedKit:
    """A kit with its day's work."""

    choice: Choice
    load: Workload


@dataclass(frozen=True)
class ComparedKit:
    """What a kit comes to in each regard.

    Attributes:
        case: the trip's choice as numbers.
        rows: its tools.
        kit: the kit, with its day's work.
        losses: tells whether it bears a loss.
    """

    case: Case
    rows: Sequence[Tool]
    kit: WorkedKit
    losses: BorneLosses

    @cached_property
    def tools(self) -> frozenset[int]:
        """The carried tools."""
        return self.case.kit(self.kit.choice.ids or ())

    @cached_property
    def mass(self) -> int:
        """Packed mass [0.01 g]."""
        return mass_of(self.case, self.tools)

    @cached_property
    def told_ms(self) -> Fraction:
        """The day's work with its rest [ms]."""
        return self.case.told_ms(self.kit.load.work)

    @cached_property
    def count(self) -> float:
        """Number of carried tools."""
        return COUNT.measure(self.case, self.tools, self.kit.load)

    @cached_property
    def price(self) -> float | None:
        """Sum of the prices [0.01], or None where one is unknown."""
        if any(self.rows[tool].price is None for tool in self.tools):
            return None
        return PRICE.measure(self.case, self.tools, self.kit.load)

    @cached_property
    def longest_mm(self) -> float | None:
        """Packed length of the longest tool [mm]; None where one is unknown, or no tool goes."""
        lengths = [self.rows[tool].packed_mm for tool in self.tools]
        known = [one for one in lengths if one is not None]
        return max(known) if known and len(known) == len(lengths) else None

    @cached_property
    def bears_loss(self) -> bool:
        """Whether it still does all its work, whichever tool is lost."""
        return self.losses.borne_by(self.kit.choice.ids or ())

    @cached_property
    def backed(self) -> bool:
        """Whether two of its tools are able at every need; of firewood, by classes, that is not told."""
        if self.case.firewood is not None:
            return False
        return bool((self.case.able[self.case.worked][:, sorted(self.tools)].sum(axis=1) >= _TWO).all())


def better_in(told: ComparedKit, other: ComparedKit, margins: Margins) -> list[Regard]:
    """Return in what a kit is better than another of the same case."""
    quicker = told.told_ms - margins.quicker_ms
    found: dict[Regard, bool] = {
        "mass": other.mass < told.mass,
        "time": other.told_ms <= quicker,
        "tools": other.count < told.count,
        "price": told.price is not None and other.price is not None and other.price < told.price,
        "length": told.longest_mm is not None
        and other.longest_mm is not None
        and other.longest_mm <= told.longest_mm - margins.shorter_mm,
        "loss": not told.bears_loss and other.bears_loss,
        "backup": not told.backed and other.backed,
    }
    return [name for name, better in found.items() if better]


def _lighter(case: Case, told: ComparedKit, _: Margins) -> Case:
    """Return the case of the lighter kits."""
    return case.lighter_than(told.mass)


def _quicker(case: Case, told: ComparedKit, margins: Margins) -> Case | None:
    """Return the case of the quicker kits."""
    most = told.told_ms - margins.quicker_ms
    return case.capped(WORK.field, math.floor(case.rest.work(most))) if most >= 0 else None


def _fewer(case: Case, told: ComparedKit, _: Margins) -> Case | None:
    """Return the case of the kits of fewer tools."""
    return case.capped(_TOOLS.field, int(told.count) - 1) if told.count else None


def _cheaper(case: Case, told: ComparedKit, _: Margins) -> Case | None:
    """Return the case of the kits that are cheaper, of tools whose price is known."""
    if not told.price:
        return None
    known = np.array([row.price is not None for row in told.rows], dtype=bool)
    return case.capped(MONEY.field, int(told.price) - 1).keep(np.flatnonzero(known))


def _shorter(case: Case, told: ComparedKit, margins: Margins) -> Case | None:
    """Return the case of the kits whose every tool is known to be shorter than the longest."""
    if told.longest_mm is None:
        return None
    most = told.longest_mm - margins.shorter_mm
    fits = np.array([row.packed_mm is not None and row.packed_mm <= most for row in told.rows], dtype=bool)
    served = (case.work[case.fixed][:, [*fits, *(True for _ in case.methods)]] < NEVER).any(axis=1).all()
    return case.keep(np.flatnonzero(fits)) if served and fits[sorted(case.must)].all() else None


def _backed(case: Case, told: ComparedKit, _: Margins) -> Case | None:
    """Return the case of the kits with two able tools for every need."""
    if told.backed or case.firewood is not None or (case.wood_class != FIXED).any():
        return None
    return case.changed(backup=np.where(case.worked, np.maximum(case.backup, _TWO), case.backup))


NARROWED: dict[Regard, Callable[[Case, ComparedKit, Margins], Case | None]] = {
    "mass": _lighter,
    "time": _quicker,
    "tools": _fewer,
    "price": _cheaper,
    "length": _shorter,
    "backup": _backed,
}
