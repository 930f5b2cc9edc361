"""Implicit enumeration: every kit that can be the lightest, met once, by branching on what a kit still lacks.

A kit that breaks a rule lacks a member of some set (the able tools of a job, the companions of a tool): one
of that set has to go. Each member opens a branch that carries it and leaves home the members before it, so
no kit is met twice (Balas 1965; for covers, Lemke, Salkin and Spielberg 1971). The mass allowed rises step by
step, from what the rules ask for at least, until it holds a kit (Korf 1985), so that heavy kits are never
met. Grams are whole numbers and every kit is checked by the rules themselves, so no tolerance enters.

A small case ends long before a linear program is set up. One that does not end within its nodes leaves a
bound, and perhaps a kit, for the integer program to go on from.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from catalog.tables.number import Floats
from solver.forms.effort import Effort, Unfinished
from solver.model.case import Bools, Case, Ints
from solver.model.day_work import Workload
from solver.model.time_price import ROUNDING, TimePrice, WearShortfall, price_of
from solver.search.branching_data import ENDLESS, BranchingData
from solver.search.dual import dual_of
from solver.search.requirement import Mask, bits

MOST_NODES = 2_000  # judged: by then the bounds of a linear program have begun to pay
_MOST_LOOKS = 48_000  # judged: at jobs, in all nodes; wide covers leave the sooner for the program
MOST_PICKED = 100  # judged: each tool picked is a call within a call, of which there may be a thousand
STEP, LONG_STEP = 1.1, 1.25  # judged: how much more mass is allowed where no kit was found
PRICED_NODES = 500  # judged: by then prices that leave most tools out have begun to pay
FEW_NODES = 16  # judged: after a search so short the step may be long

_Check = Callable[[frozenset[int]], Workload | None]
_Lack = Callable[[frozenset[int]], WearShortfall | None]


@dataclass
class Enumerated:
    """What was found: the lightest kits with their work, their mass, and a proven bound [0.01 g].

    Where it is complete, no other kit is as light (or lighter, where only one was asked for). Tools that `light` does
    not tell are in no kit so light.
    """

    kits: list[tuple[frozenset[int], Workload]] = field(default_factory=list)
    mass: int | None = None
    bound: int = 0
    complete: bool = False
    light: Bools | None = None

    def keep(self, kit: frozenset[int], load: Workload, mass: int) -> None:
        """Keep a kit that is as light as any so far."""
        if self.mass is None or mass < self.mass:
            self.kits, self.mass = [], mass
        if all(kit != one for one, _ in self.kits):
            self.kits.append((kit, load))


class _Late(Exception):
    """So many kits were met that a bound by prices has begun to pay."""


class OutOfNodes(Exception):
    """The enumeration has met as many kits as it may, or used its time."""


@dataclass(frozen=True)
class _Node:
    """A kit on the way: its tools, those left home, its mass, the least time of each job and of the day.

    `reduced` is the mass of its tools beyond what a bound by prices counts already.
    """

    kit: Mask
    out: Mask
    mass: int
    times: Floats
    day: float
    reduced: float


class Enumeration:
    """One case on its way through all kits that can be the lightest."""

    def __init__(self, case: Case, check: _Check, relief: _Lack, *, every: bool, near: int, effort: Effort) -> None:
        """Lay the case out, its tools lightest first.

        Args:
            case: the trip's choice as numbers.
            check: returns the day's work of a kit that keeps every rule, else None.
            relief: tells what a kit that fails the check lacks for want of life, or None.
            every: whether all kits of the least mass are wanted.
            near: a mass that the lightest kit is thought to have [0.01 g]; a good guess saves steps.
            effort: what it may cost; never more than MOST_NODES.
        """
        self.case, self.check, self.relief = case, check, relief
        self.every, self.near, self.effort = every, near, effort
        self.quiet = replace(effort, on_solve=None)
        self.laid = BranchingData(case)
        self.weightless = self.laid.light(0)
        self.limit = sum(self.laid.mass)
        self.found = Enumerated()
        self.nodes_left = min(MOST_NODES, _MOST_LOOKS // max(1, len(case.wood_class)), effort.nodes)
        self.most_tools = len(case.must) + MOST_PICKED
        self.deadline = effort.solve_until
        self.base, self.reduced = 0.0, np.zeros(case.tools)
        self.until_prices = PRICED_NODES

    def run(self) -> Enumerated:
        """Return the lightest kits.

        Raises:
            Cancelled: nobody waits for them.
        """
        root = self.root()
        most = self.limit if self.case.mass_cap is None else min(self.limit, self.case.mass_cap)
        wanted = self.laid.lacks(root.kit)
        least = max(self.laid.least(wanted), self.laid.least_backed(root.kit, ~root.kit & self.laid.light(most)))
        self.limit = min(most, max(1, root.mass + least, self.near))
        try:
            while self.laid.allowed(root.kit):
                before = self.nodes_left
                self.meet(root)
                if self.found.kits or self.limit >= most:
                    break
                self.found.bound = self.limit + 1
                step = LONG_STEP if before - self.nodes_left < FEW_NODES else STEP
                self.limit = min(most, int(max(self.limit * step, self.base)) + 1)
            self.found.complete = True
        except (OutOfNodes, Unfinished):
            self.found.bound = max(self.found.bound, int(self.base))
            self.found.light = self.can_be_light(self.found.mass or self.limit)[self.laid.rank]
        if self.effort.on_solve is not None:
            self.effort.on_solve()
        return self.found

    def meet(self, root: _Node) -> None:
        """Meet all kits within the limit; where that takes long, anew with prices.

        Args:
            root: the kit of the tools that must go.

        Raises:
            OutOfNodes: it met too many.
        """
        try:
            self.descend(self.root() if self.base else root)
        except _Late:
            laid = self.laid
            dual = dual_of(laid.masses, laid.times, laid.day_cap, laid.start, endless=ENDLESS, effort=self.quiet)
            self.base, self.reduced = dual.base, dual.reduced
            self.descend(self.root())

    def can_be_light(self, limit: int) -> Bools:
        """Tell of each tool, lightest first, whether prices leave it in a kit within a limit [0.01 g]."""
        found: Bools = (self.base + self.reduced) * (1 - ROUNDING) <= limit
        found[self.laid.rank[list(self.case.must)]] = True
        return found

    def root(self) -> _Node:
        """Return the kit of the tools that must go."""
        kit = self.laid.of(self.case.must)
        must = list(bits(kit))
        times = np.minimum(self.laid.start, self.laid.times[:, must].min(axis=1, initial=ENDLESS))
        reduced = float(self.reduced[must].sum())
        out = self.laid.packed(~self.can_be_light(self.limit)) if self.base else 0
        return _Node(kit, out, sum(self.laid.mass[tool] for tool in must), times, float(self.laid.day(times)), reduced)

    def descend(self, node: _Node) -> None:
        """Meet a kit and all beyond it that carry nothing left home.

        Raises:
            OutOfNodes: it met too many.
            Late: it met so many that prices have begun to pay.
        """
        self.effort.go_on()
        if not self.nodes_left or node.kit.bit_count() > self.most_tools or self.effort.clock() > self.deadline:
            raise OutOfNodes
        self.nodes_left -= 1
        self.until_prices -= 1
        if not self.until_prices and self.case.work_cap is not None and not self.laid.classes:
            raise _Late
        others = self.laid.light(self.limit - node.mass) & ~node.kit & ~node.out
        wanted = [one & others for one in self.laid.lacks(node.kit)]
        if wanted:
            if node.mass + max(self.laid.least(wanted), self.laid.least_backed(node.kit, others)) <= self.limit:
                self.branch(node, min(wanted, key=int.bit_count))
        elif node.day > self.laid.day_cap:
            self.hasten(node, others)
        else:
            chosen = frozenset(self.laid.order[list(bits(node.kit))].tolist())
            load = self.check(chosen)
            if load is not None:
                self.found.keep(chosen, load, node.mass)
                self.limit = node.mass if self.every else node.mass - 1
                self.branch(node, others & self.weightless if self.every else 0)
            else:
                relief = self.relief(chosen)
                room = self.limit - node.mass
                self.branch(node, others if relief is None else self.laid.relieving(relief, others, room))

    def hasten(self, node: _Node, others: Mask) -> None:
        """Meet the kits beyond one that does everything, but too slowly: one of the tools that are quicker goes.

        Without firewood, what these save adds up to no more than the sum of what each saves alone: so the time still
        missing costs at least the grams of the best savers, the last of them in part. (A saw and a maul may open a
        class of wood together that neither opens alone.)
        """
        tools = self.laid.tools(others)
        tools = tools[(self.laid.times[:, tools] < node.times[:, None]).any(axis=0)]
        quicker = np.zeros(self.case.tools, dtype=bool)
        quicker[tools] = True
        if self.laid.classes or not len(tools):
            self.branch(node, self.laid.packed(quicker))
            return
        saved = node.day - self.laid.day(np.minimum(node.times[:, None], self.laid.times[:, tools]))
        self.branch(node, self.laid.packed(quicker), price=price_of(saved, self.laid.masses[tools]))

    def branch(self, node: _Node, wanted: Mask, *, price: TimePrice | None = None) -> None:
        """Meet the kits beyond one that carry a tool of those wanted, by the lightest of these that they carry.

        Args:
            node: the kit.
            wanted: tools of which one has to go.
            price: what time beyond the work limit still costs at least.
        """
        if not wanted:
            return
        tools = self.laid.tools(wanted)
        times = np.minimum(node.times[:, None], self.laid.times[:, tools])
        days = self.laid.day(times)
        for place in self.in_time(node, tools, times, days, price).nonzero()[0].tolist():
            tool = int(tools[place])
            mass, kit = node.mass + self.laid.mass[tool], node.kit | 1 << tool
            if mass > self.limit:
                return
            if self.laid.allowed(kit):
                before = wanted & (1 << tool) - 1
                reduced = node.reduced + float(self.reduced[tool])
                self.descend(_Node(kit, node.out | before, mass, times[:, place], float(days[place]), reduced))

    def in_time(self, node: _Node, tools: Ints, times: Floats, days: Floats, price: TimePrice | None) -> Bools:
        """Tell of each tool whether it can lead to a light kit with a day within the work limit, by bounds.

        After it, the tools that are light enough to go as well can bring each job to the least of their times.
        """
        if self.case.work_cap is None:
            return np.ones(len(tools), dtype=bool)
        room = self.limit - node.mass
        light = self.laid.tools(self.laid.light(room) & ~node.kit & ~node.out)
        ahead = np.minimum.accumulate(np.minimum(node.times[:, None], self.laid.times[:, light]), axis=1)
        after = np.searchsorted(self.laid.masses[light], room - self.laid.masses[tools], side="right")
        best = np.where(after > 0, np.minimum(times, ahead[:, after - 1]), times)
        fit: Bools = self.laid.day(best) <= self.laid.day_cap
        if self.base:
            fit &= (self.base + node.reduced + self.reduced[tools]) * (1 - ROUNDING) <= self.limit
        if price is not None:
            fit &= self.laid.masses[tools] + price.of(days - self.laid.day_cap) * (1 - ROUNDING) <= room
        return fit
