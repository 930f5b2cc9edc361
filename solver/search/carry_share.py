"""Who carries what: tools as whole items, the heaviest share as light as it can be, proven in whole numbers.

The heaviest share is bounded from both sides: from above by a dealing that was found, from below by shares so light
that the items do not go into them (`solver.exact.packing`). Between the two is halved, with few steps at first, then
with more (in the manner of iterative weakening for multi-way number partitioning; Schreiber, Korf and Moffitt 2018,
from memory). Where each person carries so much at most, the rule is kept, and of the ways that keep it the heaviest
share is the lightest. Last, pairs of shares are evened by exchanges, which no proof goes with.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver.exact.packing import Packing, TooManySteps, may_go_in
from solver.forms.effort import Effort

_FIRST_STEPS, _MORE_STEPS = 1_000, 4  # judged: of one look between the bounds, and how many times as many next
_HUNDREDTH, _PATIENCE = 100, 10  # judged: while the bounds are a hundredth apart, a node may be so many steps
_MOST_EXCHANGES = 1_000_000  # judged: looked at; far above what evens 40 items


@dataclass(frozen=True)
class Shares:
    """The items (indices) of each person, and what no way to share them can be below.

    Attributes:
        hands: the items of each person, the heaviest share first, or in the order of what each may carry.
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


def shares_of(
    masses: Sequence[int],
    people: int,
    *,
    one_each: Sequence[int] = (),
    at_most: Sequence[int] = (),
    effort: Effort,
) -> Shares:
    """Return the items of each person, the heaviest share least.

    Args:
        masses: mass of each item, whole units.
        people: people in the party.
        one_each: items (indices) of which each person carries one, no fewer than there are people.
        at_most: what each person carries at most, whole units, where that is limited; some way keeps it.
        effort: what the search may cost, in steps; where it runs out the bound is below the heaviest share.

    Raises:
        TooManySteps: no way to keep what each carries at most was found within the effort.
        Cancelled: nobody waits for it.
    """
    return _Dealing([int(mass) for mass in masses], people, frozenset(one_each), list(at_most), effort).shares()


