"""A day's route: how it is split and what a gram costs on it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import RangeError
from catalog.walking.load_carriage import lcda_w_per_body_kg, walking_w, walking_w_per_kg
from catalog.walking.route import J_PER_KCAL, Leg, carrying_cost, cost_on_legs, legs_of_day

pytestmark = pytest.mark.quick

KM = st.floats(2, 25)
CLIMB_SHARE = st.floats(0, 0.39)


def leg(name: str, grade_pct: float, speed_m_s: float, way_km: float = 4) -> Leg:
    return Leg(name, way_km, grade_pct, speed_m_s, 1000 * way_km / speed_m_s)


# 80 kg, 15 kg pack, n 1.2: 4 km up 10 % at 0.9 m/s, 4 km level at 1.2, 4 km down 10 % at 1.0.
STATED_DAY = (leg("up", 10, 0.9), leg("level", 0, 1.2), leg("down", -10, 1.0))


def test_size_of_the_effect_on_a_stated_day() -> None:
    # Derived from Pandolf-Santee and LCDA: +1 kg costs 11.7 and 15.0 kcal a day.
    def kcal(model):
        return sum(model(one) * one.seconds for one in STATED_DAY) / J_PER_KCAL

    def pandolf_santee(load_kg):
        return lambda one: walking_w(
            body_kg=80, load_kg=load_kg, speed_m_s=one.speed_m_s, grade_pct=one.grade_pct, terrain=1.2
        )

    def lcda(load_kg):
        return lambda one: (
            80
            * lcda_w_per_body_kg(
                rest_w_kg=1.07,
                speed_m_s=one.speed_m_s,
                grade_pct=one.grade_pct,
                load_ratio=load_kg / 80,
                terrain=1.2,
            )
        )

    assert kcal(pandolf_santee(16)) - kcal(pandolf_santee(15)) == pytest.approx(11.7, abs=0.05)
    assert kcal(lcda(16)) - kcal(lcda(15)) == pytest.approx(15.0, abs=0.05)


def test_the_marginal_gram_agrees_with_the_whole_kilogram() -> None:
    # Derived: 100 g cost about 1.2 to 1.5 kcal a day.
    cost = cost_on_legs(STATED_DAY, body_kg=80, pack_kg=15, terrain=1.2)
    assert 100 * cost.pandolf_santee_kcal_per_g == pytest.approx(1.17, rel=0.02)
    assert 100 * cost.lcda_kcal_per_g == pytest.approx(1.50, rel=0.02)


def test_the_split_of_the_program_reaches_the_same_size() -> None:
    cost = carrying_cost(km_per_day=12, climb_m_per_day=400, terrain="light-brush", body_kg=80, pack_kg=15)
    assert 1000 * cost.pandolf_santee_kcal_per_g == pytest.approx(11.7, rel=0.05)
    assert 1000 * cost.lcda_kcal_per_g == pytest.approx(15.0, rel=0.05)
    assert set(cost.assumptions) == {"slope_grade", "loaded_pace", "santee_from_grade"}


@given(km=KM, share=CLIMB_SHARE)
def test_the_legs_add_up_to_the_way_and_the_climb(km, share) -> None:
    climb_m = share * km * 500
    legs = legs_of_day(km_per_day=km, climb_m_per_day=climb_m)
    assert sum(one.way_km for one in legs) == pytest.approx(km)
    for sign in (1, -1):
        height_m = sum(10 * one.way_km * one.grade_pct for one in legs if one.grade_pct * sign > 0)
        assert height_m == pytest.approx(sign * climb_m, abs=1e-6)


def test_a_short_way_with_a_long_climb_gets_steeper() -> None:
    legs = legs_of_day(km_per_day=6, climb_m_per_day=900)
    assert [(one.name, one.way_km, one.grade_pct) for one in legs] == [("up", 3, 30), ("down", 3, -30)]


@given(km=KM, one=CLIMB_SHARE, other=CLIMB_SHARE)
def test_more_climb_never_takes_less_time(km, one, other) -> None:
    flat, steep = sorted((one, other))

    def hours(share):
        legs = legs_of_day(km_per_day=km, climb_m_per_day=share * km * 500)
        return sum(leg.seconds for leg in legs) / 3600

    assert hours(flat) <= hours(steep) + 1e-9


@given(one=KM, other=KM, pack_kg=st.floats(2, 30), body_kg=st.floats(50, 110))
def test_a_longer_day_never_makes_the_gram_cheaper(one, other, pack_kg, body_kg) -> None:
    short, long = sorted((one, other))

    def cost(km):
        return carrying_cost(km_per_day=km, climb_m_per_day=100, terrain="bog", body_kg=body_kg, pack_kg=pack_kg)

    assert cost(short).lcda_kcal_per_g <= cost(long).lcda_kcal_per_g + 1e-12
    assert cost(short).pandolf_santee_kcal_per_g <= cost(long).pandolf_santee_kcal_per_g + 1e-12


@given(km=KM, share=CLIMB_SHARE, pack_kg=st.floats(1, 30))
def test_a_gram_always_costs_something(km, share, pack_kg) -> None:
    cost = carrying_cost(
        km_per_day=km, climb_m_per_day=share * km * 500, terrain="blacktop", body_kg=75, pack_kg=pack_kg
    )
    assert cost.pandolf_santee_kcal_per_g > 0
    assert cost.lcda_kcal_per_g > 0


def test_a_day_in_camp_costs_nothing() -> None:
    cost = carrying_cost(km_per_day=0, climb_m_per_day=0, terrain="bog", body_kg=75, pack_kg=10)
    assert (cost.pandolf_santee_kcal_per_g, cost.lcda_kcal_per_g, cost.walking_h) == (0, 0, 0)


@pytest.mark.parametrize(
    ("km_per_day", "climb_m_per_day", "quantity"),
    [(4, 3000, "grade_pct"), (0, 300, "grade_pct"), (100, 0, "walking_h"), (12, 9000, "climb_m_per_day")],
)
def test_impossible_days_are_refused(km_per_day, climb_m_per_day, quantity) -> None:
    with pytest.raises(RangeError) as caught:
        legs_of_day(km_per_day=km_per_day, climb_m_per_day=climb_m_per_day)
    assert caught.value.quantity == quantity


def test_a_changed_assumption_changes_the_cost_and_stays_in_its_band() -> None:
    day = {"km_per_day": 12, "climb_m_per_day": 400, "terrain": "bog", "body_kg": 80, "pack_kg": 15}
    usual = carrying_cost(**day)
    slower = carrying_cost(**day, changed={"loaded_pace": 0.6})
    assert slower.walking_h == pytest.approx(usual.walking_h * 0.8 / 0.6)
    assert slower.pandolf_santee_kcal_per_g < usual.pandolf_santee_kcal_per_g
    with pytest.raises(RangeError, match="loaded_pace"):
        carrying_cost(**day, changed={"loaded_pace": 2})


def test_a_pack_heavier_than_its_carrier_counts_as_heavy_as_them_by_lcda_and_says_so() -> None:
    """Looney 2022 measured up to 0.66 of the body; the row of ranges ends at 1."""
    day = {"km_per_day": 12, "climb_m_per_day": 400, "terrain": "bog", "body_kg": 50}
    heavy, even = carrying_cost(**day, pack_kg=60), carrying_cost(**day, pack_kg=50)
    assert heavy.lcda_kcal_per_g == even.lcda_kcal_per_g
    assert heavy.pandolf_santee_kcal_per_g > even.pandolf_santee_kcal_per_g
    assert even.outside == ()
    assert heavy.outside == ("a pack of more than 100 % of the body (LCDA)",)


def test_a_descent_steeper_than_santee_s_form_says_so() -> None:
    """Santee 2001 measured down to -12 %; the row of ranges ends at -20 %."""
    steep = carrying_cost(km_per_day=8, climb_m_per_day=1200, terrain="bog", body_kg=80, pack_kg=15)
    assert steep.outside == ("a descent steeper than 20 % (Santee)",)


def test_an_unknown_terrain_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="lava"):
        carrying_cost(km_per_day=12, climb_m_per_day=0, terrain="lava", body_kg=80, pack_kg=15)


def test_a_day_by_hand() -> None:
    """10 km, 300 m up: 3 km up and 3 km down at 10 %, 4 km level, at 0.8 of Tobler's 6 exp(-3.5 |s + 0.05|)."""
    up, level, down = legs_of_day(km_per_day=10, climb_m_per_day=300)
    for one, name, way_km, grade in ((up, "up", 3, 0.1), (level, "level", 4, 0.0), (down, "down", 3, -0.1)):
        km_h = 0.8 * 6 * math.exp(-3.5 * abs(grade + 0.05))
        assert (one.name, one.way_km, one.grade_pct) == (name, way_km, pytest.approx(100 * grade))
        assert one.speed_m_s == pytest.approx(km_h / 3.6, rel=1e-12)
        assert one.seconds == pytest.approx(way_km / km_h * 3600, rel=1e-12)


