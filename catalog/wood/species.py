"""Woods: the species table, one frozen row a species, with the handbook's gaps kept as None."""

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from catalog.tables.table import read_rows

WoodGroup = Literal["conifer", "broadleaf"]

# The wood that all rates refer to when air-dry (12 %): a straight softwood, specific gravity 0.41.
REFERENCE_WOOD = "lodgepole-pine"


@dataclass(frozen=True)
class Wood:
    """A species; small clear specimens, green and at 12 % moisture (dry basis).

    Specific gravity is oven-dry mass over volume at that moisture [-], side hardness is the modified
    Janka test across the grain [N], shear runs along the grain and tension across it [kPa], moisture is
    in % of the oven-dry mass. None means that the handbook prints a dash, never zero.
    """

    id: str
    common_name: str
    latin_name: str
    sg_green: float
    sg_12pct: float
    side_hardness_green_n: float | None
    side_hardness_12pct_n: float | None
    shear_par_green_kpa: float
    shear_par_12pct_kpa: float
    tension_perp_green_kpa: float | None
    tension_perp_12pct_kpa: float | None
    green_basis: str
    green_mc_heartwood_pct: float | None
    green_mc_sapwood_pct: float | None
    green_mc_read: bool | None
    intersection_mc_pct: float
    group: WoodGroup
    source: str
    note: str


def _number(cell: str) -> float | None:
    return float(cell) if cell else None


def _wood(row: dict[str, str]) -> Wood:
    return Wood(
        id=row["id"],
        common_name=row["common_name"],
        latin_name=row["latin_name"],
        sg_green=float(row["sg_green"]),
        sg_12pct=float(row["sg_12pct"]),
        side_hardness_green_n=_number(row["side_hardness_green_n"]),
        side_hardness_12pct_n=_number(row["side_hardness_12pct_n"]),
        shear_par_green_kpa=float(row["shear_par_green_kpa"]),
        shear_par_12pct_kpa=float(row["shear_par_12pct_kpa"]),
        tension_perp_green_kpa=_number(row["tension_perp_green_kpa"]),
        tension_perp_12pct_kpa=_number(row["tension_perp_12pct_kpa"]),
        green_basis=row["green_basis"],
        green_mc_heartwood_pct=_number(row["green_mc_heartwood_pct"]),
        green_mc_sapwood_pct=_number(row["green_mc_sapwood_pct"]),
        green_mc_read={"yes": True, "no": False}.get(row["green_mc_read"]),
        intersection_mc_pct=float(row["intersection_mc_pct"]),
        group=cast(WoodGroup, row["group"]),
        source=row["source"],
        note=row["note"],
    )


@cache
def woods() -> dict[str, Wood]:
    """Return id -> species, in the order of the table. Source: Wood Handbook, Tables 4-1, 5-3, 5-13."""
    return {row["id"]: _wood(row) for row in read_rows("wood/woods.csv")}


def species_of(wood_id: str) -> Wood:
    """Return one species.

    Args:
        wood_id: Slug of the common name, such as ``douglas-fir-coast``.

    Raises:
        KeyError: No such species in the table.
    """
    return woods()[wood_id]
