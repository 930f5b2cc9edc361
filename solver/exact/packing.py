"""Whole items into hands that each hold so much: every way to fill a hand that is worth trying, in whole numbers.

Hands are filled one after the other, the narrowest first (bin completion; Korf 2003, and Fukunaga and Korf 2007, from
memory). A filling is left out where a larger item could take the place of one of its own, or one more would go in:
who could do with that filling could do with the fuller one. Where all hands left hold as much, the heaviest item goes
into the next. What is left is bounded by its sum, by how many hands can hold so many items, and by the items above half
a hand (bound L2 of Martello and Toth 1990, from memory); sets of items that failed once are not tried again.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate

from solver.forms.effort import Unfinished

_TAIL = 8  # judged: the lightest items, whose sets are looked up by their sums
_LOOKS = 1_000  # judged: steps between two looks at whether the caller has left
_MOST_ITEMS = 300  # judged: each is a call within a call, of which there may be a thousand
_MOST_FAILED = 200_000  # judged: sets of items kept in memory


class TooManySteps(Unfinished):
    """A search met more fillings than it may."""


class Packing:
    """Items, the heaviest first, that go into hands; the steps of all its searches are counted together.

    Attributes:
        order: the place of each item among those given.
        masses: of the items, heaviest first.
        steps: fillings begun so far.
    """

    def __init__(self, masses: Sequence[int], one_each: Sequence[int] = (), go_on: Callable[[], None] | None = None):
        """Lay the items out.

        Args:
            masses: mass of each item, whole units.
            one_each: items (places) of which each hand holds one at least.
            go_on: called now and then; it raises where nobody waits any more.
        """
        wanted = frozenset(one_each)
        self.order = sorted(range(len(masses)), key=lambda i: (-masses[i], i in wanted, i))
        self.masses = [int(masses[i]) for i in self.order]
        self.wanted = [i in wanted for i in self.order]
        self.each = any(self.wanted)
        self.go_on = go_on
        self.steps = 0
        self.most_steps = 0

    def within(self, room: Sequence[int], *, most_steps: int) -> list[list[int]] | None:
        """Return the items (places) of each hand; None where they do not go in.

        Args:
            room: what each hand holds, whole units.
            most_steps: fillings that may be begun.

        Raises:
            TooManySteps: more were begun.
        """
        self.most_steps = self.steps + most_steps
        if len(self.masses) > _MOST_ITEMS:
            raise TooManySteps
        hands = sorted(range(len(room)), key=lambda hand: (room[hand], hand))
        filled = _Filling(self, [int(room[hand]) for hand in hands]).run()
        if filled is None:
            return None
        found: list[list[int]] = [[] for _ in room]
        for hand, items in zip(hands, filled, strict=True):
            found[hand] = sorted(self.order[i] for i in items)
        return found

    def step(self) -> None:
        """Count a step.

        Raises:
            TooManySteps: there were too many.
        """
        self.steps += 1
        if self.steps > self.most_steps:
            raise TooManySteps
        if self.go_on is not None and self.steps % _LOOKS == 0:
            self.go_on()


class _Filling:
    """Items on their way into hands of these rooms, narrowest first."""

    def __init__(self, items: Packing, room: list[int]) -> None:
        self.items, self.room = items, room
        self.masses, self.wanted = items.masses, items.wanted
        self.room_from = [*accumulate(reversed(room), initial=0)][::-1]
        self.failed: set[tuple[int, int]] = set()
        self.tails: dict[tuple[int, ...], tuple[list[int], list[int]]] = {}
        self.hands: list[list[int]] = [[] for _ in room]

    def run(self) -> list[list[int]] | None:
        """Return the items of each hand, or None."""
        everything = list(range(len(self.masses)))
        return self.hands if self.fill(0, everything, sum(self.masses)) else None

    def fill(self, hand: int, left: list[int], total: int) -> bool:
        """Tell whether the items left go into the hands from one on; if so they are in `hands`."""
        if hand == len(self.room):
            return not left
        if not left:
            return not self.items.each
        if total > self.room_from[hand] or self.masses[left[0]] > self.room[-1]:
            return False
        hands_left = len(self.room) - hand
        if self.items.each and sum(self.wanted[i] for i in left) < hands_left:
            return False
        if hands_left == 1:
            self.hands[hand] = left
            return True
        known = (hand, sum(1 << i for i in left))
        if known in self.failed or not self.may_fit(hand, left):
            return False
        least = total - self.room_from[hand + 1]
        for taken in self.fillings(hand, left, least):
            chosen = set(taken)
            rest = [i for i in left if i not in chosen]
            if self.fill(hand + 1, rest, total - sum(self.masses[i] for i in taken)):
                self.hands[hand] = taken
                return True
        if len(self.failed) < _MOST_FAILED:
            self.failed.add(known)
        return False

    def may_fit(self, hand: int, left: list[int]) -> bool:
        """Tell whether the items left can go into the hands from one on, by bounds."""
        masses, room = [self.masses[i] for i in left], self.room[hand:]
        return _few_enough(masses, room) and _bins_needed(masses, room[-1]) <= len(room)

    def fillings(self, hand: int, left: list[int], least: int) -> Iterator[list[int]]:
        """Yield the ways to fill a hand with some of the items left, without those that a fuller one stands in for.

        Args:
            hand: the hand.
            left: the items, heaviest first.
            least: what it must hold at least, so that the rest goes into the others.
        """
        room = self.room[hand]
        forced = room == self.room[-1]
        head = left[: max(1 if forced else 0, len(left) - _TAIL)]
        tail = left[len(head) :]
        after = [*accumulate((self.masses[i] for i in reversed(left)), initial=0)][::-1]
        sums, sets = self.sums_of(tail)
        taken: list[int] = []

        def go(place: int, load: int, least: int, skipped: tuple[int, bool] | None) -> Iterator[list[int]]:
            """Yield the fillings that hold what was taken and `least`; `skipped` is the last left out."""
            self.items.step()
            if load + after[place] < least:
                return
            if place == len(head):
                low, high = bisect_left(sums, least - load), bisect_right(sums, room - load)
                for n in range(high - 1, low - 1, -1):
                    self.items.step()
                    both = taken + [item for bit, item in enumerate(tail) if sets[n] >> bit & 1]
                    if self.is_full(left, both, room - load - sums[n]):
                        yield both
                return
            mass, sort = self.masses[left[place]], self.wanted[left[place]]
            if load + mass <= room and (mass, sort) != skipped:
                taken.append(left[place])
                yield from go(place + 1, load + mass, least, None)
                taken.pop()
            if not (forced and place == 0):
                # What is left out must not go in besides, unless another hand needs it; of items alike the first goes.
                fuller = least if sort else max(least, room - mass + 1)
                yield from go(place + 1, load, fuller, (mass, sort))

        yield from go(0, 0, least, None)

    def sums_of(self, tail: list[int]) -> tuple[list[int], list[int]]:
        """Return the sums of all sets of some items in order, with the sets."""
        key = tuple(tail)
        if key not in self.tails:
            both = [(0, 0)]
            for bit, item in enumerate(tail):
                both += [(mass + self.masses[item], one | 1 << bit) for mass, one in both]
            both.sort()
            self.tails[key] = [mass for mass, _ in both], [one for _, one in both]
        return self.tails[key]

    def is_full(self, left: list[int], taken: list[int], spare: int) -> bool:
        """Tell whether a filling holds what it must, and no other stands in for it.

        An item that is left out goes in instead of a lighter one of its sort, or of one as heavy that comes later, if
        there is room; or besides, if other hands need it not.
        """
        wanted = self.wanted
        if self.items.each and not any(wanted[i] for i in taken):
            return False
        skipped = [-1, -1]
        chosen = set(taken)
        for i in left:
            sort, mass = wanted[i], self.masses[i]
            if i not in chosen:
                if not sort and mass <= spare:
                    return False
                skipped[sort] = mass
            elif skipped[sort] >= 0 and skipped[sort] - mass <= spare:
                return False
        return True


def may_go_in(masses: Sequence[int], room: Sequence[int]) -> bool:
    """Tell whether items can go into hands, by bounds that need no search: False is sure, True is not."""
    down, up = sorted(map(int, masses), reverse=True), sorted(map(int, room))
    if not down:
        return True
    if not up or down[0] > up[-1] or sum(down) > sum(up):
        return False
    return _few_enough(down, up) and _bins_needed(down, up[-1]) <= len(up)


def _few_enough(masses: Sequence[int], room: Sequence[int]) -> bool:
    """Tell whether so many items can go into hands, by how many hands can hold q of them, for every q.

    h hands with q items each hold h q items: no less than the lightest, and no more than the widest hands.

    Args:
        masses: of the items, heaviest first.
        room: of the hands, narrowest first.
    """
    count = len(masses)
    lightest = [0, *accumulate(reversed(masses))]
    widest = [0, *accumulate(reversed(room))]
    held, q = 0, 1
    while q <= count:
        hands = 0
        while hands < len(room) and (hands + 1) * q <= count and lightest[(hands + 1) * q] <= widest[hands + 1]:
            hands += 1
        if not hands:
            break
        held += hands
        q += 1
    return held >= count


def _bins_needed(masses: Sequence[int], room: int) -> int:
    """Return how many hands of one room the items need at least (bound L2 of Martello and Toth 1990, from memory).

    Args:
        masses: of the items, heaviest first; none is above the room.
        room: of every hand.
    """
    before = [0, *accumulate(masses)]
    down = [-mass for mass in masses]
    above_half = bisect_left(down, -(room // 2))  # items above half the room: no two in one hand
    best = above_half
    for threshold in sorted({mass for mass in masses[above_half:] if mass}):
        alone = min(above_half, bisect_left(down, -(room - threshold)))  # above room - threshold: nothing goes with it
        small = bisect_right(down, -threshold)
        free = (above_half - alone) * room - (before[above_half] - before[alone])
        over = before[small] - before[above_half] - free
        best = max(best, above_half + (-(-over // room) if over > 0 else 0))
    return best
