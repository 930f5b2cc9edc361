"""The steel that a blade is made of: bar as it is sold, the piece cut from it, and what is taken off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog.drawings.blade import BladeDrawing, blade_body
from catalog.drawings.knife import KnifeDrawing, steel_density
from catalog.drawings.rigid_body import G_PER_MM3
from catalog.drawings.steel import steels
from catalog.tables.ledger import Ledger
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows

_MM3_PER_CM3 = 1000.0
Quench = Literal["water", "oil", "air"]


@dataclass(frozen=True, slots=True)
class Blank:
    """The steel of a knife before and after it is ground.

    Attributes:
        family: of its grade; None where the table has no such grade.
        quench: what it is hardened in.
        stock_mm: thickness of the bar [mm].
        length_mm: of blade and tang [mm].
        width_mm: the widest of both [mm].
        density_kg_m3: of the steel [kg/m3].
        outline_mm2: area of the outline, blade and tang [mm2].
        face_mm2: area of one face of the blade [mm2].
        round_mm: way round the outline [mm].
        ground_cm3: what grinding takes off blade and faces [cm3].
        milled_cm3: what is drilled or milled out of the tang [cm3].
        slenderness: length of the blade over the stock [-].
    """

    family: str | None
    quench: Quench
    stock_mm: float
    length_mm: float
    width_mm: float
    density_kg_m3: float
    outline_mm2: float
    face_mm2: float
    round_mm: float
    ground_cm3: float
    milled_cm3: float
    slenderness: float


@lru_cache(maxsize=1)
def stock_thicknesses() -> tuple[float, ...]:
    """Return the thicknesses in which flat bar is sold [mm], rising."""
    return tuple(float(row["thickness_mm"]) for row in read_rows("making/stock_thicknesses.csv"))


class _QuenchRow(BaseModel):
    """What steel of a family is hardened in."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    family: str
    quench: Quench
    source: str
    note: str | None = None


@lru_cache(maxsize=1)
def _quenches() -> dict[str, Quench]:
    rows = parse_table(read_rows("making/quenches.csv"), _QuenchRow, file="quenches.csv")
    return {row.family: row.quench for row in rows}


def quench_of(family: str | None) -> Quench:
    """Return what steel of a family is hardened in; oil where that is not known."""
    return "oil" if family is None else _quenches()[family]


def knife_blank(knife: KnifeDrawing) -> Blank:
    """Return the steel of a knife: the thinnest bar sold that is no thinner than its spine, or one as thick as it."""
    blade = knife.blade
    thick_enough = (thickness for thickness in stock_thicknesses() if thickness >= blade.spine_mm)
    stock_mm = next(thick_enough, blade.spine_mm)
    face_mm2 = blade.face_mm2
    tang_mm2 = knife.tang_length_mm * knife.tang_width_mm
    volume_mm3 = blade_body(blade, density_kg_m3=1 / G_PER_MM3).mass_g
    ground_mm3 = face_mm2 * stock_mm - volume_mm3 + tang_mm2 * (stock_mm - blade.spine_mm)
    grade = steels().get(knife.steel)
    family = None if grade is None else grade.family
    return Blank(
        family=family,
        quench=quench_of(family),
        stock_mm=stock_mm,
        length_mm=blade.length_mm + knife.tang_length_mm,
        width_mm=max(blade.width_mm, knife.tang_width_mm),
        density_kg_m3=steel_density(knife, Ledger()),
        outline_mm2=face_mm2 + tang_mm2,
        face_mm2=face_mm2,
        round_mm=_blade_round_mm(blade) + 2 * knife.tang_length_mm + knife.tang_width_mm,
        ground_cm3=ground_mm3 / _MM3_PER_CM3,
        milled_cm3=knife.cut_mm2 * blade.spine_mm / _MM3_PER_CM3,
        slenderness=blade.length_mm / stock_mm,
    )


def _blade_round_mm(blade: BladeDrawing) -> float:
    """Return the way round a blade but for its end at the handle [mm]."""
    corners = blade.outline_mm()
    return sum(math.dist(one, other) for one, other in pairwise(corners))
