"""What it costs to make a drawn tool, reckoned from the drawing, with its lines and how far it may be off."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from functools import partial

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.making.axe_steps import steps_of_axes
from catalog.making.knife_steps import steps_of_knives
from catalog.making.making import TABLE_CURRENCY, Making
from catalog.making.making_cost import Cost, CostList, LineKind, cost
from catalog.making.making_figure import FiguresInForce, MakingFigureUsed
from catalog.making.saw_steps import steps_of_bow_saws, steps_of_folding_saws
from catalog.making.step import Step, with_learning
from catalog.making.stock import knife_blank

_CENT = Decimal("0.01")
# judged: the usual batches of a small maker
_BATCHES = (1, 10, 100)

_Shape = KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing
_Steps = Callable[[int, FiguresInForce], tuple[list[Step], float]]


@dataclass(frozen=True, slots=True)
class MakingLine:
    """A line of what a batch takes: quantity [unit] times the price of a unit."""

    name: str
    kind: LineKind
    quantity: Decimal
    unit: str
    unit_price: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class BatchCost:
    """What one piece of a batch of so many costs, and the hours that the maker works on it."""

    pieces: int
    per_piece: Decimal
    labour_h: float


@dataclass(frozen=True, slots=True)
class DrawnCost:
    """What a drawn tool costs its maker.

    Attributes:
        pieces: number of pieces in the batch.
        lines: what the batch takes.
        batches: the cost of a piece in batches of 1, 10, 100 pieces, and in the one stated.
        per_piece_low: cost of a piece, low end: each judged figure by itself at the end of its band where it costs
            less, the savings added as squares.
        per_piece_high: the high end, likewise.
        lost_share: share of blades or heads lost in quench and to warp [-]; 0 for a saw.
        stock_mm: thickness of the bar of a knife [mm]; null for other shapes.
        ground_cm3: what grinding takes off the blade of a knife [cm3]; null for other shapes.
        figures: prices, rates and losses that it rests on.
    """

    pieces: int
    lines: tuple[MakingLine, ...]
    batches: tuple[BatchCost, ...]
    per_piece_low: Decimal
    per_piece_high: Decimal
    lost_share: float
    stock_mm: float | None
    ground_cm3: float | None
    figures: tuple[MakingFigureUsed, ...]


def making_bill(drawing: _Shape, making: Making) -> CostList:
    """Return the maker's list that follows from a drawing.

    Raises:
        ValueError: prices in another currency than the table's that are not stated.
    """
    return _bill(_steps_of(drawing, making), making)


def _bill(steps_of: _Steps, making: Making) -> CostList:
    """Return the list of the steps of a batch.

    Raises:
        ValueError: prices in another currency than the table's that are not stated.
    """
    figure = FiguresInForce(making.figures)
    steps, _ = steps_of(making.pieces, figure)
    unstated = figure.unstated_prices()
    if making.currency != TABLE_CURRENCY and unstated:
        raise ValueError(
            f"prices of the table are in {TABLE_CURRENCY}; in {making.currency} state these in figures: "
            + ", ".join(sorted(unstated))
        )
    lines = [step.line() for step in steps]
    return CostList(currency=making.currency, pieces=making.pieces, lines=lines)


def cost_of_drawing(drawing: _Shape, making: Making) -> tuple[Cost, DrawnCost]:
    """Return what a drawn tool costs, and how that comes about.

    Raises:
        ValueError: prices in another currency than the table's that are not stated.
    """
    steps_of = _steps_of(drawing, making)
    bill = _bill(steps_of, making)
    total = cost(bill)
    figure = FiguresInForce(making.figures)
    _, lost = steps_of(making.pieces, figure)
    low, high = _ends(steps_of, making, figure)
    blank = knife_blank(drawing) if isinstance(drawing, KnifeDrawing) else None
    return total, DrawnCost(
        pieces=making.pieces,
        lines=tuple(
            MakingLine(one.name, one.kind, one.quantity, one.unit, one.unit_price, one.quantity * one.unit_price)
            for one in bill.lines
        ),
        batches=tuple(_batch(steps_of, making, pieces) for pieces in sorted({*_BATCHES, making.pieces})),
        per_piece_low=_money(max(0.0, float(total.per_piece) - low)),
        per_piece_high=_money(float(total.per_piece) + high),
        lost_share=lost,
        stock_mm=None if blank is None else blank.stock_mm,
        ground_cm3=None if blank is None else blank.ground_cm3,
        figures=figure.listed(),
    )


def _steps_of(drawing: _Shape, making: Making) -> _Steps:
    """Return what makes the steps of a batch of so many pieces, and the share lost, from figures."""
    if isinstance(drawing, KnifeDrawing):
        bare: _Steps = partial(steps_of_knives, drawing, knife_blank(drawing), making)
    elif isinstance(drawing, AxeDrawing):
        bare = partial(steps_of_axes, drawing, making)
    elif isinstance(drawing, FoldingSawDrawing):
        bare = partial(steps_of_folding_saws, drawing)
    else:
        bare = partial(steps_of_bow_saws, drawing)

    def learnt(pieces: int, figure: FiguresInForce) -> tuple[list[Step], float]:
        steps, lost = bare(pieces, figure)
        return with_learning(steps, pieces, figure), lost

    return learnt


def _batch(steps_of: _Steps, making: Making, pieces: int) -> BatchCost:
    """Return what one piece of a batch costs."""
    steps, _ = steps_of(pieces, FiguresInForce(making.figures))
    hours = sum(one.quantity for one in steps if one.kind == "labour hours")
    return BatchCost(pieces, _money(sum(one.amount for one in steps) / pieces), hours / pieces)


def _ends(steps_of: _Steps, making: Making, used: FiguresInForce) -> tuple[float, float]:
    """Return how much less and how much more a piece may cost, by the bands of the judged figures that it rests on."""

    def per_piece(changed: Mapping[str, float]) -> float:
        steps, _ = steps_of(making.pieces, FiguresInForce({**making.figures, **changed}))
        return sum(one.amount for one in steps) / making.pieces

    middle = per_piece({})
    less, more = 0.0, 0.0
    for row in used.judged():
        ends = [per_piece({row.id: end}) - middle for end in (row.low, row.high)]
        less += min(0.0, *ends) ** 2
        more += max(0.0, *ends) ** 2
    return math.sqrt(less), math.sqrt(more)


def _money(amount: float) -> Decimal:
    """Return an amount to the cent."""
    return Decimal(amount).quantize(_CENT, rounding=ROUND_HALF_EVEN)