@pytest.mark.parametrize(("km", "grade_pct"), [(7.99, 400 / 39.95), (8, 10), (11, 10), (12.1, 10)])
def test_slopes_are_steeper_than_usual_only_where_the_way_is_too_short(km: float, grade_pct: float) -> None:
    """400 m at 10 % take 4 km up and 4 km down."""
    legs = legs_of_day(km_per_day=km, climb_m_per_day=400)
    assert [one.grade_pct for one in legs if one.name == "up"] == [pytest.approx(grade_pct)]
    assert sum(one.way_km for one in legs if one.name == "level") == pytest.approx(max(0, km - 8))


def test_each_changed_assumption_reaches_the_cost() -> None:
    """A grade of 20 % halves the slopes; the downhill form begins elsewhere on a slope of 1 %."""
    legs = legs_of_day(km_per_day=10, climb_m_per_day=400, changed={"slope_grade": 20})
    assert [(one.way_km, one.grade_pct) for one in legs] == [(2, 20), (6, 0), (2, -20)]
    gentle = (leg("down", -1.5, 1.0, 3.6),)
    for from_pct in (-2.0, -1.0):
        watts = walking_w_per_kg(
            body_kg=80, load_kg=15, speed_m_s=1, grade_pct=-1.5, terrain=1.2, changed={"santee_from_grade": from_pct}
        )
        found = cost_on_legs(gentle, body_kg=80, pack_kg=15, terrain=1.2, changed={"santee_from_grade": from_pct})
        assert found.pandolf_santee_kcal_per_g == pytest.approx(watts * 3600 / 4184 / 1000, rel=1e-12)
        assert found.walking_h == pytest.approx(1)
    # looney-2022, eq. 2-4, differentiated by the load: 1.96 x 1.36 (15/80)^0.36 of the unloaded rate.
    downhill = 1 - 1.05 ** (1 - 1.1 ** (-1.5 + 32))
    unloaded = 0.19 + 1.2 * (1.78 + 0.27 + 34 * -0.015 * downhill)
    lcda = unloaded * 1.96 * 1.36 * (15 / 80) ** 0.36
    found = cost_on_legs(gentle, body_kg=80, pack_kg=15, terrain=1.2)
    assert found.lcda_kcal_per_g == pytest.approx(lcda * 3600 / 4184 / 1000, rel=1e-12)
