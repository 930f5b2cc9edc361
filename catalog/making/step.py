"""One step of making a batch: what it takes of a material, a machine or somebody's time."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from catalog.making.making_cost import CostLine, LineKind
from catalog.making.making_figure import FiguresInForce

# Unit factor: h
_MIN_PER_H = 60.0
# judged: the finest quantity of a bill
_SIX_DECIMALS = Decimal(1).scaleb(-6)


@dataclass(frozen=True, slots=True)
class Step:
    """A line of the maker's list for a whole batch; quantity times price of a unit is its amount.

    `learnt`: whether a piece takes less of it in a larger batch, as hands learn.
    """

    name: str
    kind: LineKind
    quantity: float
    unit: str
    unit_price: float
    learnt: bool = False

    @property
    def amount(self) -> float:
        """What it costs."""
        return self.quantity * self.unit_price

    def line(self) -> CostLine:
        """Return the step as a line of a bill, to six decimals."""
        return CostLine(
            name=self.name,
            kind=self.kind,
            quantity=Decimal(self.quantity).quantize(_SIX_DECIMALS),
            unit=self.unit,
            unit_price=Decimal(str(self.unit_price)).quantize(_SIX_DECIMALS),
        )


def bought(name: str, quantity: float, unit: str, unit_price: float) -> list[Step]:
    """Return material that is bought; none where none is taken."""
    return [Step(name, "material", quantity, unit, unit_price)] if quantity > 0 else []


def consumed(name: str, quantity: float, unit: str, unit_price: float) -> list[Step]:
    """Return what is used up; none where nothing is."""
    return [Step(name, "consumable", quantity, unit, unit_price)] if quantity > 0 else []


def by_hand(name: str, minutes: float, figure: FiguresInForce, *, learnt: bool = True) -> list[Step]:
    """Return minutes of the maker; none where there are none."""
    if minutes <= 0:
        return []
    return [Step(name, "labour hours", minutes / _MIN_PER_H, "h", figure("labour"), learnt=learnt)]


def at_machine(name: str, minutes: float, figure: FiguresInForce) -> list[Step]:
    """Return minutes of a machine and of the maker at it; none where there are none."""
    if minutes <= 0:
        return []
    return [
        Step(name, "machine hours", minutes / _MIN_PER_H, "h", figure("machine"), learnt=True),
        *by_hand(name, minutes, figure),
    ]


def with_learning(steps: Iterable[Step], pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the steps of a batch with hours as they are where hands learn.

    On average over n pieces an hour is (n / 10)^log2(share left at each doubling) of what it is at ten.

    Source: Wright 1936, Journal of the Aeronautical Sciences 3(4), 122-128 (from memory).
    """
    # judged: the batch at which the rates of the table hold
    factor = (pieces / 10) ** math.log2(figure("learning"))
    return [replace(one, quantity=one.quantity * factor) if one.learnt else one for one in steps]
