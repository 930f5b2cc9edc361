"""Pace: how long a walk takes by the three usual rules, none of which knows the pack."""

from catalog.tables.number import N, absolute, of_math, where
from catalog.tables.validity import require


def naismith_h(*, distance_km: N, climb_m: N) -> N:
    """Return the time of a walk [h]: 5 km an hour and an hour more for each 600 m of climb.

    Args:
        distance_km: Way [km].
        climb_m: Metres gained on it [m]; descent is free.

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("walking.pace.naismith_h", distance_km=distance_km, climb_m=climb_m)
    # naismith-rule: 5 km/h, 600 m/h.
    return distance_km / 5 + climb_m / 600


def tobler_km_h(*, grade: N) -> N:
    """Return the walking speed on a slope [km/h]: 6 exp(-3.5 |s + 0.05|), fastest slightly downhill.

    Args:
        grade: s, rise over run [-], negative downhill.

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("walking.pace.tobler_km_h", grade=grade)
    # tobler-1993, hiking function.
    return 6 * of_math("exp", -3.5 * absolute(grade + 0.05))


def langmuir_s(*, distance_m: N, rise_m: N) -> N:
    """Return the time of a stretch of even slope [s].

    0.72 s a metre of way; 6 s more a metre of rise; downhill 1.9998 s less a metre of drop between 5
    and 12 degrees, 1.9998 s more on steeper slopes, nothing on gentler ones.

    Args:
        distance_m: Way on the map [m].
        rise_m: Height gained, negative downhill [m].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("walking.pace.langmuir_s", distance_m=distance_m, rise_m=rise_m)
    # langmuir-r-walk: 0.72 s/m on the level.
    level_s = 0.72 * distance_m
    down_deg = of_math("degrees", of_math("atan2", -rise_m, distance_m))

    def downhill() -> N:
        # langmuir-r-walk: +-1.9998 s a metre of drop, the sign turns at 12 degrees.
        a_metre = where(down_deg > 12, lambda: 1.9998, lambda: -1.9998)
        # langmuir-r-walk: gentle downhill begins at 5 degrees.
        return where(down_deg < 5, lambda: level_s, lambda: level_s + a_metre * -rise_m)

    # langmuir-r-walk: 6.0 s a metre of rise.
    return where(rise_m >= 0, lambda: level_s + 6.0 * rise_m, downhill)
