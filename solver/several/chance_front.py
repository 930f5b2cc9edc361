"""The kits of a question about weights of cases: those that serve more than any no heavier."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import numpy as np

from catalog.tables.number import Bools, Ints

# how cases are served: by the rules between tools; whatever these are; at least where a quick look leaves it open
Served = Literal["ruled", "surely", "roughly"]


@dataclass(frozen=True)
class ChanceKit:
    """A kit by its tools in the case laid out, its mass [0.01 g], and the weight that it serves."""

    kit: frozenset[int]
    mass: int
    weight: int


@dataclass(frozen=True)
class Sufficing:
    """A kit with its mass [0.01 g] and the cases (indices) in which it suffices; ids None = no kit."""

    ids: tuple[str, ...] | None
    mass: int
    scenarios: tuple[int, ...]
    probability: Fraction


@dataclass(frozen=True)
class Likely:
    """Every step, the first that reaches the probability asked for, and the next kits that do.

    `whole` and `others_whole` tell whether all were sought; `checked` whether whole numbers prove them.
    """

    steps: list[Sufficing]
    best: Sufficing
    others: list[Sufficing]
    whole: bool
    others_whole: bool
    checked: bool


NO_KIT = Sufficing(None, 0, (), Fraction(0))


class ChanceFront:
    """Kits that serve more than any no heavier, of a question about weights from a least to one that is enough."""

    def __init__(self, least: int, enough: int) -> None:
        """Begin with none."""
        self.least, self.enough = least, enough
        self.floor = 0  # all that is lighter was met
        self.kits: list[ChanceKit] = []
        self._lay_out()

    def _lay_out(self) -> None:
        """Lay masses and weights out, the weight below the least one first."""
        self.masses = np.array([-1, *(one.mass for one in self.kits)], dtype=np.int64)
        weights = [self.least - 1, *(one.weight for one in self.kits)]
        self.weights = np.array(weights, dtype=np.int64 if weights[-1] < 2**62 else object)

    @property
    def most(self) -> int | None:
        """The mass from which on nothing counts, None while it is not known [0.01 g]."""
        return next((one.mass for one in self.kits if one.weight >= self.enough), None)

    def wants(self, masses: Ints, weights: Ints) -> Bools:
        """Tell where kits no lighter than a mass that serve no more than a weight may count."""
        masses = np.maximum(masses, self.floor)
        place = np.searchsorted(self.masses, masses, side="right") - 1
        best = self.weights[place]
        return np.asarray((weights > best) & ((best < self.enough) | (self.masses[place] == masses)), dtype=bool)

    def wanted(self, mass: int, weight: int) -> bool:
        """Tell it of one."""
        mass = max(mass, self.floor)
        no_heavier = bisect_right(self.kits, mass, key=lambda one: one.mass)
        if not no_heavier:
            return weight >= self.least
        best = self.kits[no_heavier - 1]
        return weight > best.weight and (best.weight < self.enough or best.mass == mass)

    def take(self, found: ChanceKit) -> None:
        """Take up a kit that counts."""
        kept = [one for one in self.kits if one.mass < found.mass or one.weight > found.weight]
        self.kits = sorted([*kept, found], key=lambda one: one.mass)
        if (most := self.most) is not None:
            self.kits = [one for one in self.kits if one.mass <= most]
        self._lay_out()

    def up_to(self, mass: int) -> list[ChanceKit]:
        """Return those up to a mass."""
        return [one for one in self.kits if one.mass <= mass]


def rising(found: Sequence[Sufficing]) -> list[Sufficing]:
    """Return the kits that suffice with a greater probability than any no heavier, the lightest first."""
    steps = list[Sufficing]()
    for one in sorted(found, key=lambda one: (one.mass, -one.probability)):
        if not steps or one.probability > steps[-1].probability:
            steps.append(one)
    return steps
