"""The next kits: lightest first, each really different from those before it, and in something better than the first."""

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from copy import copy
from dataclasses import dataclass, field, replace

import numpy as np

from catalog import Tool
from catalog.tables.number import Bools
from solver.forms.aim import AIMS
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import WORK
from solver.model.case import Case
from solver.model.day_work import Workload, workload
from solver.programs.engine import Status
from solver.search.branching_data import BranchingData
from solver.search.choice import Choice, choose
from solver.siblings.laid_regard import LaidRegard
from solver.siblings.listing import KitListings
from solver.siblings.regard import NARROWED, BorneLosses, ComparedKit, Margins, Regard, WorkedKit, better_in

_ONLY_LIMITS = frozenset[Regard]({"mass", "time", "tools"})  # whose cases have the same tools, jobs and rules


@dataclass(frozen=True)
class NextKit:
    """A further kit with its day's work, and in what it is better than the first."""

    choice: Choice
    load: Workload
    better_in: list[Regard]


def next_kits(
    case: Case,
    first: Choice,
    load: Workload,
    tools: Sequence[Tool],
    *,
    number: int,
    aim: str,
    margins: Margins,
    losses: BorneLosses,
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
    told = ComparedKit(case, tools, WorkedKit(first, load), losses)
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

    told: ComparedKit
    number: int  # of kits wanted
    aim: str
    margins: Margins
    effort: Effort
    case: Case = field(init=False)
    losing: Case = field(init=False)  # of the kits that may bear a loss: those that hold the first one's tools too
    cutting: Bools = field(init=False)
    best: dict[Regard, WorkedKit | None] = field(init=False, default_factory=dict)
    least: dict[Regard, int] = field(init=False, default_factory=dict)  # of the kit found before for a regard
    least_bearing: int = field(init=False, default=0)  # no kit below this mass bears a loss
    listed: tuple[tuple[str, ...], ...] = ()
    none_up_to: dict[Regard, float] = field(init=False, default_factory=dict)  # no kit left in a regard up to a mass
    known: dict[tuple[Regard, tuple[tuple[str, ...], ...]], tuple[WorkedKit | None, float]] = field(
        default_factory=dict
    )
    lists: KitListings = field(default_factory=KitListings)
    laid: dict[Regard, LaidRegard] = field(default_factory=dict)

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

    def of_regards(self) -> list[WorkedKit]:
        """Return the best kit left in each regard but bearing a loss, where there is one.

        Of a regard whose kits are heavier than the lightest of these it is not told.
        """
        for name in NARROWED:
            if not ((name == "mass" and self.none_lighter) or (name == "time" and self.none_quicker)):
                self.seek(name, self.most_wanted(name))
        while True:
            kits = [kit for name, kit in self.best.items() if kit is not None and name != "loss"]
            least = min((kit.choice.mass for kit in kits), default=math.inf) if self.aim == "mass" else math.inf
            unsure = [name for name, most in self.none_up_to.items() if most < least and self.best.get(name) is None]
            if not unsure:
                return kits
            self.seek(unsure[0], least)

    def most_wanted(self, name: Regard) -> float:
        """Return a mass up to which the kits of a regard are likely to be told: that of the last quicker one wanted."""
        quicker = self.best.get("time")
        if self.aim != "mass" or name == "time" or quicker is None:
            return math.inf
        masses = [one.mass for one in self.lists.known("time") if self.is_left(one)]
        return masses[min(self.wanted, len(masses)) - 1] if masses else quicker.choice.mass

    def seek(self, name: Regard, most: float) -> None:
        """Look for the best kit left in a regard up to a mass [0.01 g], unless it is known up to there."""
        if self.best.get(name) is not None or self.none_up_to.get(name, -1) >= most:
            return
        kit, up_to = self.known.get((name, self.listed), (None, -1))
        if kit is None and up_to < most:
            case = NARROWED[name](self.case, self.told, self.margins)
            up_to = math.inf if case is None else most
            kit = None if case is None else self.asked(name, case, most)
            self.known[name, self.listed] = kit, up_to
        self.best = self.best | {name: kit}
        if kit is None:
            self.none_up_to = self.none_up_to | {name: up_to}

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

    @property
    def none_quicker(self) -> bool:
        """Whether the first kit is proven to be the quickest."""
        proven = self.aim == "work_time" and self.told.kit.choice.status is Status.OPTIMAL
        return proven and self.margins.quicker_ms > 0

    def asked(self, name: Regard, case: Case, most: float) -> WorkedKit | None:
        """Return the best kit of the case of a regard up to a mass, if any; raises Unfinished before any was found."""
        self.effort.go_on()
        near = max(self.told.mass, self.least.get(name, 0)) if self.none_lighter else 0
        if most < math.inf:
            case = case.lighter_than(int(most) + 1)
        laid = self.laid_of(name, case)
        choice = self.from_listing(name, laid, near) if laid and most == math.inf else None
        choice = choice or choose(
            laid.case if laid else case,
            aim=self.aim,
            effort=self.effort,
            near=near,
            reduced=laid is None,
            laid=laid,
        )
        if choice.ids is None and choice.status is Status.STOPPED:
            raise Unfinished
        return self.worked(case, choice)

    @property
    def wanted(self) -> int:
        """How many kits are wanted still, at least one."""
        return max(1, self.number - len(self.listed))

    def laid_of(self, name: Regard, case: Case) -> BranchingData | None:
        """Return the reduced case of a regard laid out, or None where a search over kits does not come first."""
        if self.aim != "mass" or self.effort.solver is not None:
            return None
        first, name = (self.case, "mass") if name in _ONLY_LIMITS else (case, name)
        if name not in self.laid:
            self.laid[name] = LaidRegard(first, spare=self.wanted - 1, effort=self.effort)
        return self.laid[name].of(case)

    def from_listing(self, name: Regard, laid: BranchingData, near: int) -> Choice | None:
        """Return the best kit of a regard, laid out, from a list, or None where no list tells it.

        Of quicker kits mostly several are told. A kit without cutting tools rules out none that holds more: no list.
        """
        cut = all(bool(self.cutting[sorted(self.told.case.kit(ids))].any()) for ids in self.listed)
        several = name == "time" or name in self.least
        if not (several and cut):
            return None
        return self.lists.next(name, laid, self.is_left, number=self.wanted, near=near, effort=self.effort)

    def is_left(self, choice: Choice) -> bool:
        """Tell whether a kit differs from all that are listed."""
        return all(self.differs(choice.ids or (), ids) for ids in self.listed)

    def worked(self, case: Case, choice: Choice | None) -> WorkedKit | None:
        """Return a kit of a case with its day's work."""
        if choice is None or choice.ids is None:
            return None
        # Of all tools and not of those left: a day's work is told by their places.
        whole, by_kcal = self.told.case.capped(WORK.field, case.work_cap), AIMS[self.aim].by_kcal
        load = workload(whole, whole.kit(choice.ids), effort=self.effort, by_kcal=by_kcal)
        return None if load is None else WorkedKit(choice, load)

    def bearing_a_loss(self, rival: WorkedKit | None) -> list[WorkedKit]:
        """Return the lightest kit that bears a loss, unless the best of the other regards is lighter."""
        name: Regard = "loss"
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

    def first_of(self, kits: Sequence[WorkedKit]) -> WorkedKit:
        """Return the first of some kits by the aims in their order, then by ids."""
        for quantity in AIMS[self.aim].order:
            figures = [
                quantity.measure(self.told.case, self.told.case.kit(kit.choice.ids or ()), kit.load) for kit in kits
            ]
            least = min(figures)
            kits = [kit for kit, figure in zip(kits, figures, strict=True) if figure == least]
        return min(kits, key=lambda kit: kit.choice.ids or ())


def _excluding(case: Case, listed: Sequence[str], cutting: Bools) -> Case:
    """Return the case without kits that hold all cutting tools of a listed kit."""
    kit = frozenset(tool for tool in case.kit(listed) if cutting[tool])
    if kit:
        return case.changed(forbidden=(*case.forbidden, kit)).as_mortal_as(case)
    return case.changed(some_of=(*case.some_of, cutting))
