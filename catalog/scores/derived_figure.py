from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.scores.posterior import WeightedPart
from catalog.tables.band import banded
from catalog.tables.ledger import Ledger


@dataclass(frozen=True, slots=True)
class Figure:
    """One number derived from a drawing, with its interval and where it comes from.

    Attributes:
        name: column of the catalog row.
        value: the median, never rounded.
        low: lower end of its log-normal interval, value over the factor of high.
        high: upper end of it; both are 0 where the value is.
        unit: unit, empty for a score.
        derivation: the formula in words.
        inputs: what went in, by name with unit.
        assumptions: ids of the assumptions used.
        physical: the median by physics alone; the value over it is what the typical drawings of the classes teach.
        parts: what the figure is made of: of a drawing the drawn part alone, none where the value is 0.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    derivation: str
    inputs: Mapping[str, float]
    assumptions: tuple[str, ...]
    physical: float
    parts: tuple[WeightedPart, ...]


@dataclass(frozen=True, slots=True)
class Derivation:
    """How a figure comes from a drawing, before it is reckoned.

    Attributes:
        name: column of the catalog row.
        formula: the figure by the assumptions in force: a median, in the unit below; 0 where the drawing can't.
        words: the formula in words.
        inputs: what went in, by name with unit.
        unit: unit, empty for a score.
    """

    name: str
    formula: Callable[[Ledger[Any]], Any]
    words: str
    inputs: Mapping[str, float]
    unit: str = ""

    def figure(self, *, intervals: bool = True) -> Figure:
        """Evaluate it by physics alone, with the interval that the bands of its assumptions give it, or with none."""
        found = banded(self.formula, intervals=intervals)
        return Figure(
            name=self.name,
            value=found.value,
            low=found.low,
            high=found.high,
            unit=self.unit,
            derivation=self.words,
            inputs=dict(self.inputs),
            assumptions=found.used,
            physical=found.value,
            parts=(),
        )
