"""Regressions of strength on specific gravity, for the cells that the handbook leaves empty."""

from dataclasses import dataclass
from functools import cache

from catalog.tables.number import power
from catalog.tables.table import read_rows
from catalog.wood.species import Wood


@dataclass(frozen=True)
class _Regression:
    """property = scale x G^exponent, fitted to `species` rows of woods.csv (least squares of logarithms)."""

    property: str
    group: str
    scale: float
    exponent: float
    species: int
    scatter_pct: float
    source: str
    note: str


@cache
def regressions() -> dict[tuple[str, str], _Regression]:
    """Return (column of woods.csv, group) -> regression."""
    found: dict[tuple[str, str], _Regression] = {}
    for row in read_rows("wood/regressions.csv"):
        found[row["property"], row["group"]] = _Regression(
            property=row["property"],
            group=row["group"],
            scale=float(row["scale"]),
            exponent=float(row["exponent"]),
            species=int(row["species"]),
            scatter_pct=float(row["scatter_pct"]),
            source=row["source"],
            note=row["note"],
        )
    return found


def estimated_property(name: str, species: Wood) -> float:
    """Return a property estimated from the specific gravity of the same condition (derived).

    Specific gravity rather than shear: in three of the four columns and groups it explains more of the
    spread of tension perpendicular (in logarithms 36-82 %, shear 23-79 %; green broadleaves are the
    exception).

    Args:
        name: ``side_hardness_green_n``, ``side_hardness_12pct_n`` [N], ``tension_perp_green_kpa`` or
            ``tension_perp_12pct_kpa`` [kPa].
        species: The wood.

    Raises:
        KeyError: No regression for this property.
    """
    one = regressions()[name, species.group]
    sg = species.sg_green if "_green_" in name else species.sg_12pct
    return one.scale * power(sg, one.exponent)
