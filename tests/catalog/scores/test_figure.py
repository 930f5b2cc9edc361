import pytest

from catalog.scores.derived_figure import coarse, figure, score_figure
from catalog.tables.assumption import assumptions
from catalog.tables.band import banded
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick


def test_what_is_as_given_follows_a_ledger_and_widens_no_interval() -> None:
    found = banded(lambda a: a.as_given("hand_breadth_mm") + a("hand_breadth_mm"))
    row = assumptions()["hand_breadth_mm"]
    assert (found.low, found.value, found.high) == pytest.approx(
        (row.value + row.low, 2 * row.value, row.value + row.high)
    )
    assert banded(lambda a: a.as_given("hand_breadth_mm")).used == ()
    ledger = Ledger({"hand_breadth_mm": row.low})
    assert ledger.as_given("hand_breadth_mm") == row.low
    assert ledger.used == {"hand_breadth_mm"}


def test_interval_of_a_product_is_the_root_of_summed_squares() -> None:
    # glove_thickness_mm 2 (1-4) and saw_turn_s 0.25 (0.15-0.4)
    found = banded(lambda a: a("glove_thickness_mm") * a("saw_turn_s"))
    assert found.value == pytest.approx(0.5)
    assert found.low == pytest.approx(0.5 - (0.25**2 + 0.2**2) ** 0.5)
    assert found.high == pytest.approx(0.5 + (0.5**2 + 0.3**2) ** 0.5)
    assert found.used == ("glove_thickness_mm", "saw_turn_s")


def test_a_formula_without_assumptions_has_no_width() -> None:
    found = banded(lambda _: 3.0)
    assert (found.low, found.value, found.high, found.used) == (3, 3, 3, ())


def test_falling_formulas_keep_their_ends_in_order() -> None:
    found = banded(lambda a: 1 / a("glove_thickness_mm"))
    assert found.low < found.value < found.high


def test_scores_are_held_to_their_scale() -> None:
    found = score_figure("x", lambda a: 27 * a("chop_model_ratio"), derivation="", inputs={})
    assert (found.value, found.high) == (27, 30)
    assert figure("x", lambda _: -1.0, derivation="", inputs={}).value == 0


@pytest.mark.parametrize(
    ("score", "step"), [(0, 0), (0.2, 0), (0.25, 0.5), (0.7, 0.5), (0.75, 1.0), (9.9, 10), (10, 10)]
)
def test_coarse_scores_come_in_halves(score: float, step: float) -> None:
    assert coarse(score) == step


def test_every_assumption_lies_in_its_band() -> None:
    for row in assumptions().values():
        assert row.low <= row.value <= row.high, row.id


def test_moving_an_assumption_moves_only_that_one() -> None:
    moved = Ledger({"body_kg": 90})
    assert moved("body_kg") == 90
    assert moved("height_m") == 1.75
    assert moved.used == {"body_kg", "height_m"}
