"""Who carries what: tools as whole items, the heaviest share as light as it can be, proven in whole numbers.

The items go to hands one after the other, the heaviest first, to the lightest hand first. A branch is closed where a
hand would come to the best share so far or more, or where what is left can't go into the room that is left below it
(the branching of parallel-machine scheduling with the longest items first; Dell'Amico and Martello 1995, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import accumulate

import numpy as np

from solver.forms.effort import Effort
from solver.model.case import Ints

_LOOKS = 1_000  # judged: steps between two looks at whether the caller has left
_MOST_BY_SETS = 18  # items of which all sets are looked at where branching takes long
_STEPS_BEFORE_SETS = 20_000  # judged: steps of branching that take as long as a look at all sets


@dataclass(frozen=True)
class Shares:
    """The items (indices) of each person, the heaviest share first, and what no way to share them can be below.

    Attributes:
        hands: the items of each person.
        heaviest: mass of the heaviest share, whole units.
        bound: the heaviest share of any way to share them weighs this at least, whole units.
    """

    hands: list[list[int]]
    heaviest: int
    bound: int

    @property
    def proven(self) -> bool:
        """Whether no way to share them has a lighter heaviest share."""
        return self.bound >= self.heaviest


def shares_of(masses: Sequence[int], people: int, *, one_each: Sequence[int] = (), effort: Effort) -> Shares:
    """Return the items of each person, the heaviest share least.

    Args:
        masses: mass of each item, whole units.
        people: people in the party.
        one_each: items (indices) of which each person carries one, no fewer than there are people.
        effort: what the search may cost, in steps; where it runs out the bound is below the heaviest share.
    """
    dealing = _Dealing([int(mass) for mass in masses], people, frozenset(one_each), effort)
    hands = dealing.best_hands()
    heaviest = max((sum(dealing.masses[i] for i in one) for one in hands), default=0)
    ordered = sorted((sorted(one) for one in hands), key=lambda one: (-sum(dealing.masses[i] for i in one), one))
    return Shares(ordered, heaviest, heaviest if dealing.ended else dealing.bound)


def _least_heaviest(masses: Sequence[int], people: int) -> int:
    """Return what the heaviest share weighs at least: an even share, or what the number of items forces.

    Of the k times as many heaviest items as people, and one more, somebody carries k + 1. And where h people carry more
    than k items each and the others k at most, those h carry so many items that they come to this between them, even
    if these are the lightest; h is not known, so the least of it counts.
    """
    down = sorted(masses, reverse=True)
    lightest = [0, *accumulate(reversed(down))]
    least = -(-lightest[-1] // people)
    for k in range(-(-len(down) // people)):
        least = max(least, sum(down[k * people - k : k * people + 1]))
        shares = [
            -(-lightest[max(len(down) - (people - h) * k, h * (k + 1))] // h)
            for h in range(1, min(people, len(down) // (k + 1)) + 1)
        ]
        least = max(least, min(shares, default=0))
    return least


def _sums_from(values: Sequence[int]) -> list[int]:
    """Return at each place the sum of the values from there on, with a 0 at the end."""
    return [*accumulate(reversed(values), initial=0)][::-1]


class _SetPacking:
    """Every set of items with the fewest hands of a capacity that hold it, and the least load of the last of them."""

    def __init__(self, masses: Sequence[int]) -> None:
        self.masses = masses
        sets = np.arange(1 << len(masses))
        size = np.array([int(one).bit_count() for one in sets])
        self.by_size = [sets[size == n] for n in range(len(masses))]

    def within(self, capacity: int, people: int) -> list[list[int]] | None:
        """Return the items in hands of a capacity; None where so many people can't carry them."""
        if max(self.masses) > capacity:
            return None
        each = capacity + 1  # a hand more outweighs any load
        cost = np.full(1 << len(self.masses), np.iinfo(np.int64).max)
        last = np.zeros(len(cost), dtype=np.int64)
        cost[0] = each
        for sets in self.by_size:
            for item, mass in enumerate(self.masses):
                before = sets[(sets >> item & 1) == 0]
                hands, load = cost[before] // each, cost[before] % each
                fits = load + mass <= capacity
                found = np.where(fits, hands * each + load + mass, (hands + 1) * each + mass)
                after = before | 1 << item
                better = found < cost[after]
                cost[after[better]], last[after[better]] = found[better], item
        return self._hands(cost // each, last, people) if cost[-1] // each <= people else None

    def _hands(self, count: Ints, last: Ints, people: int) -> list[list[int]]:
        """Return the items of each hand, walking back from the set of all."""
        hands: list[list[int]] = [[] for _ in range(people)]
        left = len(count) - 1
        while left:
            hand, item = int(count[left]) - 1, int(last[left])
            hands[hand].append(item)
            left ^= 1 << item
        return hands


@dataclass
class _Dealing:
    """A search for the evenest way to deal items out.

    Attributes:
        masses: of each item.
        people: number of hands.
        one_each: items of which every hand must hold one.
        effort: what it may cost.
        ended: whether every branch was closed.
    """

    masses: list[int]
    people: int
    one_each: frozenset[int]
    effort: Effort
    bound: int = field(init=False)
    ended: bool = field(init=False, default=False)
    best: list[list[int]] = field(init=False)
    least: int = field(init=False)
    steps: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        """Begin with the items dealt out in turn."""
        self.bound = _least_heaviest(self.masses, self.people)
        self.best = self.evened(self.in_turn())
        self.least = max(self.loads(self.best), default=0)
        self.order = sorted(range(len(self.masses)), key=lambda i: (-self.masses[i], i))
        self.left = _sums_from([self.masses[i] for i in self.order])
        self.knives_left = _sums_from([int(i in self.one_each) for i in self.order])

    @property
    def most_steps(self) -> int:
        """How many steps the branching may take."""
        by_sets = len(self.masses) <= _MOST_BY_SETS and not self.one_each
        return min(self.effort.nodes, _STEPS_BEFORE_SETS) if by_sets else self.effort.nodes

    def loads(self, hands: Sequence[Sequence[int]]) -> list[int]:
        """Return what each hand carries."""
        return [sum(self.masses[i] for i in hand) for hand in hands]

    def in_turn(self) -> list[list[int]]:
        """Return the items dealt out: first what each carries one of, then heaviest first to whoever carries least."""
        hands: list[list[int]] = [[] for _ in range(self.people)]
        first = sorted(self.one_each, key=lambda i: (self.masses[i], i))[: self.people]
        for hand, item in zip(hands, first, strict=False):
            hand.append(item)
        rest = set(range(len(self.masses))).difference(first)
        for item in sorted(rest, key=lambda i: (-self.masses[i], i)):
            min(hands, key=lambda hand: sum(self.masses[i] for i in hand)).append(item)
        return hands

    def evened(self, hands: list[list[int]]) -> list[list[int]]:
        """Return the items after every exchange between the heaviest hand and another that evens the two."""
        while True:
            loads = self.loads(hands)
            heavy = loads.index(max(loads, default=0)) if loads else 0
            found = [
                (max(loads[heavy] - moved, loads[other] + moved), other, i, j)
                for other in range(len(hands))
                for i in hands[heavy]
                for j in (*hands[other], None)
                if (moved := self.masses[i] - (0 if j is None else self.masses[j])) > 0
                and loads[other] + moved < loads[heavy]
                and self.keeps_one_each(hands[heavy], i, j)
                and (j is None or self.keeps_one_each(hands[other], j, i))
            ]
            if not found:
                return hands
            _, other, i, j = min(found, key=lambda one: (one[0], one[1], one[2], -1 if one[3] is None else one[3]))
            hands[heavy].remove(i)
            hands[other].append(i)
            if j is not None:
                hands[other].remove(j)
                hands[heavy].append(j)

    def keeps_one_each(self, hand: Sequence[int], gives: int, takes: int | None) -> bool:
        """Tell whether a hand still holds one of what each carries one of when it exchanges an item."""
        if not self.one_each:
            return True
        return any(i in self.one_each for i in (*hand, takes) if i not in (gives, None))

    def best_hands(self) -> list[list[int]]:
        """Return the evenest way that was found within the effort."""
        hands: list[list[int]] = [[] for _ in range(self.people)]
        self.ended = self.search(0, [0] * self.people, hands, 0)
        if not self.ended and len(self.masses) <= _MOST_BY_SETS and not self.one_each:
            self.by_sets()
        return self.best

    def by_sets(self) -> None:
        """Find the least heaviest share by halving, from all sets of the items; that ends every branch."""
        packing = _SetPacking(self.masses)
        low, high = self.bound, self.least
        while low < high:
            self.effort.go_on()
            middle = (low + high) // 2
            hands = packing.within(middle, self.people)
            if hands is None:
                low = middle + 1
            else:
                self.best, high = hands, max(self.loads(hands))
        self.least, self.ended = high, True

    def search(self, place: int, loads: list[int], hands: list[list[int]], armed: int) -> bool:
        """Deal the items from a place on; tell whether every branch was closed.

        Args:
            place: of the next item.
            loads: what each hand carries.
            hands: its items.
            armed: hands with one of what each carries one of.
        """
        if self.least <= self.bound:
            return True
        if self.one_each and self.people - armed > self.knives_left[place]:
            return True
        if place == len(self.order):
            self.least, self.best = max(loads), [list(hand) for hand in hands]
            return True
        room = sum(self.least - 1 - load for load in loads if load < self.least)
        if self.left[place] > room:
            return True
        self.steps += 1
        if self.steps > self.most_steps:
            return False
        if self.steps % _LOOKS == 0:
            self.effort.go_on()
        return self.branch(place, loads, hands, armed)

    def branch(self, place: int, loads: list[int], hands: list[list[int]], armed: int) -> bool:
        """Give the item at a place to each hand that differs from those before."""
        item = self.order[place]
        mass, knife = self.masses[item], item in self.one_each
        tried: set[tuple[int, bool]] = set()
        for hand in sorted(range(self.people), key=lambda one: loads[one]):
            had = bool(self.one_each) and not self.one_each.isdisjoint(hands[hand])
            if loads[hand] + mass >= self.least or (loads[hand], had) in tried:
                continue
            tried.add((loads[hand], had))
            loads[hand] += mass
            hands[hand].append(item)
            closed = self.search(place + 1, loads, hands, armed + (knife and not had))
            loads[hand] -= mass
            hands[hand].pop()
            if not closed:
                return False
        return True
