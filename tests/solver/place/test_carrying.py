"""What a gram costs on the way of a trip that says little of it, and on slopes steeper than a formula holds for."""

import math

import pytest
from service import kit_of
from stated_trips import AXE, KNIFE, Row, own

from catalog.tables.ledger import Ledger
from catalog.walking.route import J_PER_KCAL, Leg, cost_on_legs
from solver import Trip, TripError
from solver.place.carrying import OF_WALKING, carrying_of

pytestmark = pytest.mark.quick


def cost_of(**route: object) -> tuple[float, float, float]:
    """Kcal a gram by both models, and hours, of a trip with this route."""
    found = carrying_of(Trip.model_validate(own(KNIFE, AXE, route=route)), Ledger())
    return found.pandolf_santee_kcal_per_g, found.lcda_kcal_per_g, found.walking_h


@pytest.mark.parametrize(("km", "climb_m"), [(4, 200), (9.9, 495), (10, 500), (12, 500), (20, 500)])
def test_the_usual_climb_is_what_half_the_way_holds_at_the_usual_grade(km: float, climb_m: float) -> None:
    """Half of the way goes up at 10 %: 4 km hold 200 m; from 10 km on it is the assumed 500 m."""
    assert cost_of(km_per_day=km) == cost_of(km_per_day=km, climb_m_per_day=climb_m)
    assert cost_of(km_per_day=km) != cost_of(km_per_day=km, climb_m_per_day=climb_m + 5)


def test_what_the_trip_does_not_say_is_as_assumed() -> None:
    """12 km, 500 m, a dirt road, 75 kg and a pack of 12 kg: the values of the table of assumptions."""
    said = {"km_per_day": 12, "climb_m_per_day": 500, "terrain": "dirt-road", "body_kg": 75, "pack_kg": 12}
    assert cost_of() == cost_of(**said)
    assert len({cost_of(**said | {field: value}) for field, value in OTHERWISE.items()} | {cost_of()}) == 6


OTHERWISE = {"km_per_day": 13, "climb_m_per_day": 400, "terrain": "bog", "body_kg": 80, "pack_kg": 10}


@pytest.mark.parametrize(
    ("field", "assumption"),
    [
        ("km_per_day", "route_km"),
        ("climb_m_per_day", "route_climb"),
        ("body_kg", "body_kg"),
        ("pack_kg", "pack_kg"),
    ],
)
def test_only_what_the_trip_does_not_say_is_among_the_assumptions(field: str, assumption: str) -> None:
    """The answer lists what it took."""
    assumed = {one["id"] for one in kit_of(own(KNIFE, AXE))["assumptions"]}
    assert assumed >= OF_WALKING
    said: Row = own(KNIFE, AXE, route={field: OTHERWISE[field]})
    ledger = Ledger()
    carrying_of(Trip.model_validate(said), ledger)
    assert set(ledger.used) == OF_WALKING - {assumption}


def test_a_way_too_steep_is_refused_with_the_range() -> None:
    """3,000 m up on 4 km, and 300 m on none."""
    slope = "the climb of a day on half of its way is a slope of 150 %; at most 40 % is walked"
    for km, climb_m, pct, told in ((4, 3000, 150, slope), (0, 300, math.inf, "a day without a way climbs nothing")):
        with pytest.raises(TripError) as caught:
            cost_of(km_per_day=km, climb_m_per_day=climb_m)
        (fault,) = caught.value.faults
        assert (fault.pointer, fault.value, fault.allowed, fault.detail) == ("#/route", pct, "0 to 40 %", told)


def test_a_way_longer_than_the_day_is_refused_in_hours() -> None:
    """On the level 0.8 of Tobler's 6 exp(-0.175) km/h: 100 km are 24.8 h."""
    hours = f"{100 / (0.8 * 6 * math.exp(-0.175)):.1f}"
    with pytest.raises(TripError) as caught:
        cost_of(km_per_day=100, climb_m_per_day=0)
    (fault,) = caught.value.faults
    assert fault.detail == f"the way of a day takes {hours} h of walking; a day has 24 h"


# santee-2001 as printed in richmond-2015 eq. 7-8, its derivative by the load, at 80 kg, 20 kg, 1 m/s, n 1.2:
# 2 L (2 W + 3 L)/W^2 + n (1.5 V^2 + 0.35 V G) - n (G V/3.5 - (G + 6)^2/W); worked by hand.
SANTEE_W_PER_KG = {
    -10: 1.375 + 1.2 * (1.5 - 3.5) - 1.2 * (-10 / 3.5 - 16 / 80),
    -15: 1.375 + 1.2 * (1.5 - 5.25) - 1.2 * (-15 / 3.5 - 81 / 80),
    -20: 1.375 + 1.2 * (1.5 - 7.0) - 1.2 * (-20 / 3.5 - 196 / 80),
}


@pytest.mark.parametrize(("grade_pct", "counted_pct"), [(-10, -10), (-15, -15), (-20, -20), (-35, -20)])
def test_a_descent_counts_at_its_own_grade_down_to_the_steepest_of_the_form(grade_pct: int, counted_pct: int) -> None:
    """Down to -20 % as it is, steeper at -20 %; an hour on it."""
    leg = Leg("down", 3.6, grade_pct, 1.0, 3600.0)
    cost = cost_on_legs((leg,), body_kg=80, pack_kg=20, terrain=1.2)
    expected = SANTEE_W_PER_KG[counted_pct] * 3600 / J_PER_KCAL / 1000
    assert cost.pandolf_santee_kcal_per_g == pytest.approx(expected, rel=1e-9)


def test_a_changed_assumption_reaches_the_cost_of_a_trip() -> None:
    """At 0.6 of Tobler's pace instead of 0.8 the day is a third longer."""
    trip = Trip.model_validate(own(KNIFE, AXE))
    usual, slow = carrying_of(trip, Ledger()), carrying_of(trip, Ledger({"loaded_pace": 0.6}))
    assert slow.walking_h == pytest.approx(usual.walking_h * 0.8 / 0.6)
