"""Random axes with a weight for each case, and what every kit of them tells: steps, lightest at a weight, next kits."""

from collections.abc import Sequence

import numpy as np
from case_axis import EveryKit
from idle_kits import has_idle_tool

from solver.model.case import Case

Figures = tuple[int, int]  # mass and weight


class EveryKitOfAxis:
    """All sets of tools of an axis: the mass of each, the cases that it serves, and their weight."""

    def __init__(self, cases: Sequence[Case], weights: Sequence[int], assumed: Case | None = None) -> None:
        """Try them all; with what tools do as assumed, kits with one that is idle then serve nothing."""
        self.spaces = [EveryKit(case) for case in cases]
        self.served = np.array([space.keeps for space in self.spaces])
        self.mass = self.spaces[0].mass
        self.ids = [self.spaces[0].ids(kit) for kit in range(len(self.mass))]
        if assumed is not None:
            self.served[:, [has_idle_tool(assumed, ids) for ids in self.ids]] = False
        self.weight = np.array(weights) @ self.served

    def steps(self) -> list[Figures]:
        """Every mass and weight that no kit no heavier reaches more than."""
        found: list[Figures] = []
        for mass in sorted({*self.mass.tolist()}):
            most = int(self.weight[self.mass <= mass].max())
            if most > (found[-1][1] if found else 0):
                found.append((mass, most))
        return found

    def lightest(
        self, quota: int, listed: Sequence[tuple[str, ...]] = (), cutting: frozenset[str] = frozenset()
    ) -> Figures | None:
        """The lightest kit that reaches a weight, of several the one that serves most, without kits listed before.

        Args:
            quota: the weight.
            listed: kits; another holds one of them where it holds all its cutting tools, or no cutting tool either.
            cutting: cutting tools.
        """
        kits = [
            kit
            for kit in np.flatnonzero(self.weight >= quota)
            if not any(self._holds(kit, one, cutting) for one in listed)
        ]
        return min(((int(self.mass[kit]), -int(self.weight[kit])) for kit in kits), default=None)

    def _holds(self, kit: int, listed: tuple[str, ...], cutting: frozenset[str]) -> bool:
        mine, theirs = cutting & {*self.ids[kit]}, cutting & {*listed}
        return theirs <= mine if theirs else not mine
