"""The measures that a search moves, as shares of what their ranges and the measures that tie them leave open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from catalog.bench.design_measure import tie_order, tied_ends
from catalog.tables.number import Floats


@dataclass(frozen=True)
class SearchRange:
    """A measure by its field, and where it may lie."""

    field: str
    low: float
    high: float

    def share(self, value: float) -> float:
        """Return where in its range a value lies, 0 to 1."""
        return 0.0 if self.high <= self.low else min(1.0, max(0.0, (value - self.low) / (self.high - self.low)))

    def value(self, share: float) -> float:
        """Return the value at a share of the range."""
        return self.low + min(1.0, max(0.0, share)) * (self.high - self.low)


@dataclass(frozen=True)
class MeasureSpace:
    """Measures as shares, 0 to 1, each of its range as far as the measures that tie it leave that open.

    So every share moves its measure: at 1 a tip is as thick as the spine, whatever that is.

    Attributes:
        ranges: the measures that move.
        form: the design as plain data, for measures that tie others and do not move.
        fixed: measures that stand at values of their own, by field.
    """

    ranges: Sequence[SearchRange]
    form: Mapping[str, Any]
    fixed: Mapping[str, float] = field(default_factory=dict)

    def point(self, shares: Sequence[float] | Floats) -> dict[str, float]:
        """Return the measures at shares, by field, with those that are fixed."""
        found = dict(self.fixed)
        for place, one in self._ordered:
            found[one.field] = self._open(one, found).value(float(shares[place]))
        return {one.field: found[one.field] for one in self.ranges} | dict(self.fixed)

    def shares(self, values: Mapping[str, float]) -> Floats:
        """Return the shares of measures, float[M]."""
        known = {**values, **self.fixed}
        return np.array([self._open(one, known).share(known[one.field]) for one in self.ranges])

    @cached_property
    def _ordered(self) -> list[tuple[int, SearchRange]]:
        """The measures with their places, each behind those that tie it."""
        places = {one.field: place for place, one in enumerate(self.ranges)}
        fields = tie_order(places, self.form["drawing"]["form"])
        return [(places[name], self.ranges[places[name]]) for name in fields]

    def _open(self, one: SearchRange, values: Mapping[str, float]) -> SearchRange:
        """Return the part of a range that the measures that tie it leave open."""
        least, most = tied_ends(one.field, values, self.form)
        low = min(max(one.low, least), max(one.high, least))
        return SearchRange(one.field, low, max(low, min(one.high, most)))
