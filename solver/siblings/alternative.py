"""The next kits: lightest first, each really different from those before it, and in something better than the first."""

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from copy import copy
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from typing import Literal, Protocol

import numpy as np

from catalog import Tool
from catalog.tables.number import Bools
from solver.forms.aim import AIMS
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import MONEY, WORK, limit_of
from solver.forms.quantity import COUNT, PRICE
from solver.model.case import FIXED, NEVER, Case, mass_of
from solver.model.day_work import Workload, workload
from solver.programs.engine import Status
from solver.search.choice import Choice, choose
from solver.siblings.listing import KitListings

_Regard = Literal["mass", "time", "tools", "price", "length", "loss", "backup"]
_TOOLS = limit_of("tools_at_most")
_TWO = 2  # carried tools for a need of which one is a backup


@dataclass(frozen=True)
class NextKit:
    """A further kit with its day's work, and in what it is better than the first."""

    choice: Choice
    load: Workload
    better_in: list[_Regard]


@dataclass(frozen=True)
class Margins:
    """By how much a kit must be quicker [ms a day] or its longest tool shorter [mm] to be better in it."""

    quicker_ms: Fraction
    shorter_mm: float


class _Losses(Protocol):
    """What tells whether kits bear the loss of any one tool."""

    def borne_by(self, ids: Sequence[str]) -> bool:
        """Tell whether a kit still does all its work, whichever of its tools is lost."""

    def lightest(self, case: Case, *, near: int) -> Choice | None:
        """Return the lightest kit of a case that bears it, without ids where there is none; None: it took too long."""


@dataclass(frozen=True)
class _Worked:
    """A kit with its day's work."""

    choice: Choice
    load: Workload


@dataclass(frozen=True)
class _Compared:
    """What a kit comes to in each regard.

    Attributes:
        case: the trip's choice as numbers.
        rows: its tools.
        kit: the kit, with its day's work.
        losses: tells whether it bears a loss.
    """

    case: Case
    rows: Sequence[Tool]
    kit: _Worked
    losses: _Losses

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


def next_kits(
    case: Case,
    first: Choice,
    load: Workload,
    tools: Sequence[Tool],
    *,
    number: int,
    aim: str,
    margins: Margins,
    losses: _Losses,
    effort: Effort,
) -> Iterator[NextKit]:
    """Yield up to `number` further kits in order, each better than the first in some regard.

    The cutting tools of each hold no listed kit's; only of the chosen kit they may, where with more tools it bears a
    loss. Sharpeners and methods do not count: a kit is told by its cutting tools. A kit without any cutting tool
    excludes only itself.

    Each regard is asked for its best kit by itself, and the first of these is the next: so no kit need be looked at
    that is better in nothing.

    Args:
        case: the trip's choice as numbers.
        first: the chosen kit.
        load: its day's work.
        tools: the tools of the case.
        number: kits wanted; they may be fewer.
        aim: what orders them.
        margins: what counts as quicker and as shorter.
        losses: tells which kits bear a loss.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out before it was known which kit is the next.
    """
    told = _Compared(case, tools, _Worked(first, load), losses)
    search = _NextKits(told, number, aim=aim, margins=margins, effort=effort)
    search.exclude_first(first.ids or ())
    search.look_ahead(number)
    for _ in range(number):
        kit = search.next()
        if kit is None:
            return
        yield kit
        search.exclude(kit.choice.ids or ())


