"""The next lightest kits of a case, listed by one search: each without all of what counts of the ones before.

A kit that holds a lighter one is never the next: where what counts of that one is listed, both are out. So a search
that keeps all kits up to a mass, not only the lightest, tells the next ones too.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from solver.forms.effort import Effort
from solver.model.day_work import Workload
from solver.programs.engine import Status
from solver.search.branching_data import BranchingData, Mask
from solver.search.choice import FOR_TREE, MOST_NODES, Choice, Found, Search, choice_of
from solver.search.goal import Lightest, TreeNode
from solver.search.tree import Tree

_AHEAD = 1.05  # judged: how much heavier than the last the next kits are looked for first


class _UpTo(Lightest):
    """The kits up to a mass, which falls to that of the last wanted; of those that hold another only equally heavy."""

    def __init__(self, *, number: int) -> None:
        """Begin with nothing found.

        Args:
            number: kits wanted.
        """
        super().__init__(every=True)
        self.number = number
        self.found: dict[frozenset[int], tuple[int, Workload]] = {}

    def settle(self, node: TreeNode, others: Mask) -> Mask:
        """Keep the kit; beyond it only what weighs nothing counts."""
        kit = self.laid.kit(node.kit)
        load = self.checks.checked(kit)
        if load is None:
            return self.lacking(node, kit, others)
        self.found[kit] = node.mass, load
        self.met.keep(kit, load, node.mass)
        if len(self.found) >= self.number:
            self.limit = min(self.limit, sorted(mass for mass, _ in self.found.values())[self.number - 1])
        return others & self.weightless


@dataclass(frozen=True)
class _Listing:
    """Kits of a case in their order, ties as of any choice; none up to a mass is missing [0.01 g]."""

    choices: list[Choice]
    most: int


_NOTHING_TOLD = _Listing([], -1)


@dataclass(frozen=True)
class KitListings:
    """Of several cases the kits that follow the first, lightest first, as far as one search at a time told them."""

    of: dict[str, _Listing] = field(default_factory=dict)

    def known(self, name: str) -> list[Choice]:
        """Return the kits that were listed of a case, lightest first; none where none was."""
        listing = self.of.get(name, _NOTHING_TOLD)
        return [one for one in listing.choices if one.ids is not None and one.mass <= listing.most]

    def next(
        self, name: str, laid: BranchingData, left: Callable[[Choice], bool], *, number: int, near: int, effort: Effort
    ) -> Choice | None:
        """Return the first kit of a case, without ids where there is none, or None where no search over kits tells it.

        Args:
            name: of the case.
            laid: it as it is by now, laid out: without the kits that hold what counts of one that was listed, and
                reduced for as many sets of tools as that may become.
            left: tells of a kit whether it does not hold that.
            number: kits that may be asked for; they may be fewer.
            near: a mass that no kit is below [0.01 g], as far as is known.
            effort: what it may cost.
        """
        found = _first_left(self.of.get(name, _NOTHING_TOLD), left)
        if found is None:
            self.of[name] = _listing_of(laid, number=number, near=near, effort=effort)
            found = _first_left(self.of[name], left)
        return found


def _first_left(listing: _Listing, left: Callable[[Choice], bool]) -> Choice | None:
    """Return the first kit of a listing that is left, as far as none is missing before it."""
    return next((one for one in listing.choices if one.mass <= listing.most and left(one)), None)


def _listing_of(laid: BranchingData, *, number: int, near: int, effort: Effort) -> _Listing:
    """Return the lightest kits of a case, or a choice without ids where it has none."""
    search, goal = Search(laid.case, effort=effort, solver=None), _UpTo(number=number)
    search.ends_worn = True
    within = effort.portion(FOR_TREE)
    tree = Tree(laid, goal, search, near=int(near * _AHEAD), effort=within, nodes=MOST_NODES)
    if not tree.run():
        return _NOTHING_TOLD
    ordered = sorted(goal.found.items(), key=lambda one: (one[1][0], one[1][1].work, len(one[0]), sorted(one[0])))
    kits = [Found(Status.OPTIMAL, kit, load, (mass,)) for kit, (mass, load) in ordered]
    told = kits or [Found(Status.INFEASIBLE, None, None)]
    return _Listing([choice_of(laid.case, search, one, "mass", prover="enumeration") for one in told], goal.limit)
