"""A part of the choices of what to own, and what prices of tools prove of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from catalog.tables.number import Bools, Ints


@dataclass(frozen=True)
class KitTable:
    """Kits of all trips, those of one trip after those of the one before, by what each counts.

    One that is not told stands for all those of its trip that are not listed, which count no less.
    """

    tools: Ints  # [K, D], -1 where a kit has fewer
    trip: Ints  # [K]
    figure: Any  # [K], whole numbers of any size
    told: Bools  # [K]

    @classmethod
    def of(cls, kits: Sequence[Ints], trip: Sequence[int], figure: Any, told: Sequence[bool]) -> "KitTable":
        """Return kits with their trips, in order, the least of each trip first."""
        sizes, of_trip = np.array([len(kit) for kit in kits], dtype=np.int64), np.array(trip, dtype=np.int64)
        array = np.full((len(kits), max(1, int(sizes.max(initial=0)))), -1, dtype=np.int64)
        if len(kits):
            array[np.arange(array.shape[1]) < sizes[:, None]] = np.concatenate(kits)
        order = figure.argsort(kind="stable")
        order = order[of_trip[order].argsort(kind="stable")]
        return cls(array[order], of_trip[order], figure[order], np.array(told)[order])

    def keep(self, kits: Bools) -> "KitTable":
        """Return some of the kits."""
        return KitTable(self.tools[kits], self.trip[kits], self.figure[kits], self.told[kits])


def sums_of(figures: Any, kits: Sequence[Ints]) -> Any:
    """Return what figures of tools, whole numbers of any size, add up to in each of some kits [K]."""
    ends = np.cumsum([0, *map(len, kits)])
    tools = np.concatenate(kits) if kits else np.zeros(0, dtype=np.int64)
    total = np.append(np.zeros(1, dtype=figures.dtype), figures[tools].cumsum())
    return total[ends[1:]] - total[ends[:-1]]


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


@dataclass
class OwningBound:
    """What prices prove: the bound, each kit above its trip's least, and each undecided tool's own figure."""

    value: int
    over: Any  # [K]
    own: Any  # [T], what owning a tool adds, with what comes back
    taken: Bools  # [T], owned at the bound
    least_charge: Any  # [E], of each trip's kits
    least: Ints  # [E, D], the tools of each trip's kit at the bound
    room: int


@dataclass
class OwningNode:
    """A part of the choices: tools owned for certain and tools that are not, kits left, and prices."""

    owning: Owning
    owned: Bools
    barred: Bools
    table: KitTable
    prices: Any  # [E, T + 1], the last of no tool
    bound: int = 0

    def child(self, tool: int, *, owned: bool) -> "OwningNode":
        """Return the node in which a tool is owned, or is not."""
        child = OwningNode(self.owning, self.owned.copy(), self.barred.copy(), self.table, self.prices, self.bound)
        (child.owned if owned else child.barred)[tool] = True
        return child

    @property
    def room(self) -> int:
        """Return how many more tools may be owned."""
        free = int((~self.owned & ~self.barred).sum())
        return free if self.owning.number is None else min(free, self.owning.number - int(self.owned.sum()))

    @property
    def money(self) -> int | None:
        """Return what may still be spent."""
        if self.owning.money is None:
            return None
        return self.owning.money - int(self.owning.price[self.owned].sum())

    def settle(self, upto: int | None) -> bool:
        """Drop the kits that do not fit into what may be owned; False where a trip has none, or too much is owned."""
        room, money = self.room, self.money
        if room < 0 or (money is not None and money < 0):
            return False
        tools = self.table.tools
        barred = np.append(self.barred, False)[tools]
        new = np.append(~self.owned, False)[tools]
        kept = ~barred.any(axis=1) & (new.sum(axis=1) <= room)
        if money is not None:
            kept &= (np.append(self.owning.price, 0)[tools] * new).sum(axis=1) <= money
        if upto is not None:
            kept &= np.asarray(self.table.figure <= upto, dtype=bool)
        if not kept.all():
            self.table = self.table.keep(kept)
        return bool(np.bincount(self.table.trip, minlength=len(self.prices)).all())

    def proves(self, prices: Any) -> OwningBound:
        """Return what prices prove of this part of the choices."""
        table = self.table
        charged = prices.copy()
        charged[:, :-1][:, self.owned] = 0
        value = table.figure + charged[table.trip[:, None], table.tools].sum(axis=1)
        starts = np.searchsorted(table.trip, np.arange(len(self.prices)))
        least = np.minimum.reduceat(value, starts)
        over = value - least[table.trip]
        zero = np.flatnonzero(over == 0)
        first = zero[np.searchsorted(zero, starts)]
        own = self.owning.figure - charged[:, :-1].sum(axis=0)
        free = np.flatnonzero(~self.owned & ~self.barred)
        room = self.room
        order = free[np.argsort(own[free], kind="stable")]
        gains = order[: np.searchsorted(own[order], 0)][:room]
        taken = np.zeros(len(self.owned), dtype=bool)
        taken[gains] = True
        back = int(own[gains].sum()) if len(gains) else 0
        if (money := self.money) is not None:
            back = max(back, self._affordable(own, order, money))
        total = int(least.sum()) + int(self.owning.figure[self.owned].sum()) + back
        return OwningBound(total, over, own, taken, least, table.tools[first], room)

    def _affordable(self, own: Any, order: Ints, money: int) -> int:
        """Return what no tools within the money can come below, by a price of money (a fraction of whole numbers)."""
        gains = [int(t) for t in order if own[t] < 0]
        cost = {t: int(self.owning.price[t]) for t in gains}
        if sum(cost.values()) <= money:
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

    def drop(self, bound: OwningBound, upto: int | None) -> None:
        """Drop kits and tools that no choice that counts can have, and note tools that each of them has."""
        if upto is None:
            return
        room = upto - bound.value
        kept = np.asarray(bound.over <= room, dtype=bool)
        self.table = self.table.keep(kept)
        free = ~self.owned & ~self.barred
        if self.owning.money is None:
            full = int(bound.taken.sum()) == bound.room
            last = max((int(bound.own[t]) for t in np.flatnonzero(bound.taken)), default=0) if full else 0
            spare = [int(bound.own[t]) for t in np.flatnonzero(free & ~bound.taken)]
            following = min(0, min(spare, default=0))
            for tool in np.flatnonzero(free).tolist():
                own = int(bound.own[tool])
                if bound.taken[tool]:
                    if following - own > room:
                        self.owned[tool] = True
                elif own - last > room:
                    self.barred[tool] = True
        needed = np.zeros(len(self.owned) + 1, dtype=bool)
        needed[self.table.tools.ravel()] = True
        self.barred |= ~self.owned & ~needed[:-1]
