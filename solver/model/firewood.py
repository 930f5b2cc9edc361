"""Firewood of a day by class: how much is wanted, what is within reach, and what a day of it can spend of tools."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Floats, Ints
from solver.forms.quantity import GRAMS_PER_KG


@dataclass(frozen=True)
class Firewood:
    """Grams by class: how many are wanted a day, and what is within reach; gathering per kilogram."""

    demand_g: int
    reach_g: Ints  # [C]
    gather: Ints  # [C], ms per kg
    gather_kcal: Ints  # [C], millionths of a kcal per kg

    def grams_cap(self, wood_class: int) -> int:
        """Return the most grams a day that a class can give."""
        return min(int(self.reach_g[wood_class]), self.demand_g)

    def most_spent(self, per_kg: Ints, classes: Sequence[int]) -> Floats:
        """Return the most that tools can spend of each part's life on firewood; grams that wear it most come first.

        Args:
            per_kg: the most that they wear by class, of those that are worked, int[K, parts, T].
            classes: these.
        """
        order = (-per_kg).argsort(axis=0, kind="stable")
        reach = np.array([self.grams_cap(c) for c in classes])[order]
        taken = np.clip(self.demand_g - (reach.cumsum(axis=0) - reach), 0, reach)
        spent: Floats = (taken / GRAMS_PER_KG * np.take_along_axis(per_kg, order, axis=0)).sum(axis=0)
        return spent
