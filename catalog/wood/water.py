"""Water: where it boils, and the heat that warming it and melting snow take."""

from catalog.tables.number import N, maximum
from catalog.tables.validity import require

# standard-tables: heat capacity of water [kJ/kgK], from memory.
_WATER_KJ_KG_K = 4.186
# standard-tables: heat capacity of ice near 0 C [kJ/kgK], from memory.
_ICE_KJ_KG_K = 2.1
# standard-tables: heat of fusion [kJ/kg], from memory.
_FUSION_KJ_KG = 334.0


def boiling_point_c(*, elevation_m: N) -> N:
    """Return where water boils [C]: 100 less one degree for each 300 m.

    A line through the published table of boiling points, within 0.3 C up to 4,267 m.

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.water.boiling_point_c", elevation_m=elevation_m)
    # boiling-point-table: 300 m a degree is the line fitted to it.
    return 100 - elevation_m / 300


def warming_kj(*, litres: N, start_c: N, target_c: N) -> N:
    """Return the heat that warms water [kJ], none where it is warm enough already.

    A litre is taken as a kilogram (at boiling it is 4 % lighter, and was measured cold).

    Args:
        litres: Water [l].
        start_c: Temperature to begin with [C].
        target_c: Temperature wanted [C], at most boiling_point_c.

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.water.warming_kj", litres=litres, start_c=start_c, target_c=target_c)
    return litres * _WATER_KJ_KG_K * maximum(target_c - start_c, 0.0)


def boiling_kj(*, litres: N, start_c: N, elevation_m: N) -> N:
    """Return the heat that brings water to the boil [kJ], evaporation not counted.

    Raises:
        RangeError: Outside ranges.csv.
    """
    target_c = boiling_point_c(elevation_m=elevation_m)
    return warming_kj(litres=litres, start_c=start_c, target_c=target_c)


def melting_kj(*, snow_kg: N, snow_c: N, target_c: N) -> N:
    """Return the heat that turns snow into water of a temperature [kJ].

    Snow is taken as dry ice crystals: wet snow needs less.

    Args:
        snow_kg: Snow, equal to the litres of water it gives [kg].
        snow_c: Temperature of the snow [C], at most 0.
        target_c: Temperature of the water wanted [C].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.water.melting_kj", snow_kg=snow_kg, snow_c=snow_c, target_c=target_c)
    return snow_kg * (_ICE_KJ_KG_K * (0 - snow_c) + _FUSION_KJ_KG + _WATER_KJ_KG_K * target_c)
