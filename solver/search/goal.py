"""What a tree search looks for: which kits still count, and when all are found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.model.day_work import Workload
from solver.model.time_price import WearShortfall
from solver.search.branching_data import BranchingData, Mask


class Checks(Protocol):
    """What tells of a kit whether it keeps every rule of a case."""

    def checked(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of a kit that keeps every rule, else None."""

    def relief(self, kit: frozenset[int]) -> WearShortfall | None:
        """Return what a kit that fails the check lacks for want of life, or None."""


@dataclass(slots=True, eq=False)  # not frozen: a frozen one takes three times as long to make
class TreeNode:
    """A kit on the way: its tools, those left home, its mass, and the cases for which kits beyond it can count.

    `cases` is None where all are left. Of each case the least time of each job and of the day. `reduced` is what
    its tools weigh beyond what a bound by prices counts already; `served` is what a goal counts as reached by the kit
    in cases that have left since.
    """

    kit: Mask
    out: Mask
    mass: int
    cases: Ints | None
    times: Floats  # [E, J]
    days: Floats  # [E]
    reduced: int = 0
    served: int = 0

    def of(self, stay: Bools) -> TreeNode:
        """Return the same kit for some of its cases."""
        if stay.all():
            return self
        cases = np.flatnonzero(stay) if self.cases is None else self.cases[stay]
        return TreeNode(
            self.kit, self.out, self.mass, cases, self.times[stay], self.days[stay], self.reduced, self.served
        )

    def places(self, stay: Bools) -> list[int]:
        """Return some of its cases by their places along the axis."""
        found: list[int] = (np.flatnonzero(stay) if self.cases is None else self.cases[stay]).tolist()
        return found


class TreeGoal:
    """What is sought; this one is what goals have in common."""

    laid: BranchingData
    checks: Sequence[Checks]
    limit = 0  # no heavier kit counts now [0.01 g]
    settled = False  # whether no heavier kit counts at all
    looks = 0  # at jobs, in all nodes, if they are bounded
    step, long_step = 1.1, 1.25  # judged: how much more mass is allowed next, after a long search and a short one

    def begin(self, laid: BranchingData, checks: Sequence[Checks]) -> None:
        """Take up the cases."""
        self.laid, self.checks = laid, checks

    def allow(self, limit: int) -> None:
        """Let kits up to a mass count [0.01 g]."""
        self.limit = limit

    def rooms(self, node: TreeNode) -> Any:
        """Return the most that tools beyond a kit may add [0.01 g]: int[E], or one for all."""
        return self.limit - node.mass

    def day_cap(self, node: TreeNode) -> Floats:
        """Return the longest day that counts in each case for kits no lighter than a node, float[E]."""
        return self.laid.day_cap if node.cases is None else self.laid.day_cap[node.cases]

    def day_caps(self, node: TreeNode, _masses: Ints) -> Floats:
        """Return the longest days that count for kits no lighter than some masses, float[E, K] or [E, 1]."""
        return self.day_cap(node)[:, None]

    def counts(self, _node: TreeNode) -> bool:
        """Tell whether anything beyond a kit can count."""
        return True

    def promising(self, _node: TreeNode, _masses: Ints, fit: Bools) -> Bools:
        """Tell of kits of one tool more which can count, where bounds let them in some cases, bool[E, K]."""
        return np.asarray(fit.any(axis=0)) if len(fit) > 1 else fit[0]

    def settle(self, node: TreeNode, ready: Bools, others: Mask) -> tuple[int, list[Mask | None]]:
        """Take up a kit that does everything in time, as far as bounds tell, in some of its cases.

        Returns:
            What it has served with that; and for each of these cases the tools of which a kit beyond it needs one to
            count there, or None where the case has left.
        """
        raise NotImplementedError

    def chosen(self, _node: TreeNode, wanted: Sequence[Mask]) -> Mask:
        """Return tools of which every kit beyond needs one to count, from those that it needs in each case."""
        found = 0
        for one in wanted:
            found |= one
        return found

    def lacking(self, node: TreeNode, case: int, kit: frozenset[int], others: Mask) -> Mask:
        """Return the tools of which a kit that fails the check of a case needs one more."""
        relief = self.checks[case].relief(kit)
        return others if relief is None else self.laid.relieving(relief, others, int(np.max(self.rooms(node))))


@dataclass
class Met:
    """What was found in a case: the lightest kits with their work, and their mass [0.01 g]."""

    kits: list[tuple[frozenset[int], Workload]] = field(default_factory=list)
    mass: int | None = None

    def keep(self, kit: frozenset[int], load: Workload, mass: int) -> None:
        """Keep a kit that is as light as any so far."""
        if self.mass is None or mass < self.mass:
            self.kits, self.mass = [], mass
        if all(kit != one for one, _ in self.kits):
            self.kits.append((kit, load))


class Lightest(TreeGoal):
    """The lightest kits of each case: all of them, or any one."""

    looks = 48_000  # judged: wide covers leave the sooner for the program

    def __init__(self, *, every: bool) -> None:
        """Begin with nothing found.

        Args:
            every: whether all kits of the least mass are wanted.
        """
        self.every = every

    def begin(self, laid: BranchingData, checks: Sequence[Checks]) -> None:
        """Take up the cases."""
        super().begin(laid, checks)
        whole = sum(laid.mass)
        caps = [whole if case.mass_cap is None else min(case.mass_cap, whole) for case in laid.cases]
        self.most = np.array(caps, dtype=np.int64)  # [E]
        self.limits = self.most.copy()  # [E]
        self.found = [Met() for _ in caps]
        self.ended = np.zeros(len(caps), dtype=bool)
        self.kept = np.zeros(len(caps), dtype=bool)  # those with a kit
        self.some = False  # whether any has one
        self.least = min(caps)  # below it no case is at its end for its limit
        self.weightless = laid.light(0)

    def allow(self, limit: int) -> None:
        """Let kits up to a mass count in the cases that have none yet."""
        self.limits = np.minimum(self.most, limit)
        self.limit = int(self.limits.max())

    @property
    def settled(self) -> bool:  # type: ignore[override]
        """Whether each case has its kits, or can have none."""
        if not self.some and self.limit < self.least:
            return False
        self.ended |= self.kept | (self.limits >= self.most)
        self.most[self.ended] = -1  # so that nothing more is let in there
        return bool(self.ended.all())

    def rooms(self, node: TreeNode) -> Any:
        """Return the most that tools beyond a kit may add [0.01 g]: int[E], or one for all."""
        if not self.laid.several:
            return self.limit - node.mass
        return (self.limits if node.cases is None else self.limits[node.cases]) - node.mass

    def settle(self, node: TreeNode, ready: Bools, others: Mask) -> tuple[int, list[Mask | None]]:
        """Keep the kit where it is as light as any; beyond it only what weighs nothing counts then."""
        kit, beyond = self.laid.kit(node.kit), list[Mask | None]()
        for case in node.places(ready):
            load = self.checks[case].checked(kit)
            if load is None:
                beyond.append(self.lacking(node, case, kit, others))
                continue
            self.found[case].keep(kit, load, node.mass)
            self.kept[case] = self.some = True
            self.limits[case] = node.mass if self.every else node.mass - 1
            beyond.append((others & self.weightless) or None if self.every else None)
        self.limit = int(self.limits.max())
        return 0, beyond