class _Dealing:
    """A search for the evenest way to deal items out."""

    def __init__(
        self, masses: list[int], people: int, one_each: frozenset[int], at_most: list[int], effort: Effort
    ) -> None:
        """Begin with the items dealt out in turn.

        Args:
            masses: of each item.
            people: number of hands.
            one_each: items of which every hand must hold one.
            at_most: what each hand holds at most; empty where that is not limited.
            effort: what it may cost.
        """
        self.masses, self.people, self.one_each, self.effort = masses, people, one_each, effort
        self.limited = bool(at_most)
        self.at_most = at_most or [sum(masses)] * people
        self.deadline = effort.solve_until
        self.items = Packing(masses, sorted(one_each), self.go_on)
        self.exchanges_left = _MOST_EXCHANGES
        self.best = self.first_hands()
        self.high = max(self.loads(self.best), default=0)
        self.low = self.least_heaviest()

    def go_on(self) -> None:
        """Go on unless nobody waits, or the time is over.

        Raises:
            TooManySteps: it is.
            Cancelled: it was cancelled.
        """
        self.effort.heed()
        if self.effort.clock() > self.deadline:
            raise TooManySteps

    def shares(self) -> Shares:
        """Return the evenest way that was found within the effort."""
        steps = _FIRST_STEPS
        self.try_at(self.low, min(steps, self.effort.nodes))
        while self.low < self.high and self.steps_left and self.effort.clock() <= self.deadline:
            self.halve(steps)
            steps *= _MORE_STEPS
        while self.apart and self.try_at(_HUNDREDTH * self.high // (_HUNDREDTH + 1), self.patient_steps) is not None:
            pass
        hands = [sorted(hand) for hand in self.evened(self.best)]
        if not self.limited:
            hands.sort(key=lambda hand: (-self.load(hand), hand))
        return Shares(hands, self.high, self.low)

    @property
    def steps_left(self) -> int:
        """How many steps all looks between the bounds may take yet."""
        return max(0, self.effort.nodes - self.items.steps)

    @property
    def patient_steps(self) -> int:
        """How many steps may be taken yet to bring the bounds within a hundredth."""
        return max(0, self.effort.nodes * _PATIENCE - self.items.steps)

    @property
    def apart(self) -> bool:
        """Whether the bounds are more than a hundredth apart."""
        return _HUNDREDTH * (self.high - self.low) > self.low

    def halve(self, steps: int) -> None:
        """Halve what lies between the bounds: first above what a look leaves open, then below it.

        Args:
            steps: of each look.
        """
        low, high, open_from = self.low, self.high, None
        while low < high and self.steps_left:
            middle = (low + high) // 2
            fits = self.try_at(middle, min(steps, self.steps_left))
            if fits is None and open_from is None:
                open_from = middle
            low, high = (middle + 1, high) if not fits else (low, self.high)
        low, high = self.low, self.high if open_from is None else open_from
        while low < high and self.steps_left:
            middle = (low + high) // 2
            fits = self.try_at(middle, min(steps, self.steps_left))
            low, high = (middle + 1, high) if fits is False else (low, middle)

    def try_at(self, heaviest: int, steps: int) -> bool | None:
        """Tell whether no share need be above this, and move a bound; None where the steps do not tell."""
        if heaviest >= self.high:
            return True
        try:
            hands = self.items.within(self.rooms(heaviest), most_steps=steps)
        except TooManySteps:
            return None
        if hands is None:
            self.low = max(self.low, heaviest + 1)
            return False
        self.best = hands
        self.high = max(self.loads(hands), default=0)
        return True

    def rooms(self, heaviest: int) -> list[int]:
        """Return what each hand holds where no share is above this."""
        return [min(most, heaviest) for most in self.at_most]

    def least_heaviest(self) -> int:
        """Return what the heaviest share weighs at least, by bounds that need no search."""
        low, high = max(self.masses, default=0), self.high
        while low < high:
            middle = (low + high) // 2
            low, high = (low, middle) if may_go_in(self.masses, self.rooms(middle)) else (middle + 1, high)
        return low

    def load(self, hand: Sequence[int]) -> int:
        """Return what a hand carries."""
        return sum(self.masses[i] for i in hand)

    def loads(self, hands: Sequence[Sequence[int]]) -> list[int]:
        """Return what each hand carries."""
        return [self.load(hand) for hand in hands]

    def first_hands(self) -> list[list[int]]:
        """Return the items dealt out in turn and evened, or where that does not keep the limits, as they go in.

        Raises:
            TooManySteps: no way to keep them was found.
        """
        dealt = self.in_turn()
        if dealt is None:
            dealt = self.items.within(self.at_most, most_steps=self.effort.nodes)
            if dealt is None:
                raise ValueError("what each carries at most leaves no way to share the items")
        return self.evened(dealt)

    def in_turn(self) -> list[list[int]] | None:
        """Return the items dealt out: first what each carries one of, then heaviest first to whoever carries least.

        None where somebody would carry too much.
        """
        hands: list[list[int]] = [[] for _ in range(self.people)]
        loads = [0] * self.people
        first = sorted(self.one_each, key=lambda i: (self.masses[i], i))[: self.people]
        widest = sorted(range(self.people), key=lambda hand: self.at_most[hand])
        for hand, item in zip(widest, first, strict=False):
            hands[hand].append(item)
            loads[hand] += self.masses[item]
        if any(load > most for load, most in zip(loads, self.at_most, strict=True)):
            return None
        rest = set(range(len(self.masses))).difference(first)
        for item in sorted(rest, key=lambda i: (-self.masses[i], i)):
            mass = self.masses[item]
            free = [hand for hand in range(self.people) if loads[hand] + mass <= self.at_most[hand]]
            if not free:
                return None
            hand = min(free, key=lambda one: loads[one])
            hands[hand].append(item)
            loads[hand] += mass
        return hands

    def evened(self, hands: list[list[int]]) -> list[list[int]]:
        """Return the items after every exchange between two hands that evens these, the heaviest hands first."""
        hands = [list(hand) for hand in hands]
        loads = self.loads(hands)
        while self.exchanges_left > 0:
            self.effort.heed()
            down = sorted(range(self.people), key=lambda hand: (-loads[hand], hand))
            found = next((best for heavy in down if (best := self.best_exchange(hands, loads, heavy))), None)
            if found is None:
                break
            _, heavy, other, i, j = found
            hands[heavy].remove(i)
            hands[other].append(i)
            if j >= 0:
                hands[other].remove(j)
                hands[heavy].append(j)
            moved = self.masses[i] - (self.masses[j] if j >= 0 else 0)
            loads[heavy] -= moved
            loads[other] += moved
        return hands

    def best_exchange(
        self, hands: list[list[int]], loads: list[int], heavy: int
    ) -> tuple[int, int, int, int, int] | None:
        """Return the exchange that leaves a hand and another the least: that, both, and the items (-1: none back)."""
        return min(self.exchanges(hands, loads, heavy), default=None)

    def exchanges(
        self, hands: list[list[int]], loads: list[int], heavy: int
    ) -> Iterator[tuple[int, int, int, int, int]]:
        """Yield the exchanges of a hand with a lighter one after which the heavier of the two is lighter."""
        for other in range(self.people):
            gap = min(loads[heavy] - loads[other], self.at_most[other] - loads[other] + 1)
            if gap <= 0:
                continue
            self.exchanges_left -= len(hands[heavy]) * (1 + len(hands[other]))
            for i in hands[heavy]:
                for j in (-1, *hands[other]):
                    moved = self.masses[i] - (self.masses[j] if j >= 0 else 0)
                    if 0 < moved < gap and self.keeps_one_each(hands, heavy, other, i, j):
                        yield max(loads[heavy] - moved, loads[other] + moved), heavy, other, i, j

    def keeps_one_each(self, hands: list[list[int]], heavy: int, other: int, i: int, j: int) -> bool:
        """Tell whether two hands still hold one of what each carries one of when they exchange items."""
        if not self.one_each or (i in self.one_each) == (j in self.one_each):
            return True
        gives, item = (heavy, i) if i in self.one_each else (other, j)
        return any(one in self.one_each for one in hands[gives] if one != item)
