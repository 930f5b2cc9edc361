from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from catalog.equipment.tool import MOST_SCORE
from catalog.tables.band import banded
from catalog.tables.ledger import Ledger


@dataclass(frozen=True, slots=True)
class Figure:
    """One number derived from a drawing, with its interval and where it comes from.

    Attributes:
        name: column of the catalog row.
        value: the value before rounding.
        low: lower end of the interval from the bands of the assumptions.
        high: upper end of it.
        unit: unit, empty for a score.
        derivation: the formula in words.
        inputs: what went in, by name with unit.
        assumptions: ids of the assumptions used.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    derivation: str
    inputs: Mapping[str, float]
    assumptions: tuple[str, ...]


def figure(
    name: str,
    formula: Callable[[Ledger], float],
    *,
    derivation: str,
    inputs: Mapping[str, float],
    unit: str = "",
    most: float = math.inf,
) -> Figure:
    """Evaluate a formula with its interval, none of the three above ``most`` or below 0."""
    found = banded(formula)

    def held(value: float) -> float:
        return min(most, max(0.0, value))

    low, high = held(found.low), held(found.high)
    return Figure(name, held(found.value), low, high, unit, derivation, dict(inputs), found.used)


def score_figure(
    name: str, formula: Callable[[Ledger], float], *, derivation: str, inputs: Mapping[str, float]
) -> Figure:
    """A score, held to the range of scores."""
    return figure(name, formula, derivation=derivation, inputs=inputs, most=MOST_SCORE)


def coarse(score: float) -> float:
    """A score in steps of 0.5; below 0.25 it is 0, too slow to be called an ability."""
    return math.floor(2 * score + 1 / 2) / 2
