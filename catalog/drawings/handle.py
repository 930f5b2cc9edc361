"""Handles: size, and whether a hand can hold them for long.

Guidance is data (handle_guidance.csv), each row with a source that says whether it was read.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Self

from pydantic import Field, model_validator

from catalog.drawings.material_table import HandleMaterial, material
from catalog.drawings.rigid_body import RigidBody, prism
from catalog.tables.errors import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.number import N
from catalog.tables.strict_form import Drawing
from catalog.tables.table import read_rows


class HandleDrawing(Drawing):
    """A handle or haft of mean section, a rectangle with rounded corners; lengths in mm."""

    length_mm: float = Field(ge=50, le=1200)
    width_mm: float = Field(ge=8, le=80, description="mean size in the plane of the blade or head")
    thickness_mm: float = Field(ge=4, le=60, description="mean size across it")
    corner_radius_mm: float | None = Field(default=None, ge=0, le=30, description="default: as round as possible")
    material: HandleMaterial

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        high = min(self.width_mm, self.thickness_mm) / 2
        if self.corner_mm > high:
            raise RangeError(
                quantity="corner_radius_mm",
                value=self.corner_mm,
                low=0,
                high=high,
                unit="mm",
                source="half the smaller side",
            )
        return self

    @property
    def corner_mm(self) -> float:
        """Corner radius [mm]."""
        if self.corner_radius_mm is None:
            return min(self.width_mm, self.thickness_mm) / 2
        return self.corner_radius_mm

    @property
    def area_mm2(self) -> float:
        """Section area [mm2]: rectangle less what four rounded corners take away."""
        # derived: area or girth of circles and rounded corners
        return self.width_mm * self.thickness_mm - (4 - math.pi) * self.corner_mm**2  # square less circle

    @property
    def density_kg_m3(self) -> float:
        """Density of its material [kg/m3]."""
        return material(self.material, used_for="handle").density_kg_m3

    @property
    def body(self) -> RigidBody:
        """The whole handle, from its end to station 0."""
        return prism(
            area_mm2=self.area_mm2,
            start_mm=-self.length_mm,
            end_mm=0,
            depth_mm=self.width_mm,
            density_kg_m3=self.density_kg_m3,
        )

    @property
    def swing_mm4(self) -> float:
        """Second moment of its section for bending in the plane of the blade or head [mm4].

        A rectangle less what its four corners lose, each taken at its centroid (Roark, table A.1, from memory).
        """
        # derived: (4 - pi) r2 in all, 0.2234 r from the corner
        lost = (4 - math.pi) * self.corner_mm**2 * (self.width_mm / 2 - 0.2234 * self.corner_mm) ** 2
        # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
        return self.thickness_mm * self.width_mm**3 / 12 - lost

    @property
    def girth_mm(self) -> float:
        """Way round the handle [mm]."""
        # derived: area or girth of circles and rounded corners
        return 2 * (self.width_mm + self.thickness_mm) - (8 - 2 * math.pi) * self.corner_mm

    @property
    def grip_diameter_mm(self) -> float:
        """Diameter of the round handle with the same girth [mm]."""
        return self.girth_mm / math.pi


@dataclass(frozen=True, slots=True)
class _Guidance:
    """One published limit for a power grip, in mm; None where the source gives no such end."""

    id: str
    quantity: str
    low_mm: float | None
    high_mm: float | None
    firm: bool
    source: str
    read: bool


@dataclass(frozen=True, slots=True)
class GripFinding:
    """A handle measured against one piece of guidance."""

    guidance: str
    quantity: str
    value_mm: float
    low_mm: float | None
    high_mm: float | None
    within: bool
    firm: bool
    text: str
    source: str
    read: bool


@lru_cache(maxsize=1)
def guidance() -> tuple[_Guidance, ...]:
    """All guidance rows."""
    read = {row["id"]: row["read"] == "yes" for row in read_rows("tables/sources.csv")}
    return tuple(
        _Guidance(
            id=row["id"],
            quantity=row["quantity"],
            low_mm=float(row["low_mm"]) if row["low_mm"] else None,
            high_mm=float(row["high_mm"]) if row["high_mm"] else None,
            firm=row["firm"] == "yes",
            source=row["source"],
            read=read[row["source"]],
        )
        for row in read_rows("drawings/handle_guidance.csv")
    )


def gripped_diameter_mm(handle: HandleDrawing, ledger: Ledger[N], *, gloves: bool) -> N:
    """Diameter of what the hand closes on, gloves counted where they are worn [mm]."""
    return handle.grip_diameter_mm + 2 * (ledger("glove_thickness_mm") if gloves else 0.0)


def least_length_mm(published_mm: float, ledger: Ledger[N], *, gloves: bool) -> N:
    """Least length of a handle [mm]: what is published for a bare hand, and more where gloves are worn."""
    return published_mm + (ledger("glove_extra_length_mm") if gloves else 0.0)


def check_grip(handle: HandleDrawing, *, gloves: bool, ledger: Ledger | None = None) -> list[GripFinding]:
    """Compare a handle with every row of the guidance.

    Args:
        handle: the drawing.
        gloves: True when it will be held in gloves: these thicken what the hand closes on and ask for
            a longer handle.
        ledger: reads and notes the assumptions; plain numbers, since each finding is told in words.
    """
    ledger = ledger or Ledger()
    findings = []
    for rule in guidance():
        if rule.quantity == "length":
            low = None if rule.low_mm is None else least_length_mm(rule.low_mm, ledger, gloves=gloves)
            findings.append(_finding(rule, handle.length_mm, low, rule.high_mm))
        else:
            value = gripped_diameter_mm(handle, ledger, gloves=gloves)
            findings.append(_finding(rule, value, rule.low_mm, rule.high_mm))
    return findings


def _finding(rule: _Guidance, value_mm: float, low_mm: float | None, high_mm: float | None) -> GripFinding:
    short = low_mm is not None and value_mm < low_mm
    long = high_mm is not None and value_mm > high_mm
    span = f"{low_mm:g}-{high_mm:g} mm" if low_mm and high_mm else f"{low_mm or high_mm or 0:g} mm"
    kept = "within" if low_mm and high_mm else "at least" if low_mm else "at most"
    verdict = "below" if short else "above" if long else kept
    read = "" if rule.read else ", not read"
    text = f"{rule.quantity} {round(value_mm, 1):g} mm is {verdict} {span} ({rule.source}{read})"
    return GripFinding(
        guidance=rule.id,
        quantity=rule.quantity,
        value_mm=value_mm,
        low_mm=low_mm,
        high_mm=high_mm,
        within=not (short or long),
        firm=rule.firm,
        text=text,
        source=rule.source,
        read=rule.read,
    )


def warnings_of(findings: Iterable[GripFinding]) -> list[str]:
    """Return a warning, with its figures, for each firm limit that a grip is not within."""
    return [f"handle: {finding.text}" for finding in findings if finding.firm and not finding.within]
