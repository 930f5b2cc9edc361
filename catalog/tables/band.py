"""A positive figure with the log-normal interval that the bands of its assumptions give it."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from catalog.tables.assumption import assumed, assumptions
from catalog.tables.ledger import Ledger
from catalog.tables.number import Floats

# judged: the most that one assumption may widen an interval by, as where a figure is 0 at an end of its band
_MOST_FACTOR = 10.0


@dataclass(frozen=True, slots=True)
class _Banded:
    """A computed median with its interval and the ids of the assumptions it used."""

    value: float
    low: float
    high: float
    used: tuple[str, ...]


class _End(Ledger[Any]):
    """A ledger for the ends of bands: what is as given keeps the table's value."""

    def as_given(self, name: str) -> Any:
        return assumed(name)


def banded(formula: Callable[[Ledger[Any]], Any], *, intervals: bool = True) -> _Banded:
    """Evaluate a formula, then move each assumption it used to both ends of its band.

    Half of the change of the logarithm between both ends counts for each, added in quadrature as for independent
    causes; the interval reaches as far up as down by its factor. A figure that is 0 has no width.
    Without intervals the value alone is evaluated, in a third of the time.
    Source: root-sum-square combination, the usual rule for independent errors.
    """
    seen = _End()
    value = max(0.0, float(formula(seen)))
    used = tuple(sorted(seen.used))
    if value == 0 or not used or not intervals:
        return _Banded(value, value, value, used)
    ends = _at_ends(formula, used) / value
    logs = np.log(np.clip(ends, 1 / _MOST_FACTOR, _MOST_FACTOR))
    # derived: half the distance of two ends, a value between them or not
    halves = (np.maximum(logs.max(axis=1), 0.0) - np.minimum(logs.min(axis=1), 0.0)) / 2
    factor = math.exp(math.sqrt(float(np.sum(halves**2))))
    return _Banded(value, value / factor, value * factor, used)


def _at_ends(formula: Callable[[Ledger[Any]], Any], used: tuple[str, ...]) -> Floats:
    """Return what a formula comes to with each assumption at both ends of its band, a row for each."""
    usual = np.array([assumptions()[name].value for name in used])
    moved = {}
    for place, name in enumerate(used):
        draws = np.full((len(used), 2), usual[place])
        draws[place] = assumptions()[name].low, assumptions()[name].high
        moved[name] = draws
    found: Floats = np.broadcast_to(formula(_End(moved)), (len(used), 2))
    return found