@dataclass
class _NextKits:
    """The search for further kits: for each regard the best kit that is left, as far as it was asked for."""

    told: _Compared
    number: int  # of kits wanted
    aim: str
    margins: Margins
    effort: Effort
    case: Case = field(init=False)
    losing: Case = field(init=False)  # of the kits that may bear a loss: those that hold the first one's tools too
    cutting: Bools = field(init=False)
    best: dict[_Regard, _Worked | None] = field(init=False, default_factory=dict)
    least: dict[_Regard, int] = field(init=False, default_factory=dict)  # of the kit found before for a regard
    least_bearing: int = field(init=False, default=0)  # no kit below this mass bears a loss
    listed: tuple[tuple[str, ...], ...] = ()
    known: dict[tuple[_Regard, tuple[tuple[str, ...], ...]], _Worked | None] = field(default_factory=dict)
    lists: KitListings = field(default_factory=KitListings)

    def __post_init__(self) -> None:
        """Begin with every kit of the case."""
        self.case = self.losing = self.told.case
        self.cutting = np.array([tool.cuts for tool in self.told.rows], dtype=bool)

    def exclude_first(self, ids: Sequence[str]) -> None:
        """Leave out the kits that hold the first one's cutting tools, but where they bear a loss."""
        self.case = _excluding(self.case, ids, self.cutting)

    def exclude(self, ids: Sequence[str]) -> None:
        """Leave out the kits that hold a kit's cutting tools; what was found for the regards stays where it is left."""
        self.case, self.losing = (_excluding(one, ids, self.cutting) for one in (self.case, self.losing))
        gone = {name: kit for name, kit in self.best.items() if kit and not self.differs(kit.choice.ids or (), ids)}
        self.least = self.least | {name: kit.choice.mass for name, kit in gone.items()}
        self.listed = (*self.listed, tuple(ids))
        self.best = {name: kit for name, kit in self.best.items() if name not in gone}

    def differs(self, kit: Sequence[str], ids: Sequence[str]) -> bool:
        """Tell whether a kit does not hold all cutting tools of a listed one."""
        carried, listed = self.case.kit(kit), self.case.kit(ids)
        cutting = frozenset(tool for tool in listed if self.cutting[tool])
        return not cutting <= carried if cutting else bool(self.cutting[sorted(carried)].any())

    def look_ahead(self, number: int) -> None:
        """Ask once, up to the mass of the last kit, for kits that bear a loss, not for each of so many kits anew.

        Mostly there is none: then the next kits are those of the other regards, which are kept for `next`.
        """
        if self.aim != "mass" or self.told.bears_loss or number == 1:
            return
        ahead, rival = copy(self), None
        with suppress(Unfinished):  # what is known serves as far as it goes
            for _ in range(number):
                kits = ahead.of_regards()
                if not kits:
                    break
                rival = ahead.first_of(kits)
                ahead.exclude(rival.choice.ids or ())
        if rival is not None:
            self.bearing_a_loss(rival)

    def of_regards(self) -> list[_Worked]:
        """Return the best kit left in each regard but bearing a loss, where there is one."""
        for name, narrowed in _NARROWED.items():
            if name == "mass" and self.none_lighter:
                continue
            if name not in self.best:
                asked = name, self.listed
                if asked not in self.known:
                    self.known[asked] = self.asked(name, narrowed(self.case, self.told, self.margins))
                self.best[name] = self.known[asked]
        return [kit for name, kit in self.best.items() if kit is not None and name != "loss"]

    def next(self) -> NextKit | None:
        """Return the next kit, or None where no kit left is better in anything."""
        kits = self.of_regards()
        if self.aim == "mass" and not self.told.bears_loss:
            kits += self.bearing_a_loss(self.first_of(kits) if kits else None)
        if not kits:
            return None
        kit = self.first_of(kits)
        other = replace(self.told, kit=kit)
        return NextKit(kit.choice, kit.load, better_in(self.told, other, self.margins))

    @property
    def none_lighter(self) -> bool:
        """Whether the first kit is proven to be the lightest."""
        return self.aim == "mass" and self.told.kit.choice.status is Status.OPTIMAL

    def asked(self, name: _Regard, case: Case | None) -> _Worked | None:
        """Return the best kit of the case of a regard, if any; raises Unfinished before any was found."""
        if case is None:
            return None
        self.effort.go_on()
        near = max(self.told.mass, self.least.get(name, 0)) if self.none_lighter else 0
        choice = self.from_listing(name, case, near) or choose(case, aim=self.aim, effort=self.effort, near=near)
        if choice.ids is None and choice.status is Status.STOPPED:
            raise Unfinished
        return self.worked(case, choice)

    def from_listing(self, name: _Regard, case: Case, near: int) -> Choice | None:
        """Return the best kit of a case of a regard from a list, or None where no list tells it.

        Of quicker kits mostly several are told. A kit without cutting tools rules out none that holds more: no list.
        """
        cut = all(bool(self.cutting[sorted(self.told.case.kit(ids))].any()) for ids in self.listed)
        several = name == "time" or name in self.least
        if not (several and cut) or self.aim != "mass" or self.effort.solver is not None:
            return None
        number = max(1, self.number - len(self.listed))
        return self.lists.next(name, case, self.is_left, number=number, near=near, effort=self.effort)

    def is_left(self, choice: Choice) -> bool:
        """Tell whether a kit differs from all that are listed."""
        return all(self.differs(choice.ids or (), ids) for ids in self.listed)

    def worked(self, case: Case, choice: Choice | None) -> _Worked | None:
        """Return a kit of a case with its day's work."""
        if choice is None or choice.ids is None:
            return None
        # Of all tools and not of those left: a day's work is told by their places.
        whole, by_kcal = self.told.case.capped(WORK.field, case.work_cap), AIMS[self.aim].by_kcal
        load = workload(whole, whole.kit(choice.ids), effort=self.effort, by_kcal=by_kcal)
        return None if load is None else _Worked(choice, load)

    def bearing_a_loss(self, rival: _Worked | None) -> list[_Worked]:
        """Return the lightest kit that bears a loss, unless the best of the other regards is lighter."""
        name: _Regard = "loss"
        if self.best.get(name) is None:
            if rival is not None and rival.choice.mass < self.least_bearing:
                return []
            case = self.losing if rival is None else self.losing.lighter_than(rival.choice.mass + 1)
            choice = self.told.losses.lightest(case, near=(rival or self.told.kit).choice.mass)
            kit = self.worked(case, choice)
            if kit is None:
                if rival is not None and choice is not None and choice.ids is None:
                    self.least_bearing = rival.choice.mass + 1
                return []
            self.best[name] = kit
        return [kit for kit in [self.best[name]] if kit is not None]

    def first_of(self, kits: Sequence[_Worked]) -> _Worked:
        """Return the first of some kits by the aims in their order, then by ids."""
        for quantity in AIMS[self.aim].order:
            figures = [
                quantity.measure(self.told.case, self.told.case.kit(kit.choice.ids or ()), kit.load) for kit in kits
            ]
            least = min(figures)
            kits = [kit for kit, figure in zip(kits, figures, strict=True) if figure == least]
        return min(kits, key=lambda kit: kit.choice.ids or ())


