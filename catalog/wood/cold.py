"""Cold: how much stronger wood gets below 20 C, by Table 5-15 of the Wood Handbook."""

from functools import cache
from typing import Literal

from catalog.tables.number import N, between
from catalog.tables.table import read_rows
from catalog.tables.validity import require

_ColdProperty = Literal["bending", "compression_par"]

# usda-fpl-gtr-190-2010, Table 5-15: relative to 20 C, printed at -50 C.
_REFERENCE_C = 20.0
# usda-fpl-gtr-190-2010, Table 5-15.
_PRINTED_AT_C = -50.0


@cache
def _knots(name: _ColdProperty) -> tuple[tuple[float, float], ...]:
    """Return (moisture, change) at both ends of each printed moisture class."""
    knots: list[tuple[float, float]] = []
    for row in read_rows("wood/cold.csv"):
        if row["property"] == name:
            ends = {row["moisture_low_pct"], row["moisture_high_pct"]} - {""}
            knots += [(float(end), float(row["change_at_minus_50_c_pct"])) for end in ends]
    return tuple(sorted(knots))


def printed_change_pct(name: _ColdProperty, *, moisture_pct: N) -> N:
    """Return the change of a property at -50 C against 20 C [%].

    Constant inside each printed moisture class, a straight line across the gap between two classes
    (the handbook prints nothing there: assumption), constant above fibre saturation, taken as 30 %.

    Args:
        name: ``bending`` strength or ``compression_par``, crushing along the grain.
        moisture_pct: [% dry basis].

    Raises:
        RangeError: Outside ranges.csv; crushing is printed up to 45 % only.
    """
    require(f"wood.cold.printed_change_pct.{name}", moisture_pct=moisture_pct)
    return between(_knots(name), moisture_pct)


def cold_share(*, wood_c: N) -> N:
    """Return the share of the -50 C change reached at a temperature [-]: (20 - T)/70.

    The handbook calls the relation about linear; the share is derived from that.

    Raises:
        RangeError: Outside -50 to 20 C.
    """
    require("wood.cold.cold_share", wood_c=wood_c)
    return (_REFERENCE_C - wood_c) / (_REFERENCE_C - _PRINTED_AT_C)


def change_pct(name: _ColdProperty, *, wood_c: N, moisture_pct: N) -> N:
    """Return the change of a property in the cold against 20 C [%]; Table 5-15, linear.

    Nothing is printed for hardness, shear or tension perpendicular: no other name is accepted.

    Args:
        name: ``bending`` or ``compression_par``.
        wood_c: Temperature of the wood [C].
        moisture_pct: [% dry basis].

    Raises:
        RangeError: Outside ranges.csv.
        KeyError: Another property.
    """
    return cold_share(wood_c=wood_c) * printed_change_pct(name, moisture_pct=moisture_pct)
