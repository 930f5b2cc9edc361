"""What time costs in grams: bounds from the tools that would save it."""

from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Bools, Floats, Ints

ROUNDING = 1e-9  # share by which a sum of times may be off


@dataclass(frozen=True)
class TimePrice:
    """The least grams that buy time: time saved [ms, or days] and mass [0.01 g] of the best savers together."""

    saved: Floats
    mass: Floats

    def of(self, missing: Floats) -> Floats:
        """Return what missing times cost at least [0.01 g], without end where all savers together save less."""
        cost: Floats = np.interp(missing * (1 - ROUNDING), self.saved, self.mass, left=0.0, right=np.inf)
        return cost


def price_of(saved: Floats, mass: Ints) -> TimePrice:
    """Return the price of time from what each of some tools saves at most, alone or beside others, and their masses."""
    best = np.argsort(mass / saved)
    return TimePrice(np.append(0.0, saved[best].cumsum()), np.append(0.0, mass[best].cumsum()))


@dataclass(frozen=True)
class WearShortfall:
    """What a kit lacks that wear rules out: days of the work limit too many, and the most that each tool takes off."""

    excess: float
    saved: Floats  # [T], 0 for tools that are no relief

    def fits(self, tools: Ints, mass: Ints, room: int) -> Bools:
        """Tell of each of the tools that could go too whether it can lead to enough relief within a mass [0.01 g].

        Args:
            tools: those that could go too.
            mass: of each of them.
            room: the mass that is left.
        """
        saved = np.minimum(self.saved[tools], self.excess)
        able = saved > 0
        if not able.any():
            return able
        rest = np.maximum(self.excess - saved, 0.0)
        fit: Bools = able & (mass + price_of(saved[able], mass[able]).of(rest) * (1 - ROUNDING) <= room)
        return fit
