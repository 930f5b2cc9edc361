import pytest

from catalog.drawings.steel import order_by_toughness, steels, toughness_of
from catalog.tables.table import read_rows

pytestmark = pytest.mark.quick

J_PER_FT_LB = 1.355818  # unit factor


def test_toughness_is_ordered_within_one_test() -> None:
    order = order_by_toughness(["D2", "A2", "S7"], test="charpy c-notch")
    best = {grade: max(t.energy_j for t in order.measured if t.grade == grade) for grade in ("S7", "A2", "D2")}
    assert best == {"S7": 257, "A2": 56, "D2": 28}  # steel data sheets; D2 from a list
    assert [t.energy_j for t in order.measured] == sorted((t.energy_j for t in order.measured), reverse=True)
    assert order.unmeasured == ()


def test_another_test_is_never_mixed_in() -> None:
    order = order_by_toughness(["S7", "A2"], test="charpy v-notch")
    assert order.measured == ()
    assert order.unmeasured == ("S7", "A2")


def test_grades_without_a_test_are_named_and_not_ranked() -> None:
    order = order_by_toughness(["1095", "S7", "no such grade"], test="charpy c-notch")
    assert {t.grade for t in order.measured} == {"S7"}
    assert order.unmeasured == ("1095", "no such grade")


@pytest.mark.parametrize(
    ("grade", "hrc", "ft_lb"), [("A2", 60, 41), ("A2", 61, 31), ("D2", 60, 21), ("S7", 57, 125), ("L6", 57, 68)]
)
def test_joules_are_the_printed_foot_pounds(grade: str, hrc: float, ft_lb: float) -> None:
    (test,) = [one for one in steels()[grade].toughness if one.hrc == hrc and one.test == "charpy c-notch"]
    assert test.energy_j == pytest.approx(ft_lb * J_PER_FT_LB, abs=0.6)  # the sheets print whole joules


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


def test_every_test_names_its_bar_and_no_notch_passes_for_another() -> None:
    rows = read_rows("drawings/steel_toughness.csv")
    notches = {"charpy c-notch": "C-notch", "charpy v-notch": "V-notch", "charpy unnotched": "no notch"}
    assert all(row["specimen"].endswith(notches[row["test"]]) for row in rows)
    kinds = {one.test for one in toughness_of("S7")}
    assert kinds == {"charpy c-notch", "charpy unnotched"}
    both = [one.energy_j for one in toughness_of("S7") if one.temper_c == 205]
    assert sorted(both) == [169, 244]  # one steel, one temper: data sheet with a C-notch, property page without a notch


def test_toughness_tables_are_pinned() -> None:
    rows = read_rows("drawings/steel_toughness.csv")
    assert (len(rows), sum(float(row["energy_j"]) for row in rows)) == (32, 3663)
    rows = read_rows("drawings/fracture_toughness.csv")
    assert (len(rows), sum(float(row["k_ic_mpa_m"]) for row in rows)) == (14, 376)
    assert {row["grade"] for row in rows} <= set(steels())
