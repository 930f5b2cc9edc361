"""What a tree search looks for: which kits still count, and when all are found."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.limit import GRAMS
from solver.model.case import Case
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
    """A kit on the way: its tools, those left home, its mass, and the least time of each job and of the day.

    `reduced` is what its tools weigh beyond what a bound by prices counts already.
    """

    kit: Mask
    out: Mask
    mass: int
    times: Floats  # [1, J]
    days: Floats  # [1]
    reduced: int = 0


class TreeGoal:
    """What is sought; this one is what goals have in common."""

    laid: BranchingData
    checks: Checks
    limit = 0  # no heavier kit counts now [0.01 g]
    settled = False  # whether no heavier kit counts at all
    looks = 0  # at jobs, in all nodes, if they are bounded
    step, long_step = 1.1, 1.25  # judged: how much more mass is allowed next, after a long search and a short one

    def begin(self, laid: BranchingData, checks: Checks) -> None:
        """Take up the case."""
        self.laid, self.checks = laid, checks

    def day_cap(self, _node: TreeNode) -> Floats:
        """Return the longest day that counts for kits no lighter than a node, float[1]."""
        return self.laid.day_cap

    def day_caps(self, node: TreeNode, _masses: Ints) -> Floats:
        """Return the longest days that count for kits no lighter than some masses, float[1, K] or [1, 1]."""
        return self.day_cap(node)[:, None]

    def counts(self, _node: TreeNode) -> bool:
        """Tell whether anything beyond a kit can count."""
        return True

    def settle(self, node: TreeNode, others: Mask) -> Mask:
        """Take up a kit that does everything in time, as far as bounds tell.

        Returns:
            The tools of which a kit beyond it needs one to count; none where no kit beyond it counts.
        """
        raise NotImplementedError

    def lacking(self, node: TreeNode, kit: frozenset[int], others: Mask) -> Mask:
        """Return the tools of which a kit that fails the check needs one more."""
        relief = self.checks.relief(kit)
        return others if relief is None else self.laid.relieving(relief, others, self.limit - node.mass)


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
    """The lightest kits: all of them, or any one."""

    looks = 48_000  # judged: wide covers leave the sooner for the program

    def __init__(self, *, every: bool) -> None:
        """Begin with nothing found.

        Args:
            every: whether all kits of the least mass are wanted.
        """
        self.every = every
        self.met = Met()

    def begin(self, laid: BranchingData, checks: Checks) -> None:
        """Take up the case."""
        super().begin(laid, checks)
        self.weightless = laid.light(0)

    @property
    def settled(self) -> bool:  # type: ignore[override]
        """Whether a kit is found: what is lighter was met before."""
        return self.met.mass is not None

    def settle(self, node: TreeNode, others: Mask) -> Mask:
        """Keep the kit where it is as light as any; beyond it only what weighs nothing counts then."""
        kit = self.laid.kit(node.kit)
        load = self.checks.checked(kit)
        if load is None:
            return self.lacking(node, kit, others)
        self.met.keep(kit, load, node.mass)
        self.limit = node.mass if self.every else node.mass - 1
        return others & self.weightless if self.every else 0


def lightened(case: Case, mass: int, light: Bools, met: Met) -> tuple[Case, Met]:
    """Return the case of the kits up to a mass, of the tools that can be in them, and what was met in its terms."""
    kept = np.flatnonzero(light)
    place = {int(old): new for new, old in enumerate(kept)}
    kits = [(frozenset(place[tool] for tool in kit), load) for kit, load in met.kits]
    return case.capped(GRAMS.field, mass).keep(kept), replace(met, kits=kits)
