"""The figures of the workshop: their table, and a maker's own."""

from typing import Any

import pytest
from pydantic import ValidationError

from catalog import Making, making_figures
from catalog.drawings.material_table import materials
from catalog.drawings.steel import steels
from catalog.making.stock import quench_of, stock_thicknesses

pytestmark = pytest.mark.quick


def test_every_value_lies_in_its_band_and_the_band_in_its_hard_limits() -> None:
    for row in making_figures().values():
        assert row.hard_low <= row.low <= row.value <= row.high <= row.hard_high, row.id


def test_every_steel_and_material_has_a_price_and_every_steel_a_quench() -> None:
    for grade in steels().values():
        assert f"steel_{grade.family.replace(' ', '_')}" in making_figures()
        assert quench_of(grade.family) in ("water", "oil", "air")
    for name in materials():
        assert f"material_{name.replace('-', '_')}" in making_figures()


def test_stock_rises() -> None:
    assert list(stock_thicknesses()) == sorted(set(stock_thicknesses()))


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ({"labor": 20.0}, "there is no figure 'labor' of the workshop; near: labour"),
        ({"zzzz": 20.0}, "GET /v1/designs/making-figures lists them"),
        ({"labour": 1001.0}, "figures.labour 1001 price per h is outside 0 to 1000"),
        ({"learning": 0.5}, "figures.learning 0.5 is outside 0.6 to 1"),
        ({"cut_mm2_min": 0.0}, "figures.cut_mm2_min 0"),
    ],
)
def test_own_figures_are_checked(figures: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError, match=said.replace("(", r"\(")):
        Making(figures=figures)
