from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from catalog.making.making_cost import CostLine, CostList, LineKind, cost

pytestmark = pytest.mark.quick


def line(price: str, kind: LineKind = "material", quantity: str = "1") -> CostLine:
    return CostLine(name="part", kind=kind, quantity=Decimal(quantity), unit_price=Decimal(price))


def bill(lines: list[CostLine], **more: object) -> CostList:
    return CostList.model_validate({"currency": "EUR", "lines": lines} | more)


MATERIALS = [line(p) for p in ("40", "40", "2", "10")]
MORE = [line(p, "consumable") for p in ("20", "5", "1", "20")]


def test_material_list_of_the_trade() -> None:
    # common practice, no source: 40 + 40 + 2 + 10 makes 92, with 20 + 5 + 1 + 20 more 138
    assert cost(bill(MATERIALS)).total == 92
    both = cost(bill(MATERIALS + MORE))
    assert both.total == 138
    assert both.by_kind == {"material": 92, "consumable": 46}
    assert both.per_piece == 138
    assert both.exact


def test_hours_are_quantity_times_rate() -> None:
    found = cost(bill([line("12.50", "machine hours", "1.25")]))
    assert found.total == Decimal("15.625")
    assert found.per_piece == Decimal("15.62")  # half to even
    assert not found.exact


def test_tenths_add_up_exactly() -> None:
    assert cost(bill([line("0.1")] * 3)).total == Decimal("0.3")


def test_batch_is_shared_out_and_says_when_it_was_rounded() -> None:
    thirds = cost(bill([line("100")], pieces=3))
    assert (thirds.per_piece, thirds.exact) == (Decimal("33.33"), False)
    quarters = cost(bill([line("100")], pieces=4), decimals=0)
    assert (quarters.per_piece, quarters.exact) == (Decimal(25), True)


@pytest.mark.parametrize("currency", ["USD", "JPY", "XTS"])
def test_any_currency(currency: str) -> None:
    assert cost(bill([line("1")], currency=currency)).currency == currency


@given(st.lists(st.decimals(0, 999_999_999, places=6, allow_nan=False), min_size=1, max_size=200))
def test_sum_is_exact_in_any_order(prices: list[Decimal]) -> None:
    lines = [line(str(p), quantity="123456789.123456") for p in prices]
    forward, backward = cost(bill(lines)), cost(bill(lines[::-1]))
    assert forward.total == backward.total
    assert Fraction(forward.total) == sum(Fraction(p) for p in prices) * Fraction("123456789.123456")


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"currency": "euro"}, "currency"),
        ({"pieces": 0}, "pieces"),
        ({"lines": []}, "lines"),
        ({"tax": 1}, "tax"),
    ],
)
def test_lists_that_cannot_be_are_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(ValidationError, match=message):
        CostList.model_validate({"currency": "EUR", "lines": MATERIALS} | change)


@pytest.mark.parametrize("price", ["-1", "NaN", "Infinity", "0.1234567"])
def test_prices_that_cannot_be_are_refused(price: str) -> None:
    with pytest.raises(ValidationError, match="unit_price"):
        line(price)


def test_decimals_have_a_range() -> None:
    with pytest.raises(ValueError, match="0 to 6"):
        cost(bill(MATERIALS), decimals=7)
