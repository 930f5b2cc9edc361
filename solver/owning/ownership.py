"""The tools to own: one kit of each trip's list, so that their figures and what is owned come to least, proven.

Prices of tools, a whole number for each trip and tool, split the choice into its trips: a trip's kits are charged for
their tools, and who owns a tool gets back what it is charged. Whatever the prices, the least charges less the most that
may come back is a bound (Lagrangean decomposition: Guignard and Kim 1987, from memory), added up in whole numbers. Kits
and tools that it rules out are dropped; what is left branches on a tool owned or not. All figures are exact: where they
outgrow 64 bits they are Python's own.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any

import numpy as np

from solver.forms.effort import Effort
from solver.model.case import Bools, Ints

_STEPS = 12  # judged: price changes before each branch
_IDLE = 12  # judged: steps without a better bound after which they are halved
_SMALL_STEP = 0.02  # judged: of the first; below it prices have settled


@dataclass(frozen=True)
class KitTable:
    """Kits of all trips, those of one trip after those of the one before, by what each counts.

    One that is not told stands for all those of its trip that are not listed, which count no less.
    """

    tools: Ints  # [K, D], -1 where a kit has fewer
    trip: Ints  # [K]
    figure: Any  # [K], whole numbers of any size
    told: Bools  # [K]

    def keep(self, kits: Bools) -> "KitTable":
        """Return some of the kits."""
        return KitTable(self.tools[kits], self.trip[kits], self.figure[kits], self.told[kits])


@dataclass(frozen=True)
class Owning:
    """What may be owned: what each tool counts, what it costs, and the limits on number and price.

    Attributes:
        figure: of each tool [T], whole numbers of any size.
        price: of each tool [T].
        number: of tools; None = any.
        money: what they may cost together; None = any.
        unit: of which all figures, of kits too, are multiples.
    """

    figure: Any
    price: Ints
    number: int | None
    money: int | None
    unit: int


@dataclass(frozen=True)
class Owned:
    """The tools owned, what they come to, and a bound of it; `ended` tells whether the search came to its end."""

    tools: tuple[int, ...] | None
    value: int | None
    bound: int | None
    ended: bool


@dataclass
class _Node:
    """A part of the choices: tools owned for certain and tools that are not, kits left, and prices."""

    owned: Bools
    barred: Bools
    table: KitTable
    prices: Any  # [E, T + 1], the last of no tool
    bound: int = 0
    branch: int = -1


@dataclass
class _Bound:
    """What prices prove: the bound, each kit above its trip's least, and each undecided tool's own figure."""

    value: int
    over: Any  # [K]
    own: Any  # [T], what owning a tool adds, with what comes back
    taken: Bools  # [T], owned at the bound
    least_charge: Any  # [E], of each trip's kits
    least: Ints  # [E, D], the tools of each trip's kit at the bound
    room: int


@dataclass
class OwningSearch:
    """The search over what is owned.

    Attributes:
        trips: number of trips.
        owning: what may be owned.
        effort: nodes, seconds, and who waits.
        nodes: nodes looked at.
        value: of the best so far.
        best: its tools.
    """

    trips: int
    owning: Owning
    effort: Effort
    nodes: int = 0
    value: int | None = None
    best: tuple[int, ...] | None = None
    deadline: float = field(default=0.0)

    def __post_init__(self) -> None:
        """Start the clock."""
        self.deadline = perf_counter() + self.effort.seconds
        self._numbers = np.arange(self.trips)
        self._tried: set[bytes] = set()

    @property
    def width(self) -> int:
        """Number of tools."""
        return len(self.owning.price)

    def start(self, table: KitTable) -> _Node:
        """Return the node of all choices, without prices."""
        nothing = np.zeros(self.width, dtype=bool)
        prices = np.zeros((self.trips, self.width + 1), dtype=table.figure.dtype)
        return _Node(nothing, nothing.copy(), table, prices)

    def least(self, node: _Node) -> Owned:
        """Return the least choice below a node, better than the best so far.

        Raises:
            Cancelled: nobody waits any more.
        """
        stack = [node]
        while stack:
            if self._spent():
                bound = min(one.bound for one in stack)
                bound = bound if self.value is None else min(bound, self.value)
                return Owned(self.best, self.value, bound, ended=False)
            one = stack.pop()
            stack += self._branches(one, None if self.value is None else self.value - self.owning.unit)
        return Owned(self.best, self.value, self.value, ended=True)

    def first(self, node: _Node, value: int, known: Sequence[int]) -> tuple[int, ...] | None:
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
        self.effort.go_on()
        self.nodes += 1
        return self.nodes > self.effort.nodes or perf_counter() > self.deadline

    def _branches(self, node: _Node, upto: int | None, *, steps: int = _STEPS, by_id: bool = False) -> list[_Node]:
        """Return what is left to look at below a node, what is to be looked at first last.

        Args:
            node: the node.
            upto: only values up to it count; None = all.
            steps: changes of prices.
            by_id: branch on the first tool by id, owned first, and look for no better choice on the way.
        """
        if not self.settle(node, upto):
            return []
        bound = self.priced(node, upto, steps=steps, trying=not by_id)
        if self.value is not None and not by_id:
            upto = self.value - self.owning.unit
        if upto is not None and bound.value > upto:
            return []
        self._drop(node, bound, upto)
        if not self.settle(node, upto):
            return []
        free = ~node.owned & ~node.barred
        if not free.any() or self._room(node) == 0:
            self.offer(node.owned, node.table)
            return []
        tool = int(np.flatnonzero(free)[0]) if by_id else self._tool_of(bound, free)
        without, with_ = self._child(node, tool, owned=False), self._child(node, tool, owned=True)
        return [without, with_]

    def _tool_of(self, bound: _Bound, free: Bools) -> int:
        """Return the tool to branch on: most often in the trips' kits, weighed by what it is charged."""
        charged = np.zeros(self.width + 1)
        np.add.at(charged, bound.least.ravel(), 1.0)
        weight = charged[: self.width] + bound.taken + 1e-9
        return int(np.where(free, weight, -1.0).argmax())

    def _child(self, node: _Node, tool: int, *, owned: bool) -> _Node:
        """Return the node in which a tool is owned, or is not."""
        child = _Node(node.owned.copy(), node.barred.copy(), node.table, node.prices, node.bound)
        (child.owned if owned else child.barred)[tool] = True
        return child

    def _room(self, node: _Node) -> int:
        """Return how many more tools may be owned."""
        free = int((~node.owned & ~node.barred).sum())
        return free if self.owning.number is None else min(free, self.owning.number - int(node.owned.sum()))

    def _money(self, node: _Node) -> int | None:
        """Return what may still be spent."""
        if self.owning.money is None:
            return None
        return self.owning.money - int(self.owning.price[node.owned].sum())

    def settle(self, node: _Node, upto: int | None) -> bool:
        """Drop the kits that do not fit into what may be owned; False where a trip has none, or too much is owned."""
        room, money = self._room(node), self._money(node)
        if room < 0 or (money is not None and money < 0):
            return False
        tools = node.table.tools
        barred = np.append(node.barred, False)[tools]
        new = np.append(~node.owned, False)[tools]
        kept = ~barred.any(axis=1) & (new.sum(axis=1) <= room)
        if money is not None:
            kept &= (np.append(self.owning.price, 0)[tools] * new).sum(axis=1) <= money
        if upto is not None:
            kept &= np.asarray(node.table.figure <= upto, dtype=bool)
        if not kept.all():
            node.table = node.table.keep(kept)
        return bool(np.bincount(node.table.trip, minlength=self.trips).all())

    def bound_of(self, node: _Node, prices: Any) -> _Bound:
        """Return what prices prove of a node."""
        table = node.table
        charged = prices.copy()
        charged[:, :-1][:, node.owned] = 0
        value = table.figure + charged[table.trip[:, None], table.tools].sum(axis=1)
        starts = np.searchsorted(table.trip, self._numbers)
        least = np.minimum.reduceat(value, starts)
        over = value - least[table.trip]
        zero = np.flatnonzero(over == 0)
        first = zero[np.searchsorted(zero, starts)]
        own = self.owning.figure - charged[:, :-1].sum(axis=0)
        free = np.flatnonzero(~node.owned & ~node.barred)
        room = self._room(node)
        order = free[np.argsort(own[free], kind="stable")]
        gains = order[: np.searchsorted(own[order], 0)][:room]
        taken = np.zeros(self.width, dtype=bool)
        taken[gains] = True
        back = int(own[gains].sum()) if len(gains) else 0
        back = max(back, self._affordable(own, order, self._money(node)))
        total = int(least.sum()) + int(self.owning.figure[node.owned].sum()) + back
        return _Bound(total, over, own, taken, least, table.tools[first], room)

    def _affordable(self, own: Any, order: Ints, money: int | None) -> int:
        """Return what no tools within the money can come below, by a price of money (a fraction of whole numbers)."""
        gains = [int(t) for t in order if own[t] < 0]
        cost = {t: int(self.owning.price[t]) for t in gains}
        if money is None or sum(cost.values()) <= money:
            return sum(int(own[t]) for t in gains)
        ranked = sorted((t for t in gains if cost[t]), key=lambda t: int(own[t]) / cost[t])
        left = money
        for tool in ranked:
            left -= cost[tool]
            if left < 0:
                a, b = -int(own[tool]), cost[tool]
                most = sum(max(0, -b * int(own[t]) - a * cost[t]) for t in gains) + a * money
                return -(most // b)
        raise AssertionError

    def priced(self, node: _Node, upto: int | None, *, steps: int, trying: bool) -> _Bound:
        """Return the best bound that some steps of prices find.

        Args:
            node: the node; its prices and bound are set.
            upto: only values up to it count.
            steps: price changes at most.
            trying: whether the choices met on the way are tried.
        """
        prices, best = node.prices, self.bound_of(node, node.prices)
        scale, idle = 1.0, 0
        goal: float | None = None if upto is None else float(upto + 1)
        bound = best
        node.bound = max(node.bound, best.value)
        for step in range(steps):
            bound = self.bound_of(node, prices) if step else best
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
            move = np.rint(scale * max(gap, 1.0) / length * slope)
            prices = prices.copy()
            moved = prices[:, :-1] + (move.astype(np.int64) if prices.dtype != object else _whole(move))
            prices[:, :-1] = np.maximum(moved, 0)
        return best

    def _slope(self, node: _Node, bound: _Bound) -> Any:
        """Return how many more times each trip wants each tool than it is owned, float[E, T]."""
        wanted = np.zeros((self.trips, self.width + 1))
        np.add.at(wanted, (self._numbers[:, None], bound.least), 1.0)
        slope = wanted[:, :-1] - bound.taken
        slope[:, node.owned] = 0.0
        slope[(np.asarray(node.prices[:, :-1] <= 0, dtype=bool)) & (slope < 0)] = 0.0
        return slope

    def _drop(self, node: _Node, bound: _Bound, upto: int | None) -> None:
        """Drop kits and tools that no choice that counts can have, and note tools that each of them has."""
        if upto is None:
            return
        room = upto - bound.value
        kept = np.asarray(bound.over <= room, dtype=bool)
        node.table = node.table.keep(kept)
        free = ~node.owned & ~node.barred
        if self.owning.money is None:
            full = int(bound.taken.sum()) == bound.room
            last = max((int(bound.own[t]) for t in np.flatnonzero(bound.taken)), default=0) if full else 0
            spare = [int(bound.own[t]) for t in np.flatnonzero(free & ~bound.taken)]
            following = min(0, min(spare, default=0))
            for tool in np.flatnonzero(free).tolist():
                own = int(bound.own[tool])
                if bound.taken[tool]:
                    if following - own > room:
                        node.owned[tool] = True
                elif own - last > room:
                    node.barred[tool] = True
        needed = np.zeros(self.width + 1, dtype=bool)
        needed[node.table.tools.ravel()] = True
        node.barred |= ~node.owned & ~needed[:-1]

    def _try(self, node: _Node, bound: _Bound, prices: Any) -> None:
        """Try the tools that the bound owns, and one trip's kit after the other, each with what is owned by then."""
        chosen = node.owned | bound.taken
        if (key := chosen.tobytes()) not in self._tried:
            self._tried.add(key)
            self.offer(chosen, node.table)
            self._deal(node, prices)

    def _deal(self, node: _Node, prices: Any) -> None:
        """Try a kit for each trip, those with few first: the one of least charge for tools not yet owned."""
        table, owned = node.table, np.append(node.owned, True)
        ends = np.searchsorted(table.trip, self._numbers, side="right")
        starts = np.searchsorted(table.trip, self._numbers)
        room, money = self._room(node), self._money(node)
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
