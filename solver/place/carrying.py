"""What a gram costs on the day's way, by two published models; what is not said of the route is assumed."""

from math import isfinite

from catalog import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, minimum
from catalog.walking.route import CarryingCost, carrying_cost
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError

_USUAL_TERRAIN = "dirt-road"
# What no field says and the route comes to, in words: its figure, and the most that it may be.
_WHY_NOT = {
    "grade_pct": "the climb of a day on half of its way is a slope of {} %; at most {:g} % is walked",
    "walking_h": "the way of a day takes {} h of walking; a day has {:g} h",
}
OF_WALKING = frozenset(
    ("route_km", "route_climb", "body_kg", "pack_kg", "slope_grade", "loaded_pace", "santee_from_grade")
)  # assumptions that only kcal hang on


def carrying_of(trip: Trip, ledger: Ledger[N]) -> CarryingCost[N]:
    """Return the cost of carrying one more gram on a day of the trip.

    Raises:
        TripError: a route, or own figures of it, that the models don't hold for.
    """
    route = trip.route
    km: N = ledger("route_km") if route.km_per_day is None else route.km_per_day
    try:
        cost = carrying_cost(
            km_per_day=km,
            climb_m_per_day=_usual_climb_m(km, ledger) if route.climb_m_per_day is None else route.climb_m_per_day,
            terrain=route.terrain or _USUAL_TERRAIN,
            body_kg=body_kg(trip, ledger),
            pack_kg=ledger("pack_kg") if route.pack_kg is None else route.pack_kg,
            changed=ledger.changed,
        )
    except RangeError as error:
        allowed = f"{error.low:g} to {error.high:g} {error.unit}"
        place = "#/assumptions" if OF_WALKING & trip.assumptions.keys() else "#/route"
        why = _WHY_NOT.get(error.quantity)
        detail = str(error) if why is None else why.format(f"{error.value:.1f}".removesuffix(".0"), error.high)
        detail = detail if isfinite(error.value) else "a day without a way climbs nothing"
        raise TripError([Fault(place, error.value, allowed, detail)]) from error
    ledger.note(cost.assumptions)
    return cost


def _usual_climb_m(km_per_day: N, ledger: Ledger[N]) -> N:
    """Return the climb of a day that does not tell its own [m]: no more than its way can hold at the usual grade."""
    # derived: half of the way goes up; 10 m a kilometre and per cent.
    most = 10 * ledger("slope_grade") * km_per_day / 2
    return minimum(ledger("route_climb"), most)


def body_kg(trip: Trip, ledger: Ledger[N]) -> N:
    """Return the body of who carries and works [kg]."""
    return ledger("body_kg") if trip.route.body_kg is None else trip.route.body_kg
