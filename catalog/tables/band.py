"""A figure with the interval that the bands of its assumptions give it."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from catalog.tables.assumption import assumed, assumptions
from catalog.tables.ledger import Ledger


@dataclass(frozen=True, slots=True)
class _Banded:
    """A computed value with its interval and the ids of the assumptions it used."""

    value: float
    low: float
    high: float
    used: tuple[str, ...]


class _End(Ledger):
    """A ledger for an end of a band: what is as given keeps the table's value."""

    def as_given(self, name: str) -> float:
        return assumed(name)


def banded(formula: Callable[[Ledger], float]) -> _Banded:
    """Evaluate a formula, then move each assumption it used to both ends of its band.

    The changes downwards and upwards are each added in quadrature, as for independent causes.
    Source: root-sum-square combination, the usual rule for independent errors.
    """
    seen = _End()
    value = formula(seen)
    down = up = 0.0
    for name in sorted(seen.used):
        row = assumptions()[name]
        changes = [formula(_End({name: end})) - value for end in (row.low, row.high)]
        down += min(0.0, *changes) ** 2
        up += max(0.0, *changes) ** 2
    return _Banded(value, value - math.sqrt(down), value + math.sqrt(up), tuple(sorted(seen.used)))
