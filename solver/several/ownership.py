"""The tools to own: one kit of each trip's list, so that their figures and what is owned come to least, proven.

Prices of tools, a whole number for each trip and tool, split the choice into its trips: a trip's kits are charged for
their tools, and who owns a tool gets back what it is charged. Whatever the prices, the least charges less the most that
may come back is a bound (Lagrangean decomposition: Guignard and Kim 1987, from memory), added up in whole numbers. Kits
and tools that it rules out are dropped; what is left branches on a tool owned or not. All figures are exact: where they
outgrow 64 bits they are Python's own.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort
from solver.several.owning_node import KitTable, Owning, OwningBound, OwningNode
from solver.several.owning_relaxation import relaxation_of

_STEPS = 12  # judged: price changes before each branch
_IDLE = 12  # judged: steps without a better bound after which they are halved
_OWNED = 0.5  # judged: tools of which a relaxation owns more are tried
_SMALL_STEP = 0.02  # judged: of the first; below it prices have settled


@dataclass(frozen=True)
class OwningEnd:
    """The tools owned, what they come to, and a bound of it; `ended` tells whether the search came to its end."""

    tools: tuple[int, ...] | None
    value: int | None
    bound: int | None
    ended: bool


@dataclass
class OwningSearch:
    """The search over what is owned.

    Attributes:
        trips: number of trips.
        owning: what may be owned.
        ceiling: more than any choice comes to; no price need be above it.
        effort: nodes, seconds, and who waits.
        nodes: nodes looked at.
        value: of the best so far.
        best: its tools.
    """

    trips: int
    owning: Owning
    ceiling: int
    effort: Effort
    nodes: int = 0
    value: int | None = None
    best: tuple[int, ...] | None = None
    deadline: float = field(default=0.0)

    def __post_init__(self) -> None:
        """Start the clock."""
        self.deadline = self.effort.solve_until
        self._numbers = np.arange(self.trips)
        self._tried: set[bytes] = set()

    @property
    def width(self) -> int:
        """Number of tools."""
        return len(self.owning.price)

    def start(self, table: KitTable) -> OwningNode:
        """Return the node of all choices, without prices."""
        nothing = np.zeros(self.width, dtype=bool)
        prices = np.zeros((self.trips, self.width + 1), dtype=table.figure.dtype)
        return OwningNode(self.owning, nothing, nothing.copy(), table, prices)

    def propose(self, node: OwningNode) -> Bools | None:
        """Set the prices of a node to those of its relaxation, and try what that owns.

        Returns:
            The kits that the relaxation uses; None where it proposes nothing.
        """
        seconds = self.deadline - self.effort.clock()
        found = relaxation_of(node.table, self.owning, trips=self.trips, seconds=seconds)
        if found is None:
            return None
        prices = np.minimum(np.rint(found.prices), float(self.ceiling))
        node.prices = node.prices.copy()
        node.prices[:, :-1] = prices.astype(np.int64) if node.prices.dtype != object else _whole(prices)
        self.offer(found.owned > _OWNED, node.table)
        return found.used

    def least(self, node: OwningNode) -> OwningEnd:
        """Return the least choice below a node, better than the best so far.

        Raises:
            Cancelled: nobody waits any more.
        """
        stack = [node]
        while stack:
            if self._spent():
                bound = min(one.bound for one in stack)
                bound = bound if self.value is None else min(bound, self.value)
                return OwningEnd(self.best, self.value, bound, ended=False)
            one = stack.pop()
            stack += self._branches(one, None if self.value is None else self.value - self.owning.unit)
        return OwningEnd(self.best, self.value, self.value, ended=True)

    def first(self, node: OwningNode, value: int, known: Sequence[int]) -> tuple[int, ...] | None:
        """Return the first choice by its tools of a value that is least; None where the effort ended before.

        Args:
            node: all choices.
            value: the least.
            known: a choice of that value.

        Raises:
            Cancelled: nobody waits any more.
        """
        stack = [node]
        mine = np.isin(np.arange(self.width), np.array(known, dtype=np.int64))
        while stack and not self._spent():
            one = stack.pop()
            self.best, self.value = None, None
            ahead = not (one.owned & ~mine).any() and not (one.barred & mine).any()
            stack += self._branches(one, value, steps=1 if ahead else _STEPS, by_id=True)
            if self.best is not None and self.value == value:
                return self.best
        return None

    def _spent(self) -> bool:
        """Count a node, and tell whether the effort has ended."""
        self.effort.heed()
        self.nodes += 1
        return self.nodes > self.effort.nodes or self.effort.clock() > self.deadline

    def _branches(
        self, node: OwningNode, upto: int | None, *, steps: int = _STEPS, by_id: bool = False
    ) -> list[OwningNode]:
        """Return what is left to look at below a node, what is to be looked at first last.

        Args:
            node: the node.
            upto: only values up to it count; None = all.
            steps: changes of prices.
            by_id: branch on the first tool by id, owned first, and look for no better choice on the way.
        """
        if not node.settle(upto):
            return []
        bound = self.priced(node, upto, steps=steps, trying=not by_id)
        if self.value is not None and not by_id:
            upto = self.value - self.owning.unit
        if upto is not None and bound.value > upto:
            return []
        node.drop(bound, upto)
        if not node.settle(upto):
            return []
        free = ~node.owned & ~node.barred
        if not free.any() or node.room == 0:
            self.offer(node.owned, node.table)
            return []
        tool = int(np.flatnonzero(free)[0]) if by_id else self._tool_of(bound, free)
        without, with_ = node.child(tool, owned=False), node.child(tool, owned=True)
        return [without, with_]

    def _tool_of(self, bound: OwningBound, free: Bools) -> int:
        """Return the tool to branch on: most often in the trips' kits, weighed by what it is charged."""
        charged = np.zeros(self.width + 1)
        np.add.at(charged, bound.least.ravel(), 1.0)
        weight = charged[: self.width] + bound.taken + 1e-9
        return int(np.where(free, weight, -1.0).argmax())

    def priced(self, node: OwningNode, upto: int | None, *, steps: int, trying: bool) -> OwningBound:
        """Return the best bound that some steps of prices find.

        Args:
            node: the node; its prices and bound are set.
            upto: only values up to it count.
            steps: price changes at most.
            trying: whether the choices met on the way are tried.
        """
        prices, best = node.prices, node.proves(node.prices)
        scale, idle = 1.0, 0
        goal: float | None = None if upto is None else float(upto + 1)
        bound = best
        node.bound = max(node.bound, best.value)
        for step in range(steps):
            bound = node.proves(prices) if step else best
            if bound.value > best.value:
                best, node.prices, idle = bound, prices, 0
                node.bound = max(node.bound, bound.value)
            else:
                idle += 1
            if upto is not None and bound.value > upto:
                break
            if idle >= _IDLE:
                scale, idle, prices, bound = scale / 2, 0, node.prices, best
            if scale < _SMALL_STEP:
                break
            if trying:
                self._try(node, bound, prices)
                if self.value is not None:
                    upto = self.value - self.owning.unit
                    goal = float(self.value)
            slope = self._slope(node, bound)
            length = float((slope * slope).sum())
            if not length:
                break
            gap = (goal if goal is not None else 1.1 * abs(float(best.value)) + 1) - float(bound.value)
            move = np.clip(np.rint(scale * max(gap, 1.0) / length * slope), -self.ceiling, self.ceiling)
            prices = prices.copy()
            moved = prices[:, :-1] + (move.astype(np.int64) if prices.dtype != object else _whole(move))
            prices[:, :-1] = np.clip(moved, 0, self.ceiling)
        return best

    def _slope(self, node: OwningNode, bound: OwningBound) -> Any:
        """Return how many more times each trip wants each tool than it is owned, float[E, T]."""
        wanted = np.zeros((self.trips, self.width + 1))
        np.add.at(wanted, (self._numbers[:, None], bound.least), 1.0)
        slope = wanted[:, :-1] - bound.taken
        slope[:, node.owned] = 0.0
        slope[(np.asarray(node.prices[:, :-1] <= 0, dtype=bool)) & (slope < 0)] = 0.0
        return slope

    def _try(self, node: OwningNode, bound: OwningBound, prices: Any) -> None:
        """Try the tools that the bound owns, and one trip's kit after the other, each with what is owned by then."""
        chosen = node.owned | bound.taken
        if (key := chosen.tobytes()) not in self._tried:
            self._tried.add(key)
            self.offer(chosen, node.table)
            self._deal(node, prices)

    def _deal(self, node: OwningNode, prices: Any) -> None:
        """Try a kit for each trip, those with few first: the one of least charge for tools not yet owned."""
        table, owned = node.table, np.append(node.owned, True)
        ends = np.searchsorted(table.trip, self._numbers, side="right")
        starts = np.searchsorted(table.trip, self._numbers)
        room, money = node.room, node.money
        cost = np.append(self.owning.price, 0)
        for trip in np.argsort(ends - starts, kind="stable").tolist():
            kits = slice(starts[trip], ends[trip])
            tools = table.tools[kits]
            new = ~owned[tools]
            fits = (new.sum(axis=1) <= room) & table.told[kits]
            if money is not None:
                fits &= (cost[tools] * new).sum(axis=1) <= money
            fitting = np.flatnonzero(fits)
            if not len(fitting):
                return
            charge = table.figure[kits][fitting] + (prices[trip][tools[fitting]] * new[fitting]).sum(axis=1)
            pick = tools[fitting[int(charge.argmin())]]
            room -= int((~owned[pick]).sum())
            money = None if money is None else money - int(cost[pick][~owned[pick]].sum())
            owned[pick] = True
        self.offer(owned[:-1], table)

    def offer(self, chosen: Bools, table: KitTable) -> None:
        """Take the tools of a choice that the trips use, if they come to less than the best so far."""
        kits = self.kits_of(chosen, table)
        if kits is None:
            return
        used = np.zeros(self.width + 1, dtype=bool)
        used[table.tools[kits].ravel()] = True
        tools = np.flatnonzero(used[:-1])
        if self.owning.number is not None and len(tools) > self.owning.number:
            return
        if self.owning.money is not None and int(self.owning.price[tools].sum()) > self.owning.money:
            return
        value = int(table.figure[kits].sum()) + int(self.owning.figure[tools].sum())
        if self.value is None or value < self.value:
            self.value, self.best = value, tuple(tools.tolist())

    def kits_of(self, chosen: Bools, table: KitTable) -> Ints | None:
        """Return the lightest kit of each trip out of chosen tools; None where a trip has none."""
        fits = np.flatnonzero(np.append(chosen, True)[table.tools].all(axis=1) & table.told)
        trips = table.trip[fits]
        at = np.searchsorted(trips, self._numbers)
        return fits[at] if len(fits) and at[-1] < len(fits) and (trips[at] == self._numbers).all() else None

    def improve(self, table: KitTable) -> None:
        """Change one tool of the best choice for another as long as that makes it better."""
        while self.best is not None:
            before = self.value
            for chosen in list(self._changed(self.best, table)):
                self.offer(chosen, table)
            if self.value == before:
                return

    def _changed(self, best: Sequence[int], table: KitTable) -> Iterator[Bools]:
        """Yield choices that have one more tool, or one tool in the place of another: the best for each tool left."""
        full = self.owning.number is not None and len(best) >= self.owning.number
        for gone in best if full else [None, *best]:
            base = np.zeros(self.width, dtype=bool)
            base[[t for t in best if t != gone]] = True
            new = np.append(~base, False)[table.tools]
            missing = new.sum(axis=1)
            near = np.flatnonzero((missing <= 1) & table.told)
            worst = float(np.max(table.figure, initial=0)) * 4 + 1
            by_tool = np.full((self.trips, self.width + 1), worst)
            tool = np.where(missing[near] == 1, (np.where(new, table.tools, -1)).max(axis=1)[near], self.width)
            np.minimum.at(by_tool, (table.trip[near], tool), np.asarray(table.figure[near], dtype=float))
            total = np.minimum(by_tool[:, :-1], by_tool[:, -1:]).sum(axis=0)
            total[base] = np.inf
            if gone is not None:
                total[gone] = np.inf
            pick = int(total.argmin())
            base[pick] = True
            yield base


def _whole(move: Any) -> Any:
    """Return whole floats of any size as Python's whole numbers."""
    return np.array([[int(one) for one in row] for row in move], dtype=object)
