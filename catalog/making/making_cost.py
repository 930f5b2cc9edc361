"""What one piece costs its maker: materials, consumables and hours, in any currency, exact decimals."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, Inexact, localcontext
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from catalog.equipment.tool import Word
from catalog.tables.strict_form import Drawing
from catalog.tables.whole_number import Whole

LineKind = Literal["material", "consumable", "machine hours", "labour hours"]


def _decimal_of(value: Any) -> Any:
    """Return a number or the text of one as the decimal that it shows: 0.1 is a tenth; anything else as it is."""
    if isinstance(value, str) and re.fullmatch(r"\d{1,9}(\.\d{1,6})?", value, re.ASCII):
        return Decimal(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return Decimal(str(value))
    return value


_Amount = Annotated[
    Decimal,
    Field(ge=0, max_digits=15, decimal_places=6, allow_inf_nan=False),
    BeforeValidator(_decimal_of),
    WithJsonSchema(
        {
            "anyOf": [
                # judged: the promised range of a price
                {"type": "number", "minimum": 0, "exclusiveMaximum": 1e9, "multipleOf": 1e-6},
                {"type": "string", "pattern": r"^\d{1,9}(\.\d{1,6})?$"},
            ]
        }
    ),
]

# room for 200 lines of two 15-digit factors without rounding
# judged: digits of exact sums, beyond any price list
_DIGITS = 40


class CostLine(Drawing):
    """One line of the maker's list: quantity times price of a unit."""

    name: Word
    kind: LineKind
    quantity: _Amount = Decimal(1)
    unit: Word = "piece"
    unit_price: _Amount


class CostList(Drawing):
    """The list for a batch, in one currency (three capital letters)."""

    currency: str = Field(pattern=r"^[A-Z]{3}$")
    pieces: Whole = Field(default=1, ge=1, le=100_000, description="number of pieces in the batch")
    lines: list[CostLine] = Field(min_length=1, max_length=200)


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost of a batch, exact, and of one piece.

    Attributes:
        currency: currency of all amounts.
        total: exact sum of the list.
        by_kind: exact sums by kind of line, in the order of first appearance.
        per_piece: total over pieces, rounded half to even at the stated decimals.
        exact: True when per_piece is not rounded.
    """

    currency: str
    total: Decimal
    by_kind: dict[LineKind, Decimal]
    per_piece: Decimal
    exact: bool


def cost(bill: CostList, *, decimals: int = 2) -> Cost:
    """Add a list up.

    Args:
        bill: the maker's list.
        decimals: decimals of the cost of one piece, 0 to 6.

    Raises:
        ValueError: decimals outside 0-6.
    """
    # judged: as fine as the prices that go in
    if not 0 <= decimals <= 6:
        raise ValueError(f"decimals {decimals} is outside 0 to 6")
    by_kind: dict[LineKind, Decimal] = {}
    with localcontext() as context:
        context.prec = _DIGITS
        context.traps[Inexact] = True
        for line in bill.lines:
            by_kind[line.kind] = by_kind.get(line.kind, Decimal(0)) + line.quantity * line.unit_price
        total = sum(by_kind.values(), Decimal(0))
    with localcontext() as context:
        context.prec = _DIGITS
        share = total / bill.pieces
        per_piece = share.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN)
        exact = per_piece * bill.pieces == total
    return Cost(bill.currency, total, by_kind, per_piece, exact)
