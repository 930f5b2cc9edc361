import pytest

from catalog.drawings.steel import order_by_toughness, steels
from catalog.tables.table import read_rows

pytestmark = pytest.mark.quick

J_PER_FT_LB = 1.355818  # unit factor


def test_toughness_is_ordered_within_one_test() -> None:
    order = order_by_toughness(["D2", "A2", "S7"], test="charpy c-notch")
    assert [(t.grade, t.hrc, t.energy_j) for t in order.measured] == [
        ("S7", 57, 169),  # steel data sheets
        ("S7", 59, 115),
        ("A2", 60, 56),
        ("D2", 60, 28),
    ]
    assert order.unmeasured == ()


def test_another_test_is_never_mixed_in() -> None:
    order = order_by_toughness(["S7", "A2"], test="charpy v-notch")
    assert order.measured == ()
    assert order.unmeasured == ("S7", "A2")


def test_grades_without_a_test_are_named_and_not_ranked() -> None:
    order = order_by_toughness(["1095", "S7", "no such grade"], test="charpy c-notch")
    assert {t.grade for t in order.measured} == {"S7"}
    assert order.unmeasured == ("1095", "no such grade")


@pytest.mark.parametrize(("grade", "ft_lb"), [("A2", 41), ("D2", 21)])
def test_joules_are_the_printed_foot_pounds(grade: str, ft_lb: float) -> None:
    assert steels()[grade].toughness[0].energy_j == pytest.approx(ft_lb * J_PER_FT_LB, abs=0.5)


def test_s7_is_the_light_end_of_the_printed_densities() -> None:
    assert steels()["S7"].density_kg_m3 == 7760  # steel data sheet
    assert all(7600 <= s.density_kg_m3 <= 8300 for s in steels().values())


def test_hardness_ranges_are_ordered_and_missing_ones_stay_missing() -> None:
    for steel in steels().values():
        if steel.hardness_low_hrc is None:
            assert steel.hardness_high_hrc is None
        else:
            assert steel.hardness_high_hrc is not None
            assert steel.hardness_low_hrc < steel.hardness_high_hrc
    assert steels()["1045"].hardness_low_hrc is None


def test_every_tested_grade_is_a_known_grade() -> None:
    assert {row["grade"] for row in read_rows("drawings/steel_toughness.csv")} <= set(steels())
    assert len(steels()) == 22
