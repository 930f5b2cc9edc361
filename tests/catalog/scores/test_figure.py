import math

import pytest

from catalog.scores.derived_figure import Derivation
from catalog.tables.assumption import assumptions
from catalog.tables.band import banded
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick


def half_width(*names: str) -> float:
    """Half of the logarithm of each band's ends, by the root of summed squares."""
    rows = [assumptions()[name] for name in names]
    return math.hypot(*(math.log(row.high / row.low) / 2 for row in rows))


def test_what_is_as_given_follows_a_ledger_and_widens_no_interval() -> None:
    found = banded(lambda a: a.as_given("hand_breadth_mm") * a("hand_breadth_mm"))
    row = assumptions()["hand_breadth_mm"]
    assert found.value == pytest.approx(row.value**2)
    assert math.log(found.high / found.value) == pytest.approx(half_width("hand_breadth_mm"))
    assert banded(lambda a: a.as_given("hand_breadth_mm")).used == ()
    ledger = Ledger({"hand_breadth_mm": row.low})
    assert ledger.as_given("hand_breadth_mm") == row.low
    assert ledger.used == {"hand_breadth_mm"}


def test_interval_of_a_product_is_log_normal_by_the_root_of_summed_squares() -> None:
    # glove_thickness_mm 2 (1-4) and saw_turn_s
    found = banded(lambda a: a("glove_thickness_mm") * a("saw_turn_s"))
    reach = half_width("glove_thickness_mm", "saw_turn_s")
    assert math.log(found.high / found.value) == pytest.approx(reach)
    assert math.log(found.value / found.low) == pytest.approx(reach)
    assert found.used == ("glove_thickness_mm", "saw_turn_s")


def test_a_formula_without_assumptions_has_no_width_and_nothing_stays_nothing() -> None:
    found = banded(lambda _: 3.0)
    assert (found.low, found.value, found.high, found.used) == (3, 3, 3, ())
    none = banded(lambda a: 0 * a("glove_thickness_mm"))
    assert (none.low, none.value, none.high) == (0, 0, 0)


def test_falling_formulas_keep_their_ends_in_order() -> None:
    found = banded(lambda a: 1 / a("glove_thickness_mm"))
    assert found.low < found.value < found.high


def test_a_figure_that_is_nothing_at_one_end_of_a_band_is_wide_but_finite() -> None:
    # grip of 2 mm less a glove of 1 to 4 mm: a factor of 10 down, of 2 up
    found = banded(lambda a: a("glove_thickness_mm") * (4 - a("glove_thickness_mm")))
    assert 1 < found.high / found.value <= 10


def test_a_figure_carries_its_words_inputs_and_assumptions() -> None:
    found = Derivation("x", lambda a: 27 * a("chop_model_ratio"), words="w", inputs={"mass_g": 3}, unit="mm").figure()
    assert (found.value, found.derivation, found.inputs, found.unit) == (27, "w", {"mass_g": 3}, "mm")
    assert found.assumptions == ("chop_model_ratio",)


def test_every_assumption_lies_in_its_band() -> None:
    for row in assumptions().values():
        assert row.low <= row.value <= row.high, row.id


def test_moving_an_assumption_moves_only_that_one() -> None:
    moved = Ledger({"body_kg": 90})
    assert moved("body_kg") == 90
    assert moved("height_m") == 1.75
    assert moved.used == {"body_kg", "height_m"}
