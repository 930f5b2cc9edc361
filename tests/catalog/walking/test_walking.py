"""Walking: both load-carriage models against their printed tables, and their slopes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import RangeError
from catalog.walking.load_carriage import (
    lcda_w_per_body_kg,
    lcda_w_per_kg,
    pandolf_w,
    santee_w,
    terrains,
    walking_w,
    walking_w_per_kg,
)

pytestmark = pytest.mark.quick

BODY = st.floats(45, 120)
LOAD = st.floats(0, 40)
SPEED = st.floats(0.4, 1.8)
GRADE = st.floats(-20, 40)
TERRAIN = st.floats(1, 2.1)

# Richmond, Potter and Santee 2015, DOI 10.12922/jshp.0067.2015, Table 2: W 74 kg, n 1; watts for loads of
# 0.8, 8, 20 and 30 kg.
RICHMOND_TABLE_2 = {
    0.0: (111, 113, 125, 145),
    0.66: (160, 166, 186, 213),
    1.10: (247, 262, 295, 334),
    1.55: (381, 408, 463, 520),
}


@pytest.mark.parametrize("speed_m_s", RICHMOND_TABLE_2)
@pytest.mark.parametrize(("column", "load_kg"), list(enumerate((0.8, 8, 20, 30))))
def test_richmond_table_2(speed_m_s: float, column: int, load_kg: float) -> None:
    ours = pandolf_w(body_kg=74, load_kg=load_kg, speed_m_s=speed_m_s, grade_pct=0, terrain=1)
    assert ours == pytest.approx(RICHMOND_TABLE_2[speed_m_s][column], abs=1)


def test_pandolf_uphill_and_its_slopes() -> None:
    # Derived from Pandolf 1977.
    walk = {"body_kg": 80, "load_kg": 15, "speed_m_s": 1.1, "terrain": 1.2}
    assert pandolf_w(grade_pct=10, **walk) == pytest.approx(772.4897, abs=1e-4)
    assert walking_w_per_kg(grade_pct=10, **walk) == pytest.approx(7.759, abs=5e-4)
    assert walking_w_per_kg(grade_pct=0, **walk) == pytest.approx(3.139, abs=5e-4)


@pytest.mark.parametrize(
    ("speed_m_s", "grade_pct", "load_ratio", "terrain", "expected"),
    # Derived from Looney 2022, eq. 2-4, at rest 1.07 W/kg.
    [(1.34, 0, 0.44, 1, 6.2740), (1.1, 10, 0.1875, 1.2, 9.5791)],
)
def test_lcda(speed_m_s, grade_pct, load_ratio, terrain, expected) -> None:
    ours = lcda_w_per_body_kg(
        rest_w_kg=1.07, speed_m_s=speed_m_s, grade_pct=grade_pct, load_ratio=load_ratio, terrain=terrain
    )
    assert ours == pytest.approx(expected, abs=5e-5)


def test_the_downhill_form_by_hand() -> None:
    # Derived from Richmond 2015, eq. 7-8, at 80 kg, 20 kg, 1 m/s, -10 %, n 1: standing 120 + 12.5, moving
    # 100 x (1.5 - 3.5) = -200; CF = -10 x 100/3.5 - 100 x 16/80 + 24 = -281.714.
    ours = santee_w(body_kg=80, load_kg=20, speed_m_s=1, grade_pct=-10, terrain=1)
    assert ours == pytest.approx(120 + 12.5 - 200 + 281.714, abs=1e-3)


def test_the_downhill_form_jumps_at_the_level_and_the_blend_does_not() -> None:
    # Derived: +22.8 W at 80 kg, 15 kg, 1.1 m/s, n 1.2.
    walk = {"body_kg": 80, "load_kg": 15, "speed_m_s": 1.1, "terrain": 1.2}
    level = pandolf_w(grade_pct=0, **walk)
    assert santee_w(grade_pct=-1e-9, **walk) - level == pytest.approx(22.8, abs=0.05)
    assert walking_w(grade_pct=-1e-9, **walk) == pytest.approx(level, abs=1e-6)
    # From the assumed -1 % on the two are one, and there they differ from the level by under 1 %.
    assert walking_w(grade_pct=-1, **walk) == santee_w(grade_pct=-1, **walk)
    assert walking_w(grade_pct=-1, **walk) == pytest.approx(level, rel=0.01)


@given(body_kg=BODY, load_kg=LOAD, speed_m_s=SPEED, grade_pct=GRADE, terrain=TERRAIN)
def test_the_slope_is_the_derivative_of_the_rate(body_kg, load_kg, speed_m_s, grade_pct, terrain) -> None:
    walk = {"body_kg": body_kg, "speed_m_s": speed_m_s, "grade_pct": grade_pct, "terrain": terrain}
    step_kg = 1e-4
    rise = walking_w(load_kg=load_kg + step_kg, **walk) - walking_w(load_kg=load_kg, **walk)
    assert walking_w_per_kg(load_kg=load_kg, **walk) == pytest.approx(rise / step_kg, rel=1e-3, abs=1e-3)


@given(body_kg=BODY, load_kg=st.floats(1, 40), speed_m_s=SPEED, grade_pct=GRADE, terrain=TERRAIN)
def test_the_lcda_slope_is_its_derivative(body_kg, load_kg, speed_m_s, grade_pct, terrain) -> None:
    def watts(load):
        return body_kg * lcda_w_per_body_kg(
            rest_w_kg=1.07,
            speed_m_s=speed_m_s,
            grade_pct=grade_pct,
            load_ratio=load / body_kg,
            terrain=terrain,
        )

    step_kg = 1e-3
    slope = lcda_w_per_kg(body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade_pct=grade_pct, terrain=terrain)
    rise = watts(load_kg + step_kg) - watts(load_kg - step_kg)
    assert slope == pytest.approx(rise / (2 * step_kg), rel=1e-4)


@given(body_kg=BODY, load_kg=LOAD, speed_m_s=SPEED, grade_pct=GRADE, terrain=TERRAIN)
def test_a_kilogram_more_never_costs_less(body_kg, load_kg, speed_m_s, grade_pct, terrain) -> None:
    walk = {"body_kg": body_kg, "load_kg": load_kg, "speed_m_s": speed_m_s, "terrain": terrain}
    assert walking_w_per_kg(grade_pct=grade_pct, **walk) > 0
    assert lcda_w_per_kg(grade_pct=grade_pct, **walk) >= 0


@given(body_kg=BODY, load_kg=LOAD, speed_m_s=SPEED, one=st.floats(0, 40), other=st.floats(0, 40))
def test_steeper_climbs_never_cost_less(body_kg, load_kg, speed_m_s, one, other) -> None:
    walk = {"body_kg": body_kg, "load_kg": load_kg, "speed_m_s": speed_m_s, "terrain": 1.2}
    gentle, steep = sorted((one, other))
    assert walking_w(grade_pct=gentle, **walk) <= walking_w(grade_pct=steep, **walk)
    assert walking_w_per_kg(grade_pct=gentle, **walk) <= walking_w_per_kg(grade_pct=steep, **walk)


@given(body_kg=BODY, load_kg=LOAD, speed_m_s=SPEED, one=TERRAIN, other=TERRAIN)
def test_harder_ground_never_costs_less_on_the_level(body_kg, load_kg, speed_m_s, one, other) -> None:
    walk = {"body_kg": body_kg, "load_kg": load_kg, "speed_m_s": speed_m_s, "grade_pct": 0}
    easy, hard = sorted((one, other))
    assert walking_w(terrain=easy, **walk) <= walking_w(terrain=hard, **walk)


def test_terrain_factors_are_soule_and_goldman() -> None:
    # Soule and Goldman 1972.
    assert list(terrains().values()) == [1.0, 1.1, 1.2, 1.5, 1.6, 1.8, 2.1]
    assert terrains()["hard-snow"] == 1.6


def test_downhill_is_not_pandolf_s_and_pounds_are_not_kilograms() -> None:
    walk = {"body_kg": 80, "load_kg": 15, "speed_m_s": 1.1, "terrain": 1.2}
    with pytest.raises(RangeError, match="grade_pct -5 %"):
        pandolf_w(grade_pct=-5, **walk)
    with pytest.raises(RangeError, match="body_kg 220 kg"):
        pandolf_w(grade_pct=0, **walk | {"body_kg": 220})


@pytest.mark.parametrize(("from_pct", "grade_pct", "share"), [(-1, -0.25, 0.25), (-2, -0.5, 0.25), (-0.5, -0.4, 0.8)])
def test_between_the_level_and_the_downhill_form_lies_a_straight_line(from_pct, grade_pct, share) -> None:
    """By hand at 80 kg, 20 kg, 1 m/s, n 1: from the level's 120 + 12.5 + 150 W, and 1.375 + 1.5 W/kg, to Santee's.

    There M = 132.5 + 100 (1.5 + 0.35 G) - (100 G/3.5 - 1.25 (G + 6)^2 + 24), Richmond 2015, eq. 7-8, and its
    derivative by the load is 2.875 + 0.35 G - G/3.5 + (G + 6)^2/80.
    """
    walk = {"body_kg": 80, "load_kg": 20, "speed_m_s": 1, "terrain": 1, "changed": {"santee_from_grade": from_pct}}
    watts = 132.5 + 100 * (1.5 + 0.35 * from_pct) - (100 * from_pct / 3.5 - 1.25 * (from_pct + 6) ** 2 + 24)
    slope = 2.875 + 0.35 * from_pct - from_pct / 3.5 + (from_pct + 6) ** 2 / 80
    assert walking_w(grade_pct=grade_pct, **walk) == pytest.approx(282.5 + share * (watts - 282.5))
    assert walking_w_per_kg(grade_pct=grade_pct, **walk) == pytest.approx(2.875 + share * (slope - 2.875))
    assert walking_w(grade_pct=from_pct, **walk) == pytest.approx(watts)
    assert walking_w_per_kg(grade_pct=from_pct, **walk) == pytest.approx(slope)
    assert walking_w_per_kg(grade_pct=0, **walk) == 2.875