def better_in(told: _Compared, other: _Compared, margins: Margins) -> list[_Regard]:
    """Return in what a kit is better than another of the same case."""
    quicker = told.told_ms - margins.quicker_ms
    found: dict[_Regard, bool] = {
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


def _lighter(case: Case, told: _Compared, _: Margins) -> Case:
    """Return the case of the lighter kits."""
    return case.lighter_than(told.mass)


def _quicker(case: Case, told: _Compared, margins: Margins) -> Case | None:
    """Return the case of the quicker kits."""
    most = told.told_ms - margins.quicker_ms
    return case.capped(WORK.field, math.floor(case.rest.work(most))) if most >= 0 else None


def _fewer(case: Case, told: _Compared, _: Margins) -> Case | None:
    """Return the case of the kits of fewer tools."""
    return case.capped(_TOOLS.field, int(told.count) - 1) if told.count else None


def _cheaper(case: Case, told: _Compared, _: Margins) -> Case | None:
    """Return the case of the kits that are cheaper, of tools whose price is known."""
    if not told.price:
        return None
    known = np.array([row.price is not None for row in told.rows], dtype=bool)
    return case.capped(MONEY.field, int(told.price) - 1).keep(np.flatnonzero(known))


def _shorter(case: Case, told: _Compared, margins: Margins) -> Case | None:
    """Return the case of the kits whose every tool is known to be shorter than the longest."""
    if told.longest_mm is None:
        return None
    most = told.longest_mm - margins.shorter_mm
    fits = np.array([row.packed_mm is not None and row.packed_mm <= most for row in told.rows], dtype=bool)
    served = (case.work[case.fixed][:, [*fits, *(True for _ in case.methods)]] < NEVER).any(axis=1).all()
    return case.keep(np.flatnonzero(fits)) if served and fits[sorted(case.must)].all() else None


def _backed(case: Case, told: _Compared, _: Margins) -> Case | None:
    """Return the case of the kits with two able tools for every need."""
    if told.backed or case.firewood is not None or (case.wood_class != FIXED).any():
        return None
    return replace(case, backup=np.where(case.worked, np.maximum(case.backup, _TWO), case.backup))


_NARROWED: dict[_Regard, Callable[[Case, _Compared, Margins], Case | None]] = {
    "mass": _lighter,
    "time": _quicker,
    "tools": _fewer,
    "price": _cheaper,
    "length": _shorter,
    "backup": _backed,
}


def _excluding(case: Case, listed: Sequence[str], cutting: Bools) -> Case:
    """Return the case without kits that hold all cutting tools of a listed kit."""
    kit = frozenset(tool for tool in case.kit(listed) if cutting[tool])
    if kit:
        return replace(case, forbidden=(*case.forbidden, kit)).as_mortal_as(case)
    return replace(case, some_of=(*case.some_of, cutting))
