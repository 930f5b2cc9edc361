"""What each member of the party may carry: a rule that the tools of a kit can be dealt out so that all keep it.

More tools only break it, but for one thing: where each member carries a knife, a lighter knife more may mend it.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from solver.exact.packing import Packing, TooManySteps, may_go_in

_MOST_STEPS = 100_000  # judged: beyond it nothing is said of a kit
_FEW_STEPS = 2_000  # judged: enough for a look that only saves time
_PARTS = 4  # judged: rows by the number of tools above a half, a third and a fourth of what a member carries


@dataclass(frozen=True)
class Members:
    """What the members of a party carry at most, whole 0.01 g, in the order of the trip."""

    at_most: tuple[int, ...]

    def can_carry(self, masses: Sequence[int], *, one_each: Sequence[int] = (), more: int = 0) -> bool:
        """Tell whether tools can be dealt out so that no member carries too much.

        Args:
            masses: of the tools, whole 0.01 g.
            one_each: tools (places) of which each member carries one.
            more: by how much each may carry more than `at_most`.

        Raises:
            TooManySteps: it was not settled within the steps that one kit may cost.
        """
        room = [most + more for most in self.at_most]
        if not may_go_in(masses, room):
            return False
        if not one_each and _dealt_in_turn(masses, room):
            return True
        return Packing(masses, one_each).within(room, most_steps=_MOST_STEPS) is not None

    def may_carry(self, masses: Sequence[int], *, more: int) -> bool:
        """Tell whether members may carry tools, and more besides: False is sure, True is not."""
        room = [most + more for most in self.at_most]
        if not may_go_in(masses, room):
            return False
        try:
            return _dealt_in_turn(masses, room) or Packing(masses).within(room, most_steps=_FEW_STEPS) is not None
        except TooManySteps:
            return True

    def least_more(self, masses: Sequence[int], *, one_each: Sequence[int] = ()) -> int:
        """Return by how much each must be able to carry more, at least, so that tools can be dealt out.

        Raises:
            TooManySteps: it was not settled within the steps.
        """
        enough = sum(masses)
        return bisect_left(range(enough), True, key=lambda more: self.can_carry(masses, one_each=one_each, more=more))

    def enough_more(self, masses: Sequence[int], *, one_each: Sequence[int] = ()) -> int:
        """Return by how much it is enough that each can carry more, found by dealing in turn: not always the least."""
        apart = sorted((masses[place] for place in one_each), reverse=True)[-len(self.at_most) :]
        others = [masses[place] for place in range(len(masses)) if place not in one_each]
        others += sorted((masses[place] for place in one_each), reverse=True)[: -len(self.at_most)]

        def does(more: int) -> bool:
            room = sorted((most + more for most in self.at_most), reverse=True)
            for place, mass in enumerate(apart):
                room[place] -= mass
            return min(room) >= 0 and _dealt_in_turn(others, room)

        return bisect_left(range(sum(masses)), True, key=does)

    def too_many(self, masses: Sequence[int], *, more: int) -> list[int]:
        """Return tools (places) of some that can't be dealt out that can't be by themselves, as few as going by mass.

        Args:
            masses: of tools that can't be dealt out, whatever knives each is to carry.
            more: by how much each may carry more.
        """
        kept = list(range(len(masses)))
        for place in sorted(kept, key=lambda one: masses[one]):
            fewer = [one for one in kept if one != place]
            if not self.may_carry([masses[one] for one in fewer], more=more):
                kept = fewer
        return kept

    def sums(self, masses: Sequence[int], *, more: int) -> list[tuple[list[int], int]]:
        """Return what tools must keep between them: those above what some carry go to the others, mass by mass.

        Args:
            masses: of the tools that may go.
            more: by how much each may carry more.

        Returns:
            Tools (places), and what they may weigh together.
        """
        room = [most + more for most in self.at_most]
        found = [(list(range(len(masses))), sum(room))]
        for least in sorted(set(room)):
            above = [place for place, mass in enumerate(masses) if mass > least]
            if above:
                found.append((above, sum(one for one in room if one > least)))
        return found

    def counts(self, masses: Sequence[int], *, more: int) -> list[tuple[list[int], int]]:
        """Return how many of the heavy tools can go at most: a member carries only so many above a part of their most.

        Args:
            masses: of the tools that may go.
            more: by how much each may carry more.

        Returns:
            Tools (places), and how many of them may go.
        """
        room = [most + more for most in self.at_most]
        found = {}
        for part in range(1, _PARTS + 1):
            for least in {one // part + 1 for one in room}:
                heavy = [place for place, mass in enumerate(masses) if mass >= least]
                most = sum(one // least for one in room)
                if len(heavy) > most:
                    found[least] = (heavy, most)
        return [found[least] for least in sorted(found)]


def _dealt_in_turn(masses: Sequence[int], room: Sequence[int]) -> bool:
    """Tell whether tools go in, the heaviest first, each to who has the least room that holds it."""
    free = sorted(room)
    for mass in sorted(masses, reverse=True):
        place = bisect_left(free, mass)
        if place == len(free):
            return False
        left = free.pop(place) - mass
        free.insert(bisect_left(free, left), left)
    return True
